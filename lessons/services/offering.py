"""Offering a weekly time to those who wait, saying no, and asking for another that is free.

A press that is repeated finds what it did before and does nothing twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

from lessons.models import FreeTime, Offer, OfferState, Waiting, WaitingState
from lessons.planning.find_time import Opening
from lessons.selectors.free_slots import FreeSlot, clock
from lessons.selectors.waiting import alternatives_for, slots_with_fits
from lessons.services.booking import calendar_held
from lessons.services.mail_offers import tell_offer, tell_teacher_of_offer
from lessons.services.offer_rows import (
    CannotOffer,
    OfferOver,
    offer_locked,
    offer_record,
    offer_settle,
)
from studio.local_time import local_date
from studio.models import Studio, User

MOST_AT_ONCE = 2
LONGEST_OFFER_DAYS = 28
WISH_DAYS = 14


def offers_make(
    *, slot: FreeSlot, waiting: Sequence[Waiting], until: date, by: User, now: datetime
) -> list[Offer]:
    """Offer a free stretch to one who waits, or to two at once, until the end of a day.

    Offers of the same stretch that nobody answered in time are closed first.

    :raises CannotOffer: if it fits one of them no longer, or too many are asked at once
    """
    studio = Studio.current()
    if not 1 <= len(waiting) <= MOST_AT_ONCE:
        raise CannotOffer("Offer a time to one, or to two at once.")
    today = local_date(now, studio.zone)
    if not today <= until <= today + timedelta(days=LONGEST_OFFER_DAYS):
        raise CannotOffer(f"Let the offer end within {LONGEST_OFFER_DAYS} days, not before today.")
    with calendar_held():
        free_time = _free_time(slot)
        Offer.objects.filter(
            free_time=free_time, state=OfferState.OPEN, expires_at__lte=now
        ).update(state=OfferState.EXPIRED, answered_at=now)
        shown = slots_with_fits(slots=[slot], studio=studio, now=now)
        fits = {fit.waiting.pk: fit for found in shown for fit in found.fits}
        made = []
        for one in waiting:
            fit = fits.get(one.pk)
            if fit is not None and fit.offer is not None and fit.offer.is_open_at(now):
                made.append(fit.offer)
                continue
            if fit is None or fit.opening is None:
                why = fit.why_not if fit else "is no longer on the list, or the time is taken"
                raise CannotOffer(f"Nothing was offered. {one.name}: {why}.")
            offer = _offer(one, fit.opening, slot, free_time, now)
            offer.expires_at = _end_of(until, studio)
            made.append(_told(offer, "offer_made", by, now, studio))
    return made


def offer_decline(*, offer: Offer, by: User, now: datetime) -> Offer:
    """Say no; the place on the list is kept. A repeated press changes nothing.

    :raises OfferOver: if it was taken before
    """
    studio = Studio.current()
    with calendar_held():
        offer = offer_locked(offer)
        if offer.state == OfferState.CONFIRMED:
            raise OfferOver("This time is taken already: the lessons are booked.")
        if offer.state not in {OfferState.OPEN, OfferState.WISHED}:
            return offer
        offer_settle(offer, OfferState.DECLINED, by, now)
        event = offer_record(offer, "offer_declined", by, now)
        if not by.is_teacher:
            tell_teacher_of_offer(offer=offer, event=event, studio=studio, now=now)
    return offer


def offer_wish(*, offer: Offer, weekday: int, start: int, by: User, now: datetime) -> Offer:
    """Ask for one of the other times that are free, after an offer slipped away.

    The same wish a second time is the first one.

    :raises CannotOffer: if that time is not free any more, or the person waits no longer
    """
    studio = Studio.current()
    with calendar_held():
        waiting = Waiting.objects.with_people().get(pk=offer.waiting_id)
        if waiting.state != WaitingState.WAITING:
            raise CannotOffer(f"{waiting.name} has a time by now.")
        wished = Offer.objects.filter(waiting=waiting, state=OfferState.WISHED, at=clock(start))
        for before in wished.with_people():
            if before.first_date.weekday() == weekday:
                return before
        today = local_date(now, studio.zone)
        openings = alternatives_for(
            waiting=waiting, last_date=offer.last_date, studio=studio, today=today
        )
        chosen = [one for one in openings if (one.weekday, one.start) == (weekday, start)]
        if not chosen:
            raise CannotOffer("That time is not free any more. Choose another.")
        made = Offer(
            waiting=waiting,
            first_date=chosen[0].free[0],
            last_date=offer.last_date,
            at=clock(start),
            minutes=waiting.minutes,
            offered_at=now,
            expires_at=now + timedelta(days=WISH_DAYS),
            state=OfferState.WISHED,
        )
        made.full_clean()
        made.save()
        event = offer_record(made, "offer_wished", by, now)
        tell_teacher_of_offer(offer=made, event=event, studio=studio, now=now)
    return made


def _free_time(slot: FreeSlot) -> FreeTime:
    row = FreeTime.objects.filter(
        weekday=slot.weekday,
        begins_at=slot.begins_at,
        ends_at=slot.ends_at,
        last_date=slot.last_date,
    ).first()
    if row is None:
        row = FreeTime(
            series_id=slot.series,
            weekday=slot.weekday,
            begins_at=slot.begins_at,
            ends_at=slot.ends_at,
            first_date=slot.first_date,
            last_date=slot.last_date,
        )
        row.full_clean()
        row.save()
    return row


def _offer(
    waiting: Waiting, opening: Opening, slot: FreeSlot, free_time: FreeTime, now: datetime
) -> Offer:
    blocked = [day for day, _ in opening.blocked]
    return Offer(
        waiting=waiting,
        free_time=free_time,
        first_date=min([*opening.free, *blocked]),
        last_date=slot.last_date,
        at=clock(opening.start),
        minutes=waiting.minutes,
        left_out=[day.isoformat() for day in blocked],
        offered_at=now,
    )


def _told(offer: Offer, kind: str, by: User, now: datetime, studio: Studio) -> Offer:
    offer.full_clean()
    offer.save()
    event = offer_record(offer, kind, by, now)
    tell_offer(offer=offer, event=event, studio=studio, now=now)
    return offer


def _end_of(day: date, studio: Studio) -> datetime:
    """The last minute of a local day, as a moment that can be said: 23:59, never "24:00"."""
    return datetime.combine(day, time(23, 59), tzinfo=studio.zone).astimezone(UTC)
