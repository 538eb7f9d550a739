"""Who waits, which times fell free, and whom they would fit: find-a-time's core on each window."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from lessons.models import Offer, Waiting, WaitingWindow
from lessons.planning.find_time import DAY_MINUTES, Opening
from lessons.planning.openings import Window
from lessons.selectors.booked import BookedDays, booked_days, minute_of
from lessons.selectors.finding import (
    ALL_DAYS,
    FoundTimes,
    TimeWish,
    times_in,
    windows_by_student,
)
from lessons.selectors.fits import FitFor, SlotFits
from lessons.selectors.free_slots import MOST_SLOTS, FreeSlot
from lessons.selectors.offers import offers_by_slot, open_offers
from studio.models import Studio

MOST_ALTERNATIVES, MOST_A_WEEKDAY, APART = 8, 3, 30
# Starts are looked for every five minutes; a round one is taken where it costs no more.
GRID, ROUND = 5, 15
# What is left of a stretch that was offered round is worth a line from this length on.
SHORTEST_REST = 15


def waiting_in_order() -> list[Waiting]:
    """Return everybody who looks for a time, the longest wait first."""
    return list(Waiting.objects.looking().with_people().in_order())


def slots_with_fits(
    *, slots: Sequence[FreeSlot], studio: Studio, now: datetime
) -> tuple[SlotFits, ...]:
    """Return each stretch with those whom it fits, in their order.

    A dozen queries, whatever the numbers. A stretch that is taken again, and was offered to nobody,
    is left out.
    """
    waiting = waiting_in_order()
    if not slots:
        return ()
    booked = booked_days(
        first_date=min(slot.first_date for slot in slots),
        last_date=max(slot.last_date for slot in slots),
        places=[one.place for one in waiting],
        studio=studio,
    )
    windows = _windows(waiting)
    offers = offers_by_slot()
    standing = open_offers(waiting, now)
    result = []
    for slot in slots:
        made = offers.get(slot.key, {})
        if not made and not _is_free(slot, booked):
            continue
        fits = tuple(
            _with_offers(
                fit_for(slot, one, windows[one.pk], booked),
                made.get(one.pk),
                standing.get(one.pk, []),
                now,
            )
            for one in waiting
        )
        result.append(SlotFits(slot, fits))
    return tuple(result[:MOST_SLOTS])


def fit_for(
    slot: FreeSlot, waiting: Waiting, windows: Sequence[Window], booked: BookedDays
) -> FitFor:
    """Look for a start whose lesson takes time of the stretch, within the person's windows.

    Of starts that cost alike, the one that takes most of the stretch and least beside it.
    """
    reach = Window(
        slot.weekday,
        max(0, slot.begins - waiting.minutes + SHORTEST_REST),
        min(DAY_MINUTES, slot.ends + waiting.minutes - SHORTEST_REST),
    )
    shared = tuple(_both(window, reach) for window in windows if window.weekday == slot.weekday)
    shared = tuple(window for window in shared if window.ends - window.begins >= waiting.minutes)
    if not shared:
        hours = f"{slot.begins_at:%H:%M} and {slot.ends_at:%H:%M}"
        return FitFor(waiting, None, f"cannot come on {slot.day} between {hours}")
    found = _searched(slot, waiting, shared, booked)
    touching = [
        one
        for one in (*found.found.openings, *found.found.partial)
        if one.start < slot.ends and slot.begins < one.start + waiting.minutes
    ]
    if not touching:
        return FitFor(waiting, None, _why_not(found, waiting))
    most = max(len(one.free) for one in touching)
    best = min(
        (one for one in touching if len(one.free) == most),
        key=lambda one: (
            round(one.cost / 5),
            max(one.start, slot.begins) - min(one.start + waiting.minutes, slot.ends),
            one.start != slot.begins,
            one.start % ROUND,
            one.start,
        ),
    )
    return FitFor(waiting, best, "")


def alternatives_for(
    *, waiting: Waiting, last_date: date, studio: Studio, today: date
) -> list[Opening]:
    """Return other times that are free on every date and within the person's windows."""
    tomorrow = today + timedelta(days=1)
    if last_date < tomorrow:
        return []
    booked = booked_days(
        first_date=tomorrow,
        last_date=last_date,
        places=[waiting.place],
        studio=studio,
        besides=[waiting.replaces_id] if waiting.replaces_id else [],
    )
    windows = _windows([waiting])[waiting.pk]
    wish = TimeWish(
        waiting.learner, waiting.place, waiting.minutes, tomorrow, last_date, windows, grid=ROUND
    )
    openings = times_in(booked, wish).found.openings
    kept: list[Opening] = []
    for one in openings:
        same_day = [other for other in kept if other.weekday == one.weekday]
        # A few of each weekday, apart from each other: a choice, not a list of every quarter hour.
        if len(same_day) < MOST_A_WEEKDAY and all(
            abs(one.start - other.start) >= APART for other in same_day
        ):
            kept.append(one)
    return kept[:MOST_ALTERNATIVES]


