"""The order of one day's visits with the least driving that keeps every promise.

Exact for a teacher's day: labels over (visits made, last visit), each with the time it is and the
minutes driven, keeping those that no other label beats in both (forward dynamic programming for the
travelling salesman with time windows; Y. Dumas, J. Desrosiers, E. Gelinas and M. M. Solomon,
Operations Research 43, 1995). Beyond ``MOST_LABELS`` it falls back to a local search and says that
the answer is not proven. Times are minutes of the local day, roads whole minutes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from lessons.planning.day_times import (
    DayVisit,
    Roads,
    Timed,
    best_times,
    drive,
    is_kept,
    unkindness,
)
from lessons.planning.matching import prices

MOST_LABELS = 300_000


class NoOrder(ValueError):
    """No order keeps every promise; ``is_proven`` tells a proof from a search that gave up."""

    def __init__(self, message: str, *, is_proven: bool) -> None:
        super().__init__(message)
        self.is_proven = is_proven


@dataclass(frozen=True, slots=True)
class DayOrder:
    """The visits in their new order and times; ``driving`` in minutes, both ends included."""

    visits: tuple[Timed, ...]
    driving: int
    waiting: int
    is_proven: bool

    @property
    def keys(self) -> tuple[int, ...]:
        """The visits' keys in the order of the day."""
        return tuple(timed.visit.key for timed in self.visits)

    @property
    def moved(self) -> tuple[Timed, ...]:
        """The visits whose time is another than today."""
        return tuple(timed for timed in self.visits if timed.start != timed.visit.at)


def best_order(
    visits: Sequence[DayVisit],
    roads: Mapping[tuple[int, int], int],
    *,
    starts_from: int | None = None,
    ends_at: int | None = None,
    begins: int = 0,
    grid: int = 1,
    most_labels: int = MOST_LABELS,
) -> DayOrder:
    """Return the order that drives least; of equal ones the first in the order of the keys.

    :param roads: minutes from place to place, for every pair of different places
    :param starts_from: the place where the day begins (None: no road to the first visit counts)
    :param begins: the earliest minute of the day at which the teacher leaves
    :param grid: lessons start at multiples of so many minutes, unless a time is fixed
    :raises NoOrder: when no order keeps all windows
    """
    day = Roads(roads, starts_from, ends_at, begins, grid)
    ordered = sorted(visits, key=lambda visit: (visit.opens, visit.latest, visit.key))
    if not ordered:
        return DayOrder((), 0, 0, is_proven=True)
    search = _Search(ordered, day, most_labels)
    found = search.run() or search.known
    if found is None and search.is_complete:
        raise NoOrder("no order of these visits keeps every promised time", is_proven=True)
    if found is None:
        raise NoOrder("no order was found that keeps every promised time", is_proven=False)
    times = _kindest(found, search.starts, day)
    waiting = sum(timed.waiting for timed in times)
    return DayOrder(tuple(times), drive(found, day), waiting, is_proven=search.is_complete)


def _kindest(
    found: list[DayVisit], others: Sequence[list[DayVisit]], day: Roads
) -> Sequence[Timed]:
    """Return the times of the order found, or of another that drives no more and moves less."""
    orders = [found, *(other for other in others if drive(other, day) == drive(found, day))]
    return min((best_times(order, day) for order in orders), key=unkindness)


class _Label(NamedTuple):
    """One way to have made some visits: the minute it is over, minutes driven, what came before."""

    over: int
    driven: int
    visit: int
    before: _Label | None


class _Step(NamedTuple):
    """A visit seen from where one is: its number, its bit, the road to it, and its promise."""

    visit: int
    bit: int
    road: int
    way: int
    opens: int
    latest: int
    minutes: int
    grid: int
    here: int
    price: int


_Layer = dict[tuple[int, int], list[_Label]]


