"""The square code that a banking app reads: EPC069-12 (European Payments Council)."""

from __future__ import annotations

from decimal import Decimal

import segno
from reportlab.platypus import Flowable
from segno.helpers import make_epc_qr

from billing.document import InvoiceDocument
from billing.pdf_style import INK

# Countries of the SEPA schemes (EPC409-09); an account elsewhere cannot be paid by this code.
_SEPA_CODES = """
AD AL AT BE BG CH CY CZ DE DK EE ES FI FR GB GI GR HR HU IE IS IT LI LT LU LV MC MD ME MK MT NL NO
PL PT RO RS SE SI SK SM VA
"""
SEPA = frozenset(_SEPA_CODES.split())
QUIET_MODULES = 4


def pay_code(document: InvoiceDocument) -> segno.QRCode | None:
    """Return the code, or None where there is nothing to pay, no euro, or no SEPA account."""
    pay = document.pay
    can_be_read = (
        document.currency == "EUR"
        and pay.iban[:2].upper() in SEPA
        and Decimal("0.01") <= document.due <= Decimal("999999999.99")
        and pay.reference
        and not document.is_credit_note
    )
    if not can_be_read:
        return None
    return make_epc_qr(
        name=pay.name[:70],
        iban=pay.iban.replace(" ", ""),
        amount=document.due,
        reference=pay.reference,
        bic=pay.bic or None,
    )


class PayCode(Flowable):
    """The code as one filled path on a square of this side in points, with its quiet margin."""

    def __init__(self, code: segno.QRCode, side: float) -> None:
        super().__init__()
        self.width = self.height = side
        self.rows = [bytes(row) for row in code.matrix]

    def draw(self) -> None:
        module = self.width / (len(self.rows) + 2 * QUIET_MODULES)
        path = self.canv.beginPath()
        for down, row in enumerate(self.rows):
            y = self.height - (down + 1 + QUIET_MODULES) * module
            for start, length in _runs(row):
                # A hair higher, so that no white line shows between rows.
                path.rect((start + QUIET_MODULES) * module, y, length * module, module * 1.01)
        self.canv.setFillColor(INK)
        self.canv.drawPath(path, stroke=0, fill=1)


def _runs(row: bytes) -> list[tuple[int, int]]:
    """Return (start, length) of each stretch of dark modules."""
    found: list[tuple[int, int]] = []
    for index, dark in enumerate(row):
        if not dark:
            continue
        if found and sum(found[-1]) == index:
            found[-1] = (found[-1][0], found[-1][1] + 1)
        else:
            found.append((index, 1))
    return found