def _searched(
    slot: FreeSlot, waiting: Waiting, windows: tuple[Window, ...], booked: BookedDays
) -> FoundTimes:
    if waiting.replaces_id:
        booked = replace(
            booked,
            teaching={
                day: replace(
                    teaching,
                    schedule=tuple(
                        busy for busy in teaching.schedule if busy.key != waiting.replaces_id
                    ),
                )
                for day, teaching in booked.teaching.items()
                if day.weekday() == slot.weekday
            },
        )
    wish = TimeWish(
        waiting.learner,
        waiting.place,
        waiting.minutes,
        slot.first_date,
        slot.last_date,
        windows,
        grid=GRID,
    )
    return times_in(booked, wish)


def _why_not(found: FoundTimes, waiting: Waiting) -> str:
    words = {
        "taken": f"no {waiting.minutes} minutes are free there",
        "road": "the road to them or from them is too long",
        "full": "the day is full",
        "evening": "the week has all the evenings that you teach",
        "meal": "no time would be left for the meal",
        "apart": "it is too near another lesson of theirs",
    }
    if found.found.reasons:
        return words.get(found.found.reasons[0][0], "something else is in the way")
    if found.latest_end is not None:
        return f"has to be home by {found.latest_end:%H:%M}"
    return "it is outside your hours"


def _is_free(slot: FreeSlot, booked: BookedDays) -> bool:
    """Return True if on some date nothing takes the whole of the stretch."""
    for day, teaching in booked.teaching.items():
        if day.weekday() != slot.weekday or not slot.first_date <= day <= slot.last_date:
            continue
        taken = sum(
            max(0, min(busy.end, slot.ends) - max(busy.start, slot.begins))
            for busy in teaching.schedule
        )
        if slot.ends - slot.begins - taken >= SHORTEST_REST:
            return True
    return False


def _both(window: Window, reach: Window) -> Window:
    return replace(
        window, begins=max(window.begins, reach.begins), ends=min(window.ends, reach.ends)
    )


def _windows(waiting: Sequence[Waiting]) -> Mapping[int, tuple[Window, ...]]:
    """A person's own windows; else those of the student; else any time."""
    own = windows_by_student([one.student_id for one in waiting if one.student_id])
    return {
        one.pk: tuple(_window(row) for row in one.windows.all())
        or own.get(one.student_id or 0, ())
        or ALL_DAYS
        for one in waiting
    }


def _window(row: WaitingWindow) -> Window:
    ends = minute_of(row.ends_at) or DAY_MINUTES
    return Window(row.weekday, minute_of(row.begins_at), ends, is_preferred=row.is_preferred)


def _with_offers(
    fit: FitFor, this: Offer | None, standing: Sequence[Offer], now: datetime
) -> FitFor:
    others = [offer for offer in standing if this is None or offer.pk != this.pk]
    is_open = this is not None and this.is_open_at(now)
    return replace(fit, offer=this, elsewhere=others[0] if others else None, is_open=is_open)
