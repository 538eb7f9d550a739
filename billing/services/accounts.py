"""A family's account: its lock, and spending what is on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from billing.balances import open_items, sources
from billing.charging.allocation import Draw, draws
from billing.models import Allocation
from studio.models import Family


def account_lock(family_id: int) -> Family:
    """Lock the family's account until the transaction ends, so that no credit is spent twice.

    SQLite has locked the whole database when the transaction began; PostgreSQL locks this row.
    """
    return Family.objects.select_for_update().get(pk=family_id)


def credit_spend(
    *,
    family_id: int,
    currency: str,
    now: datetime,
    first: Mapping[str, int] | None = None,
) -> Sequence[Draw]:
    """Let what is on the account pay what is open, oldest first, and write that down."""
    found = draws(sources(family_id, currency), open_items(family_id, currency), first=first)
    draws_write(found, now=now)
    return found


def draws_write(found: Iterable[Draw], *, now: datetime) -> None:
    """Write down which money pays which invoice."""
    for draw in found:
        kind, _, key = draw.source.partition(":")
        Allocation.objects.create(
            invoice_id=draw.item,
            payment_id=int(key) if kind == "payment" else None,
            credit_note_id=int(key) if kind == "credit" else None,
            amount=draw.amount,
            allocated_at=now,
        )
