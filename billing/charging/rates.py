"""What a lesson costs: dated rates by minutes and place, general or a family's own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

ANY_PLACE = ""


@dataclass(frozen=True, slots=True)
class DatedRate:
    """One price: for this many minutes, from a date on, until another replaces it.

    ``place_kind`` may be ANY_PLACE; ``family_id`` is None for a price that everybody has. Both
    dates are the lesson's, not the invoice's: a new price changes nothing already taught.
    """

    minutes: int
    amount: Decimal
    from_date: date
    until_date: date | None = None
    place_kind: str = ANY_PLACE
    family_id: int | None = None

    def holds(self, *, on: date, minutes: int, place_kind: str, family_id: int | None) -> bool:
        """Return True when this price can be asked for such a lesson on that day."""
        return (
            self.minutes == minutes
            and self.from_date <= on
            and (self.until_date is None or on <= self.until_date)
            and self.place_kind in (ANY_PLACE, place_kind)
            and self.family_id in (None, family_id)
        )

    @property
    def _rank(self) -> tuple[bool, bool, date]:
        return (self.family_id is not None, self.place_kind != ANY_PLACE, self.from_date)


def rate_for(
    rates: Iterable[DatedRate],
    *,
    on: date,
    minutes: int,
    place_kind: str,
    family_id: int | None = None,
) -> DatedRate | None:
    """Return the one price that holds, or None when no price was ever set for such a lesson.

    A family's own price comes before the general one, a price for this kind of place before one
    for any place, and among those the newest that has begun.
    """
    holding = [
        rate
        for rate in rates
        if rate.holds(on=on, minutes=minutes, place_kind=place_kind, family_id=family_id)
    ]
    return max(holding, key=lambda rate: rate._rank, default=None)
