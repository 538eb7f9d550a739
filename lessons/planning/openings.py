"""A day as a planner sees it: what is taken, when one may, and how a lesson fits between.

Times are minutes of the local day, roads whole minutes between place numbers.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

Span = tuple[int, int]
"""From a minute of the day up to, and without, another."""


@dataclass(frozen=True, slots=True)
class Window:
    """When somebody can come: a stretch of a weekday, in every week or every few weeks.

    Weeks are counted from that of ``anchor``, never told apart by their number: some years have 53.
    """

    weekday: int
    begins: int
    ends: int
    every_weeks: int = 1
    anchor: date | None = None
    is_preferred: bool = False

    def is_open_on(self, day: date) -> bool:
        """Return True on its weekday, in its weeks."""
        if day.weekday() != self.weekday:
            return False
        if self.every_weeks == 1 or self.anchor is None:
            return True
        weeks = (day.toordinal() - day.weekday() - _monday(self.anchor)) // 7
        return weeks % self.every_weeks == 0


class Busy(NamedTuple):
    """A stretch that is taken. With ``place`` None the teacher may be anywhere meanwhile."""

    start: int
    end: int
    place: int | None
    label: str
    key: int = 0
    is_private: bool = False


Schedule = tuple[Busy, ...]
"""One day's busy stretches in order of time, none overlapping another."""


Ends = tuple[int | None, int | None]
"""The places at which a day begins and ends; None is nowhere that a road leads from or to."""


class Meal(NamedTuple):
    """The meal that a day must leave room for: so many minutes between two minutes of the day."""

    begins: int
    ends: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Ways:
    """The roads: minutes from place to place, and where a day begins and ends unless it says so.

    ``buffer`` is added to every road that is driven; ``by_hour`` are roads that take other minutes
    between two minutes of arrival.
    """

    minutes: Mapping[tuple[int, int], int]
    base: int | None = None
    buffer: int = 0
    by_hour: Mapping[tuple[int, int], tuple[tuple[int, int, int], ...]] = field(
        default_factory=dict
    )

    def road(self, here: int | None, there: int | None, at: int | None = None) -> int:
        """Return the minutes of a road; none within a place, or from or to no place at all.

        :param at: the minute of arrival, for roads that take longer at some hours
        """
        if here is None or there is None or here == there:
            return 0
        if at is not None and self.by_hour:
            for begins, ends, minutes in self.by_hour.get((here, there), ()):
                if begins <= at < ends:
                    return minutes
        return self.minutes[here, there]


class Fit(NamedTuple):
    """How a lesson fits into a day: minutes at the wheel and minutes idle that it adds."""

    added_driving: int
    added_idle: int


_WORDS = {
    "taken": "{label} is then",
    "road_from": "the road from {label} lacks {minutes} min",
    "road_to": "the road to {label} lacks {minutes} min",
    "full": "the day has {minutes} minutes of teaching already",
    "evening": "the week has all the evenings that you teach",
    "meal": "no {minutes} minutes would be left for the meal",
    "apart": "it is too near another lesson of theirs",
}


class Misfit(NamedTuple):
    """Why a lesson does not fit: which rule, whose stretch is in the way, minutes that matter."""

    rule: str
    label: str = ""
    minutes: int = 0
    blocker: int = 0

    @property
    def kind(self) -> str:
        """What to count it as: the roads there and on are one."""
        return "road" if self.rule.startswith("road") else self.rule

    @property
    def words(self) -> str:
        """The reason as a person says it."""
        return _WORDS[self.rule].format(label=self.label, minutes=self.minutes)


class Gap(NamedTuple):
    """What lies between two neighbours of a day for a lesson of a length at a place.

    ``came_from`` and ``goes_to`` are the nearest stretches that have a place; ``ready`` and ``due``
    the first and the last start that their roads allow, None where the day is open.
    ``squeezed`` are the minutes missing when the lesson itself has no place.
    """

    before: Busy | None
    after: Busy | None
    came_from: Busy | None
    goes_to: Busy | None
    ready: int | None
    due: int | None
    driving: int
    idle: int
    squeezed: int


