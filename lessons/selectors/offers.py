"""Offers of weekly times, as pages show them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime, timedelta

from lessons.models import Offer, OfferState, Waiting
from lessons.selectors.free_slots import slot_of_row
from studio.models import User


def offers_of(*, user: User, now: datetime) -> list[Offer]:
    """Return a person's offers that still matter: open, or settled within the last two weeks."""
    since = now - timedelta(days=14)
    found = Offer.objects.visible_to(user).filter(offered_at__gte=since).with_people()
    open_too = Offer.objects.visible_to(user).open_at(now).with_people()
    rows = {offer.pk: offer for offer in (*found, *open_too)}
    return sorted(rows.values(), key=lambda offer: -offer.pk)


def wished_offers() -> list[Offer]:
    """Return the times that families ask for after an offer slipped away."""
    return list(Offer.objects.filter(state=OfferState.WISHED).with_people().order_by("pk"))


def offers_by_slot() -> dict[tuple[int, int, int, date], dict[int, Offer]]:
    """The latest offer of each stretch to each person."""
    found: dict[tuple[int, int, int, date], dict[int, Offer]] = defaultdict(dict)
    rows = Offer.objects.filter(free_time__isnull=False).with_people().order_by("pk")
    for offer in rows:
        row = offer.free_time
        if row is not None:
            key = slot_of_row(row, row.first_date).key
            found[key][offer.waiting_id] = offer
    return found


def open_offers(waiting: Iterable[Waiting], now: datetime) -> dict[int, list[Offer]]:
    """The offers that each person can still say yes to."""
    found: dict[int, list[Offer]] = defaultdict(list)
    for offer in Offer.objects.open_at(now).filter(waiting__in=list(waiting)).order_by("pk"):
        found[offer.waiting_id].append(offer)
    return found