class _Search:
    """One search; ``known`` is the best order found by the quick local search beforehand.

    Where one is, is the number of the visit that took one there (the count of visits stands for
    the day's beginning): a stretch of time without a place leaves one where one was.
    """

    def __init__(self, visits: Sequence[DayVisit], day: Roads, most_labels: int) -> None:
        self.visits, self.day, self.most_labels = visits, day, most_labels
        self.is_complete = True
        self.starts = _orders_that_hold(visits, day)
        self.starts += [_descended(order, day) for order in self.starts]
        self.known = min(self.starts, key=lambda order: drive(order, day), default=None)
        # Only what drives less than the order that is known already is worth following.
        self.bound = drive(self.known, day) if self.known else sum(day.minutes.values()) + 1
        ways = day.closure(visits)
        self.leaving, self.reaching = prices(self._roads_at_least(ways))
        begin = [day.road(day.starts_from, visit.place) for visit in visits]
        least = [min(way + ways[k][n] for k, way in enumerate(begin)) for n in range(len(visits))]
        self.steps = [self._steps(here, ways[here]) for here in range(len(visits))]
        self.steps.append(self._steps(len(visits), least))

    def run(self) -> list[DayVisit] | None:
        """Return the best order, or None: proven if ``is_complete``."""
        count = len(self.visits)
        layer: _Layer = {(0, count): [_Label(self.day.begins, 0, -1, None)]}
        made = 0
        for _ in range(count):
            following: _Layer = {}
            for (mask, here), labels in layer.items():
                left = self.reaching[count] + sum(
                    self.leaving[n] + self.reaching[n] for n in range(count) if not mask >> n & 1
                )
                open_steps = [step for step in self.steps[here] if not mask & step.bit]
                for label in labels:
                    _grow(label, mask, open_steps, self.bound - left, following)
            made += sum(len(labels) for labels in following.values())
            if made > self.most_labels:
                self.is_complete = False
                return None
            layer = following
        ends = [
            (label.driven + self._road_home(here), label.over, here, label)
            for (_, here), labels in layer.items()
            for label in labels
        ]
        return self._path(min(ends, key=lambda end: end[:3])[3]) if ends else None

    def _steps(self, here: int, ways: Sequence[int]) -> list[_Step]:
        place = self.day.starts_from if here == len(self.visits) else self.visits[here].place
        return [
            _Step(
                visit=number,
                bit=1 << number,
                road=self.day.road(place, visit.place),
                way=ways[number],
                opens=visit.opens,
                latest=visit.latest,
                minutes=visit.minutes,
                grid=1 if visit.is_fixed else self.day.grid,
                here=here if visit.place is None else number,
                price=self.reaching[number],
            )
            for number, visit in enumerate(self.visits)
        ]

    def _road_home(self, here: int) -> int:
        place = self.day.starts_from if here == len(self.visits) else self.visits[here].place
        return self.day.road(place, self.day.ends_at)

    def _path(self, label: _Label | None) -> list[DayVisit]:
        order: list[DayVisit] = []
        while label is not None and label.visit >= 0:
            order.append(self.visits[label.visit])
            label = label.before
        return order[::-1]

    def _roads_at_least(self, ways: Sequence[Sequence[int]]) -> list[list[int]]:
        """The least cost from each visit (then the beginning) to each visit (then the end).

        A day is a matching of these, so the prices of the cheapest matching tell what the rest of
        any day costs at least. From a stretch without a place one may be anywhere; a road that
        always comes too late costs more than any day.
        """
        never = sum(self.day.minutes.values()) + 1
        table = []
        for number, visit in enumerate(self.visits):
            over = visit.opens + visit.minutes
            costs = [
                never
                if number == other or over + ways[number][other] > there.latest
                else 0
                if visit.place is None
                else self.day.road(visit.place, there.place)
                for other, there in enumerate(self.visits)
            ]
            table.append([*costs, self.day.road(visit.place, self.day.ends_at)])
        begin = [self.day.road(self.day.starts_from, visit.place) for visit in self.visits]
        return [*table, [*begin, never]]


def _grow(
    label: _Label, mask: int, open_steps: Sequence[_Step], room: int, following: _Layer
) -> None:
    """Add what can come next, unless it leads to nothing better or a promise is past keeping."""
    over, driven = label.over, label.driven
    for step in open_steps:
        if over + step.way > step.latest:
            return
    for number, bit, road, _, opens, latest, minutes, grid, here, price in open_steps:
        cost = driven + road
        if cost - price >= room:
            continue
        start = over + road
        if start < opens:
            start = opens
        start += -start % grid
        if start > latest:
            continue
        key = (mask | bit, here)
        new = _Label(start + minutes, cost, number, label)
        labels = following.get(key)
        if labels is None:
            following[key] = [new]
        else:
            _keep(labels, new)


def _keep(labels: list[_Label], new: _Label) -> None:
    """Add a label unless one is no worse in both; drop those it beats."""
    for label in labels:
        if label.over <= new.over and label.driven <= new.driven:
            return
    labels[:] = [
        label for label in labels if not (new.over <= label.over and new.driven <= label.driven)
    ]
    labels.append(new)


def _orders_that_hold(visits: Sequence[DayVisit], day: Roads) -> list[list[DayVisit]]:
    """Today's order, and that of the last possible starts, if they keep every promise."""
    orders = [
        sorted(visits, key=lambda visit: (visit.at, visit.key)),
        sorted(visits, key=lambda visit: (visit.latest, visit.key)),
    ]
    return [order for order in orders if is_kept(order, day)]


def _descended(order: list[DayVisit], day: Roads) -> list[DayVisit]:
    """Move one visit, or turn a stretch round, while that drives less and keeps the promises."""
    best, cost = order, drive(order, day)
    is_better = True
    while is_better:
        is_better = False
        for other in _neighbours(best):
            if drive(other, day) < cost and is_kept(other, day):
                best, cost, is_better = other, drive(other, day), True
                break
    return best


def _neighbours(order: list[DayVisit]) -> list[list[DayVisit]]:
    count = len(order)
    found = []
    for first in range(count):
        rest = order[:first] + order[first + 1 :]
        found += [
            [*rest[:place], order[first], *rest[place:]] for place in range(count) if place != first
        ]
        found += [
            order[:first] + order[first:last][::-1] + order[last:]
            for last in range(first + 3, count + 1)
        ]
    return found
