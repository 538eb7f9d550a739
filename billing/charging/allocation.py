"""Which money pays which invoice: oldest first, or as somebody says.

Amounts of one payer in one currency. Every function ties out: what is shared out plus what is left
is what came in, and nothing gets more than was open on it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from billing.charging.errors import BadAllocation

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class OpenItem:
    """An invoice and what is still open on it."""

    key: int
    due: date
    open: Decimal


@dataclass(frozen=True, slots=True)
class Source:
    """Money of the payer: a payment or a credit note, and what of it pays nothing yet.

    ``left`` is below zero for money that went back.
    """

    key: str
    on: date
    left: Decimal


@dataclass(frozen=True, slots=True)
class Share:
    """So much of an amount goes to this invoice."""

    item: int
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Draw:
    """So much of this source goes to this invoice."""

    source: str
    item: int
    amount: Decimal


def oldest_first(
    amount: Decimal, items: Iterable[OpenItem], *, first: int | None = None
) -> tuple[tuple[Share, ...], Decimal]:
    """Share the amount over the open items and return the shares and what is left.

    The item named ``first`` comes before all others; then the one due longest ago.

    :raises BadAllocation: for an amount below zero
    """
    if amount < 0:
        raise BadAllocation("Money that goes back pays no invoice.")
    shares: list[Share] = []
    left = amount
    for item in sorted(items, key=lambda item: (item.key != first, item.due, item.key)):
        part = min(left, item.open)
        if part > 0:
            shares.append(Share(item.key, part))
            left -= part
    return tuple(shares), left


def by_hand(
    amount: Decimal, wanted: Mapping[int, Decimal], items: Iterable[OpenItem]
) -> tuple[tuple[Share, ...], Decimal]:
    """Share the amount out as asked and return the shares and what is left.

    :raises BadAllocation: for more than the amount, more than is open on an item, an item that is
        not open, or a share that is not above zero
    """
    open_now = {item.key: item.open for item in items}
    for key, part in wanted.items():
        if part <= 0:
            raise BadAllocation("A share of a payment is an amount above zero.")
        if part > open_now.get(key, NOTHING):
            raise BadAllocation(
                f"Only {open_now.get(key, NOTHING)} is open there, so {part} cannot go to it."
            )
    left = amount - sum(wanted.values(), NOTHING)
    if left < 0:
        raise BadAllocation(f"The shares add up to {-left} more than the payment.")
    return tuple(Share(key, part) for key, part in wanted.items()), left


def draws(
    sources: Sequence[Source],
    items: Sequence[OpenItem],
    *,
    first: Mapping[str, int] | None = None,
) -> tuple[Draw, ...]:
    """Spend what the payer has left, oldest money first, on what is open, oldest first.

    Money that went back (a refund, a reversal) uses up the oldest money before any invoice does.
    ``first`` names, for a source, the invoice that it pays before all others.
    """
    gone = sum((-source.left for source in sources if source.left < 0), NOTHING)
    open_now = {item.key: item for item in items}
    found: list[Draw] = []
    for source in sorted(sources, key=lambda source: (source.on, source.key)):
        if source.left <= 0:
            continue
        eaten = min(gone, source.left)
        gone -= eaten
        shares, _ = oldest_first(
            source.left - eaten, open_now.values(), first=(first or {}).get(source.key)
        )
        for share in shares:
            item = open_now[share.item]
            open_now[share.item] = OpenItem(item.key, item.due, item.open - share.amount)
            found.append(Draw(source.key, share.item, share.amount))
    return tuple(found)
