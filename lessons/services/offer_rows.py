"""What offering and confirming share: the refusals, and the rows under the calendar's lock."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from lessons.models import Offer, OfferState
from lessons.planning.recurrence import WeeklyRule
from lessons.selectors.series import SeriesWish
from studio.events import event_record
from studio.models import Event, Student, Studio, User


class CannotOffer(Exception):
    """The time does not fit somebody any more, or the offer makes no sense."""


class OfferOver(Exception):
    """The offer is answered, lapsed, or somebody else was first; nothing was booked."""


def offer_locked(offer: Offer) -> Offer:
    """Return the row as it is now; call it while the calendar is held."""
    return Offer.objects.select_for_update(of=("self",)).with_people().get(pk=offer.pk)


def offer_settle(offer: Offer, state: OfferState, by: User | None, now: datetime) -> None:
    """Give the offer its last state."""
    offer.state, offer.answered_at, offer.answered_by = state, now, by
    offer.full_clean()
    offer.save()


def offer_record(offer: Offer, kind: str, by: User, now: datetime) -> Event:
    """Write down that something was offered or answered."""
    return event_record(
        kind=kind,
        subject=offer.waiting.name,
        by=by,
        now=now,
        offer=offer.pk,
        time=str(offer),
        state=offer.state,
    )


def series_wish(offer: Offer, student: Student, studio: Studio, today: date) -> SeriesWish:
    """Return the series that the offer comes to, from its first date that is still to come.

    :raises OfferOver: if no date is still to come
    """
    first = offer.first_date
    while first <= today:
        first += timedelta(days=7)
    if first > offer.last_date:
        raise OfferOver("All dates of this offer are past. Nothing was booked.")
    term = offer.free_time.series.term if offer.free_time and offer.free_time.series else None
    return SeriesWish(
        students=(student,),
        place=offer.waiting.place,
        rule=WeeklyRule(first, offer.last_date, offer.at, offer.minutes, studio.zone),
        term=term,
        left_out=offer.days_left_out,
    )
