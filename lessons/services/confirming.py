"""Saying yes to an offer: the first to confirm has the time, and the others hear of it.

Who presses a second time gets the series of the first press.
"""

from __future__ import annotations

from datetime import date, datetime

from lessons.models import Offer, OfferState, Series, Waiting, WaitingState
from lessons.selectors.booked import minute_of
from lessons.selectors.series import series_plan
from lessons.services.booking import LessonClash, NothingToBook, calendar_held, series_book
from lessons.services.changing import series_stop
from lessons.services.mail_offers import tell_offer, tell_teacher_of_offer
from lessons.services.offer_rows import (
    OfferOver,
    offer_locked,
    offer_record,
    offer_settle,
    series_wish,
)
from lessons.services.waiting import student_of
from studio.local_time import local_date
from studio.models import Studio, User


def offer_confirm(*, offer: Offer, by: User, now: datetime) -> Series:
    """Say yes: the series is booked, and whoever was offered the same time hears that it is gone.

    :raises OfferOver: if somebody else was first, the offer ended, or the time is taken
    """
    try:
        return _confirm(offer, by, now)
    except (LessonClash, NothingToBook) as refusal:
        _lose(offer, by, now)
        raise OfferOver("That time has just been taken. Nothing was booked.") from refusal


def _confirm(offer: Offer, by: User, now: datetime) -> Series:
    studio = Studio.current()
    with calendar_held():
        offer = offer_locked(offer)
        if offer.state == OfferState.CONFIRMED and offer.series is not None:
            return offer.series
        _refuse_over(offer, by, now)
        waiting = (
            Waiting.objects.select_for_update(of=("self",)).with_people().get(pk=offer.waiting_id)
        )
        if waiting.state != WaitingState.WAITING:
            raise OfferOver(f"{waiting.name} has a time by now. Nothing was booked.")
        student = student_of(waiting=waiting, by=by, now=now)
        wish = series_wish(offer, student, studio, local_date(now, studio.zone))
        old = waiting.replaces
        if old is not None and (
            old.stopped_from_date is None or old.stopped_from_date > wish.rule.first_date
        ):
            series_stop(series=old, from_date=wish.rule.first_date, by=by, now=now)
        series = series_book(wish=wish, by=by, now=now)
        Waiting.objects.filter(pk=waiting.pk).update(state=WaitingState.PLACED)
        offer.series, offer.waiting = series, waiting
        offer_settle(offer, OfferState.CONFIRMED, by, now)
        event = offer_record(offer, "offer_confirmed", by, now)
        tell_offer(offer=offer, event=event, studio=studio, now=now)
        if not by.is_teacher:
            tell_teacher_of_offer(offer=offer, event=event, studio=studio, now=now)
        _close_others(offer, by, now, studio)
    return series


def _refuse_over(offer: Offer, by: User, now: datetime) -> None:
    may_be_granted = offer.state == OfferState.WISHED and by.is_teacher
    if may_be_granted or offer.is_open_at(now):
        return
    if offer.state == OfferState.LOST:
        raise OfferOver("Somebody else said yes first. Nothing was booked.")
    if offer.has_lapsed_at(now):
        zone = Studio.current().zone
        raise OfferOver(
            f"The offer ended on {offer.expires_at.astimezone(zone):%-d %B, %H:%M}. "
            "Nothing was booked."
        )
    raise OfferOver(f"This is settled already: {offer.get_state_display()}. Nothing was booked.")


def _close_others(offer: Offer, by: User, now: datetime, studio: Studio) -> None:
    """Close what the booking made impossible: the person's other offers, and the same time's."""
    own = Offer.objects.filter(
        waiting=offer.waiting_id, state__in=[OfferState.OPEN, OfferState.WISHED]
    )
    own.update(state=OfferState.DECLINED, answered_at=now, answered_by=by)
    others = Offer.objects.open_at(now).filter(
        first_date__iso_week_day=offer.first_date.isoweekday()
    )
    today = local_date(now, studio.zone)
    for other in others.with_people().order_by("pk"):
        if _is_gone(other, offer, studio, today):
            offer_settle(other, OfferState.LOST, None, now)
            event = offer_record(other, "offer_lost", by, now)
            tell_offer(offer=other, event=event, studio=studio, now=now)


def _is_gone(other: Offer, taken: Offer, studio: Studio, today: date) -> bool:
    """Return True if an open offer cannot be confirmed any more now that this one is."""
    begins = [minute_of(one.at) for one in (other, taken)]
    overlaps = begins[0] < begins[1] + taken.minutes and begins[1] < begins[0] + other.minutes
    if overlaps or other.waiting.replaces_id:
        # What a person gives up for the time stands in the calendar still, and in its own way.
        return overlaps
    try:
        wish = series_wish(other, other.waiting.learner, studio, today)
    except OfferOver:
        return True
    plan = series_plan(wish=wish, studio=studio)
    return bool(plan.in_the_way) or not plan.to_book


def _lose(offer: Offer, by: User, now: datetime) -> None:
    with calendar_held():
        offer = offer_locked(offer)
        if offer.state in {OfferState.OPEN, OfferState.WISHED}:
            offer_settle(offer, OfferState.LOST, None, now)
            offer_record(offer, "offer_lost", by, now)
