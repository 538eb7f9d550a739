"""What billing's addresses answer."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.utils import timezone

from billing import services
from tests.access.harness import (
    SIGN_IN,
    Cast,
    Expect,
    teacher_action,
    teacher_form,
    teacher_page,
)
from tests.factories.billing import InvoiceFactory, InvoiceLineFactory, PaymentFactory, RateFactory

RATE_FORM = {"minutes": 60, "place_kind": "", "amount": "40", "from_date": "2026-09-01"}
SETTINGS_FORM = {
    "iban": "IE29 AIBK 9311 5212 3456 78",
    "payment_days": 14,
    "tax_kind": "exempt",
    "tax_percent": "0",
    "exempt_reason": "Tuition",
    "no_show_percent": "100",
    "late_percent": "100",
}


def build(cast: Cast) -> None:
    """Add a draft, an issued invoice, a payment and a rate of this family."""
    now = timezone.now()
    this_month = now.date().replace(day=1)
    cast.things.rate = RateFactory()
    cast.things.draft = InvoiceFactory(family=cast.family, period_start=date(2026, 2, 1))
    cast.things.line = InvoiceLineFactory(invoice=cast.things.draft)
    issued = InvoiceFactory(family=cast.family, period_start=date(2026, 1, 1))
    cast.things.issued_line = InvoiceLineFactory(invoice=issued)
    cast.things.issued = services.invoice_issue(
        invoice=issued, by=cast.teacher, today=now.date(), now=now
    )
    cast.things.payment = PaymentFactory(
        family=cast.family, recorded_by=cast.teacher, amount=Decimal(5)
    )
    cast.things.month = this_month.isoformat()


def _month(cast: Cast) -> dict[str, str]:
    return {"month": cast.things.month}


def _draft(cast: Cast) -> tuple[int]:
    return (cast.things.draft.pk,)


def _issued(cast: Cast) -> tuple[int]:
    return (cast.things.issued.pk,)


def _family(cast: Cast) -> tuple[int]:
    return (cast.family.pk,)


_OWN_FAMILY = {
    "anonymous": SIGN_IN,
    "teacher": 200,
    "this_parent": 200,
    "other_parent": 404,
    "this_student": 404,
    "other_student": 404,
}
_NO_POST = {"anonymous": SIGN_IN, "everybody": 405}

EXPECTED = [
    teacher_page("billing:money"),
    teacher_action("billing:month_draft", data=_month),
    teacher_action("billing:month_issue", data=_month),
    teacher_page("billing:issued_list", lambda cast: (2026,)),
    teacher_page("billing:family_balances"),
    teacher_page("billing:rate_list"),
    teacher_form("billing:rate_create", data=lambda cast: RATE_FORM),
    teacher_form(
        "billing:rate_edit", lambda cast: (cast.things.rate.pk,), data=lambda cast: RATE_FORM
    ),
    teacher_form("billing:settings_edit", data=lambda cast: SETTINGS_FORM),
    Expect("billing:account", _family, get=_OWN_FAMILY, post=_NO_POST),
    teacher_action("billing:invoice_draft", _family, data=_month),
    teacher_form(
        "billing:payment_create",
        _family,
        data=lambda cast: {
            "direction": "in",
            "amount": "12.50",
            "paid_date": "2026-01-05",
            "method": "cash",
        },
    ),
    teacher_form(
        "billing:payment_reverse", lambda cast: (cast.things.payment.pk,), data=lambda cast: {}
    ),
    Expect("billing:invoice_detail", _issued, get=_OWN_FAMILY, post=_NO_POST),
    Expect(
        "billing:invoice_detail",
        _draft,
        get={**_OWN_FAMILY, "this_parent": 404},
        post=_NO_POST,
    ),
    Expect("billing:invoice_pdf", _issued, get=_OWN_FAMILY, post=_NO_POST),
    Expect(
        "billing:invoice_pdf",
        _draft,
        get={**_OWN_FAMILY, "this_parent": 404},
        post=_NO_POST,
    ),
    teacher_action(
        "billing:line_create",
        _draft,
        data=lambda cast: {"kind": "fee", "words": "Sticks", "amount": "12.50"},
    ),
    teacher_action("billing:line_remove", lambda cast: (cast.things.line.pk,)),
    teacher_action("billing:note_edit", _draft, data=lambda cast: {"note": "Hello"}),
    teacher_action("billing:redraft", _draft),
    teacher_action("billing:issue", _draft),
    teacher_action("billing:send", _issued),
    teacher_form("billing:draft_delete", _draft, data=lambda cast: {}),
    teacher_form(
        "billing:credit_create",
        _issued,
        data=lambda cast: {"lines": [cast.things.issued_line.pk], "words": "Not held"},
    ),
]