def gap_at(
    day: Schedule,
    at: int,
    minutes: int,
    place: int | None,
    ways: Ways,
    ends: Ends | None = None,
    start: int | None = None,
) -> Gap:
    """Return the gap before the stretch number ``at`` of a day.

    ``start`` matters only for roads that take longer at some hours.

    A stretch without a place leaves the teacher where the one before was, so the road goes on from
    there; it may be driven on either side of that stretch.
    """
    starts_from, ends_at = ends or (ways.base, ways.base)
    came_from, over = _looking_back(day, at)
    goes_to, begins = _looking_on(day, at)
    here = came_from.place if came_from else starts_from
    then = goes_to.place if goes_to else ends_at
    arrival = goes_to.start if goes_to else None
    straight = ways.road(here, then, arrival)
    there, on = 0, 0
    if place is not None:
        there, on = ways.road(here, place, start), ways.road(place, then, arrival)
    squeezed = 0
    if place is None and over is not None and begins is not None:
        squeezed = max(0, minutes + _needed(straight, ways) - (begins - over))
    detour = 0 if place is None else there + on - straight
    return Gap(
        before=day[at - 1] if at else None,
        after=day[at] if at < len(day) else None,
        came_from=came_from,
        goes_to=goes_to,
        ready=None if over is None else over + _needed(there, ways),
        due=None if begins is None else begins - minutes - _needed(on, ways),
        driving=detour,
        idle=-detour - minutes,
        squeezed=squeezed,
    )


def fit_in(gap: Gap, start: int, minutes: int) -> Fit | Misfit:
    """Put a lesson into a gap, or say what it meets there."""
    before, after = gap.before, gap.after
    if before is not None and before.end > start:
        return Misfit("taken", before.label, 0, before.key)
    if after is not None and start + minutes > after.start:
        return Misfit("taken", after.label, 0, after.key)
    ready, due = gap.ready, gap.due
    if ready is not None and gap.came_from is not None and start < ready:
        return Misfit("road_from", gap.came_from.label, ready - start, gap.came_from.key)
    if due is not None and gap.goes_to is not None:
        late = max(start - due, gap.squeezed)
        if late > 0:
            return Misfit("road_to", gap.goes_to.label, late, gap.goes_to.key)
    if ready is not None and due is not None:
        return Fit(gap.driving, gap.idle)
    waiting = start - ready if ready is not None else due - start if due is not None else 0
    return Fit(gap.driving, waiting)


def placed(
    day: Schedule,
    start: int,
    minutes: int,
    place: int | None,
    ways: Ways,
    ends: Ends | None = None,
) -> Fit | Misfit:
    """Put a lesson into a day, or say what it meets there."""
    at = bisect_right(day, start, key=lambda busy: busy.start)
    return fit_in(gap_at(day, at, minutes, place, ways, ends, start), start, minutes)


def has_meal(day: Schedule, meal: Meal, ways: Ways) -> bool:
    """Return True if some gap of the day holds the meal besides its road."""
    for at in range(len(day) + 1):
        opens = max(meal.begins, day[at - 1].end if at else 0)
        closes = min(meal.ends, day[at].start if at < len(day) else 24 * 60)
        if closes - opens < meal.minutes:
            continue
        came_from, over = _looking_back(day, at)
        goes_to, begins = _looking_on(day, at)
        if came_from is None or over is None or goes_to is None or begins is None:
            return True
        road = _needed(ways.road(came_from.place, goes_to.place, goes_to.start), ways)
        if begins - over - road >= meal.minutes:
            return True
    return False


def _looking_back(day: Schedule, at: int) -> tuple[Busy | None, int | None]:
    """Where one comes from, and the minute from which on the time is free for the road."""
    anywhere = 0
    for busy in reversed(day[:at]):
        if busy.place is not None:
            return busy, busy.end + anywhere
        anywhere += busy.end - busy.start
    return None, None


def _looking_on(day: Schedule, at: int) -> tuple[Busy | None, int | None]:
    """Where one goes on to, and the minute up to which the time is free for the road."""
    anywhere = 0
    for busy in day[at:]:
        if busy.place is not None:
            return busy, busy.start - anywhere
        anywhere += busy.end - busy.start
    return None, None


def _needed(road: int, ways: Ways) -> int:
    return road + ways.buffer if road else 0


def _monday(day: date) -> int:
    return day.toordinal() - day.weekday()
