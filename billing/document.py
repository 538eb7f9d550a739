"""An invoice or credit note as a value: everything that is printed, nothing that is looked up.

Built once when the invoice is issued and kept with it as a record; the PDF is made from it alone,
so the same document gives the same bytes for ever. No rows, no clock.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from datetime import date
from decimal import Decimal
from typing import Any

VERSION = 1


@dataclass(frozen=True, slots=True)
class Party:
    """Who it is from or for; ``lines`` are the address, ``more`` telephone, e-mail, tax number."""

    name: str
    lines: tuple[str, ...] = ()
    more: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DocumentLine:
    """One line; ``who`` is the student, empty for travel, fees and discounts."""

    kind: str
    on: date | None
    who: str
    words: str
    reason: str
    net: Decimal


@dataclass(frozen=True, slots=True)
class TaxLine:
    """The tax on what is taxed alike, or the reason why there is none."""

    category: str
    percent: Decimal
    taxable: Decimal
    amount: Decimal
    reason: str


@dataclass(frozen=True, slots=True)
class HowToPay:
    """The account, and the reference that tells the studio which invoice was paid."""

    name: str = ""
    iban: str = ""
    bic: str = ""
    reference: str = ""


@dataclass(frozen=True, slots=True)
class InvoiceDocument:
    """The document. ``number`` is empty on a draft; ``credits_number`` is a credit note's invoice.

    gross = net + tax; due = gross - paid, where ``paid`` is money that was on the account already.
    """

    kind: str
    number: str
    studio_name: str
    seller: Party
    buyer: Party
    period_start: date
    issue_date: date | None
    due_date: date | None
    lines: tuple[DocumentLine, ...]
    net: Decimal
    tax: Decimal
    gross: Decimal
    paid: Decimal
    due: Decimal
    tax_lines: tuple[TaxLine, ...]
    pay: HowToPay
    currency: str
    locale: str
    paper: str
    note: str = ""
    closing_words: str = ""
    credits_number: str = ""

    @property
    def is_credit_note(self) -> bool:
        """True for something taken back."""
        return self.kind == "credit_note"

    @property
    def title(self) -> str:
        """What it is called, at its head and in e-mail."""
        name = "Credit note" if self.is_credit_note else "Invoice"
        return f"{name} {self.number}" if self.number else f"{name}, draft"

    @property
    def filename(self) -> str:
        """A file name that sorts by number."""
        return f"{self.title.replace(',', '').replace(' ', '-').lower()}.pdf"


def to_record(document: InvoiceDocument) -> dict[str, Any]:
    """Return the document as JSON can hold it: decimals and dates as text."""
    record = {"version": VERSION, **asdict(document)}
    written = _written(record)
    assert isinstance(written, dict)  # noqa: S101 - tells the type checker what _written keeps
    return written


def _written(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _written(part) for key, part in value.items()}
    if isinstance(value, tuple | list):
        return [_written(part) for part in value]
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, date):
        return value.isoformat()
    return value


def from_record(record: Mapping[str, Any]) -> InvoiceDocument:
    """Return the document that :func:`to_record` wrote.

    :raises KeyError, ValueError: for a record that no version of this program wrote
    """
    if record.get("version") != VERSION:
        raise ValueError(f"document version {record.get('version')!r} is not known")
    plain = {f.name: record[f.name] for f in fields(InvoiceDocument)}
    for name in ("net", "tax", "gross", "paid", "due"):
        plain[name] = Decimal(plain[name])
    for name in ("period_start", "issue_date", "due_date"):
        plain[name] = _date(plain[name])
    plain["seller"] = _party(plain["seller"])
    plain["buyer"] = _party(plain["buyer"])
    plain["pay"] = HowToPay(**plain["pay"])
    plain["lines"] = tuple(
        DocumentLine(**{**line, "on": _date(line["on"]), "net": Decimal(line["net"])})
        for line in plain["lines"]
    )
    plain["tax_lines"] = tuple(
        TaxLine(
            category=part["category"],
            percent=Decimal(part["percent"]),
            taxable=Decimal(part["taxable"]),
            amount=Decimal(part["amount"]),
            reason=part["reason"],
        )
        for part in plain["tax_lines"]
    )
    return InvoiceDocument(**plain)


def _date(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _party(part: Mapping[str, Any]) -> Party:
    return Party(part["name"], tuple(part["lines"]), tuple(part["more"]))
