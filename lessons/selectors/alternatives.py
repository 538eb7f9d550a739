"""What would have to give for a lesson to fit, when nothing fits: the nearest of each kind.

Each kind is one more search in the days that are read already, a few milliseconds each.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from lessons.models.calendar import WEEKDAYS
from lessons.planning.find_time import DAY_MINUTES, Opening, TeachingDay, Wanted, find_times
from lessons.planning.openings import Window
from lessons.selectors.booked import BookedDays
from lessons.selectors.finding import TimeWish, looked_for

WIDER = (15, 30, 60)
"""By how many minutes a family's times are widened, one after another."""


@dataclass(frozen=True, slots=True)
class Alternative:
    """A time that would be free, and what has to give for it."""

    opening: Opening
    gives: str


def alternatives(booked: BookedDays, wish: TimeWish) -> tuple[Alternative, ...]:
    """Return the best time of each thing that could give; asks the database nothing."""
    days, wanted, latest_end = looked_for(booked, wish)
    found: list[Alternative] = []
    for one in (
        _without_buffer(booked, wish, days, wanted),
        _wider(booked, wish, days, wanted),
        _later(booked, wish, days, wanted, latest_end is not None),
        _limits_aside(booked, wish, days, wanted),
        _other_day(booked, wish, days, wanted),
    ):
        if one is not None and one.opening not in [each.opening for each in found]:
            found.append(one)
    return tuple(found)


def _best(
    booked: BookedDays,
    wish: TimeWish,
    days: Mapping[date, TeachingDay],
    wanted: Wanted,
    *,
    buffer: int | None = None,
) -> Opening | None:
    """The best opening that is free on every date."""
    ways = booked.ways if buffer is None else replace(booked.ways, buffer=buffer)
    openings = find_times(wanted, days, ways, grid=wish.grid).openings
    return openings[0] if openings else None


def _without_buffer(
    booked: BookedDays, wish: TimeWish, days: Mapping[date, TeachingDay], wanted: Wanted
) -> Alternative | None:
    spare = booked.ways.buffer
    if not spare:
        return None
    opening = _best(booked, wish, days, wanted, buffer=0)
    if opening is None:
        return None
    return Alternative(opening, f"your {spare} minutes to spare on the road")


def _wider(
    booked: BookedDays, wish: TimeWish, days: Mapping[date, TeachingDay], wanted: Wanted
) -> Alternative | None:
    for minutes in WIDER:
        windows = tuple(
            replace(
                one,
                begins=max(0, one.begins - minutes),
                ends=min(DAY_MINUTES, one.ends + minutes),
            )
            for one in wanted.windows
        )
        opening = _best(booked, wish, days, replace(wanted, windows=windows))
        if opening is not None:
            return Alternative(opening, _beyond(opening, wanted))
    return None


def _beyond(opening: Opening, wanted: Wanted) -> str:
    """How far outside the family's times an opening lies, by the nearest of them."""
    end = opening.start + wanted.minutes
    early, late = min(
        (
            (max(0, one.begins - opening.start), max(0, end - one.ends))
            for one in wanted.windows
            if one.weekday == opening.weekday
        ),
        key=sum,
    )
    parts = [f"begins {early} minutes earlier"] * bool(early)
    parts += [f"ends {late} minutes later"] * bool(late)
    return f"{' and '.join(parts)} than the family said"


def _later(
    booked: BookedDays,
    wish: TimeWish,
    days: Mapping[date, TeachingDay],
    wanted: Wanted,
    is_bounded: bool,  # noqa: FBT001 - a fact of the wish, not a switch
) -> Alternative | None:
    if not is_bounded:
        return None
    opening = _best(booked, wish, days, replace(wanted, latest_end=DAY_MINUTES))
    if opening is None:
        return None
    bound = f"{wanted.latest_end // 60}:{wanted.latest_end % 60:02}"
    return Alternative(opening, f"the hour by which it has to be over, {bound}")


def _limits_aside(
    booked: BookedDays, wish: TimeWish, days: Mapping[date, TeachingDay], wanted: Wanted
) -> Alternative | None:
    free = {
        day: replace(
            teaching,
            most_minutes=DAY_MINUTES,
            meal=None,
            evening_from=DAY_MINUTES,
            is_too_near=False,
        )
        for day, teaching in days.items()
    }
    opening = _best(booked, wish, free, wanted)
    if opening is None:
        return None
    kept = find_times(wanted, days, booked.ways, grid=wish.grid)
    given = [_LIMIT_WORDS[kind] for kind, _ in kept.reasons if kind in _LIMIT_WORDS]
    return Alternative(opening, " and ".join(given) or "your limits of the day")


_LIMIT_WORDS = {
    "full": "your most minutes a day",
    "evening": "your evenings a week",
    "meal": "your meal",
    "apart": "the days between two lessons",
}


def _other_day(
    booked: BookedDays, wish: TimeWish, days: Mapping[date, TeachingDay], wanted: Wanted
) -> Alternative | None:
    named = {one.weekday for one in wanted.windows}
    windows = tuple(_open_on(named))
    if not windows:
        return None
    opening = _best(booked, wish, days, replace(wanted, windows=windows))
    if opening is None:
        return None
    return Alternative(opening, f"the weekday: {dict(WEEKDAYS)[opening.weekday]} was not named")


def _open_on(named: set[int]) -> Iterator[Window]:
    return (Window(day, 0, DAY_MINUTES) for day in range(7) if day not in named)
