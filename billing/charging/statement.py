"""A payer's account: what was charged, what came in, and what is owed after each."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from billing.charging.allocation import OpenItem

NOTHING = Decimal(0)


class EntryKind(StrEnum):
    """What moved the account, in the order in which one day's entries are written."""

    INVOICE = "invoice"
    CREDIT_NOTE = "credit_note"
    PAYMENT = "payment"


_ORDER = {kind: place for place, kind in enumerate(EntryKind)}


@dataclass(frozen=True, slots=True)
class Entry:
    """One movement: ``amount`` above zero is owed to the studio, below zero lessens it."""

    on: date
    kind: EntryKind
    key: int
    words: str
    amount: Decimal

    @property
    def charged(self) -> Decimal | None:
        """What it adds to the debt, if it does."""
        return self.amount if self.amount > 0 else None

    @property
    def credited(self) -> Decimal | None:
        """What it takes off the debt, if it does."""
        return -self.amount if self.amount <= 0 else None


@dataclass(frozen=True, slots=True)
class Row:
    """An entry and the balance after it."""

    entry: Entry
    balance: Decimal


@dataclass(frozen=True, slots=True)
class Statement:
    """The account over some days: opening balance + the rows' amounts = closing balance."""

    opening: Decimal
    rows: tuple[Row, ...]
    closing: Decimal

    @property
    def charged(self) -> Decimal:
        """All that was charged in these days."""
        return sum((row.entry.charged or NOTHING for row in self.rows), NOTHING)

    @property
    def credited(self) -> Decimal:
        """All that came in or was credited in these days."""
        return sum((row.entry.credited or NOTHING for row in self.rows), NOTHING)


def statement(
    entries: Iterable[Entry], *, first: date | None = None, last: date | None = None
) -> Statement:
    """Return the account from ``first`` to ``last`` inclusive; earlier entries open the balance."""
    ordered = sorted(entries, key=lambda entry: (entry.on, _ORDER[entry.kind], entry.key))
    opening = sum((e.amount for e in ordered if first is not None and e.on < first), NOTHING)
    balance = opening
    rows: list[Row] = []
    for entry in ordered:
        if (first is not None and entry.on < first) or (last is not None and entry.on > last):
            continue
        balance += entry.amount
        rows.append(Row(entry, balance))
    return Statement(opening, tuple(rows), balance)


@dataclass(frozen=True, slots=True)
class Ages:
    """What is open, by how long ago it was due."""

    not_yet_due: Decimal = NOTHING
    up_to_30: Decimal = NOTHING
    up_to_60: Decimal = NOTHING
    older: Decimal = NOTHING

    @property
    def overdue(self) -> Decimal:
        """What was due before today."""
        return self.up_to_30 + self.up_to_60 + self.older

    @property
    def total(self) -> Decimal:
        """All that is open."""
        return self.not_yet_due + self.overdue


def by_age(items: Iterable[OpenItem], *, today: date) -> Ages:
    """Return what is open by age; what is due today is not late."""
    sums = [NOTHING, NOTHING, NOTHING, NOTHING]
    for item in items:
        days = (today - item.due).days
        sums[0 if days <= 0 else 1 if days <= 30 else 2 if days <= 60 else 3] += item.open
    return Ages(*sums)
