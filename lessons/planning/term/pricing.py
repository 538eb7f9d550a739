"""The day's routes that would improve the plan most, at given prices for its lessons.

Labels by place: a label is a way to have taught some lessons of the day, the last of them there.
Waiting has one price a minute, so labels are compared by their cost less that of waiting up to
their end, and an earlier one stands for all its later selves. One label beats another if it costs
no more, ends no later, has used no more of the day's minutes, and has taught none of the lessons
still to come that the other has not (labels for the elementary shortest path with resources;
D. Feillet, P. Dejax, M. Gendreau and C. Gueguen, Networks 44, 2004; from memory).
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from lessons.planning.term.problem import Weights
from lessons.planning.term.week import Route, Visit, Week, fits_after, meal_fits

_SLIP = 1e-7
ALL = 10**9
"""As many labels for a visit as there are: the answer is then exact."""


class _Label(NamedTuple):
    """``level`` is the cost less that of waiting up to ``end``; ``serial`` keeps ties in order."""

    level: float
    serial: int
    end: int
    taught: int
    mask: int
    has_eaten: bool
    visit: Visit
    before: _Label | None

    def route(self) -> Route:
        row = []
        label: _Label | None = self
        while label is not None:
            row.append(label.visit)
            label = label.before
        return tuple(reversed(row))


class Priced(NamedTuple):
    """The least reduced cost found, and routes below zero, best first; exact if not cut short."""

    least: float
    routes: tuple[tuple[float, Route], ...]
    is_exact: bool


class _Node(NamedTuple):
    start: int
    block: int
    end: int
    place: int
    minutes: int
    bit: int
    value: float
    alive: int


@dataclass(slots=True)
class Meter:
    """Counts labels looked at, the same on every machine; ``is_out`` also asks the safety net."""

    most: int
    is_stopped: Callable[[], bool]
    used: int = 0

    def is_out(self) -> bool:
        """Return True when there is no more to spend."""
        return self.used >= self.most or self.is_stopped()


class DayPricer:
    """Prices one day again and again; what does not depend on the prices is kept."""

    def __init__(
        self,
        week: Week,
        day: int,
        weights: Weights,
        penalties: Sequence[Sequence[Mapping[int, int]]],
    ) -> None:
        self.week, self.day, self.weights = week, day, weights
        self.penalties = penalties
        self.choices = sorted(
            (start, block) for block, options in enumerate(week.options) for start in options[day]
        )
        self.last = {block: start for start, block in self.choices}
        drive, need, idle = week.drive, week.need, weights.idle
        places = sorted({week.place[block] for _, block in self.choices})
        # From place to place: minutes needed, and what the road costs more than waiting as long.
        self.steps = {
            q: [(p, need[p][q], (weights.drive - idle) * drive[p][q]) for p in places]
            for q in places
        }

    def price(
        self,
        gains: Sequence[float],
        *,
        evening: float = 0.0,
        fixed_price: float = 0.0,
        kept: int = ALL,
        most: int = 24,
        below: float = -1e-6,
        meter: Meter,
    ) -> Priced:
        """Return the routes with the least reduced cost.

        :param gains: what each block is worth on this day
        :param evening: what it costs that the day becomes an evening
        :param fixed_price: what any route of this day costs besides
        :param kept: labels kept for a visit; fewer are quicker and may overlook the best
        :param below: above zero, not only the best route to each last visit counts but all
        """
        nodes = self._nodes(gains)
        shelves: dict[int, list[_Label]] = {place: [] for place in self.steps}
        found: list[tuple[float, int, _Label]] = []
        home = self.week.drive
        comes_to = self.week.comes_to[self.day]
        serial = 0
        for number, node in enumerate(nodes):
            if number % 16 == 0 and meter.is_out():
                return Priced(0.0, (), is_exact=False)
            labels = self._arrivals(node, shelves, evening, kept, meter)
            shelf = shelves[node.place]
            is_wanted = True
            if below <= 0:
                labels = self._unbeaten(labels, shelf, node, evening, kept)
            for label in labels[:kept]:
                serial += 1
                mine = label._replace(serial=serial)
                insort(shelf, mine)
                if is_wanted:
                    total = mine.level + self.weights.idle * mine.end + fixed_price
                    total += self.weights.drive * home[node.place][comes_to]
                    found.append((total, serial, mine))
                    is_wanted = below > 0
        found.sort()
        least = found[0][0] if found else 0.0
        routes = tuple((total, label.route()) for total, _, label in found if total < below)
        return Priced(min(0.0, least), routes[:most], is_exact=kept >= ALL)

    def _nodes(self, gains: Sequence[float]) -> list[_Node]:
        """Every visit worth thinking of; one that costs more than it gains never helps a metric
        day, but may shorten an odd road or fill a wait, so all that have a gain stay in."""
        week = self.week
        bits: dict[int, int] = {}
        rows: list[tuple[int, int]] = []
        for start, block in self.choices:
            if gains[block] > -1e8:
                bits.setdefault(block, 1 << len(bits))
                rows.append((start, block))
        nodes = []
        for start, block in rows:
            end = start + week.minutes[block]
            alive = sum(bit for other, bit in bits.items() if self.last[other] >= end)
            value = self.penalties[block][self.day][start] - gains[block]
            nodes.append(
                _Node(
                    start, block, end, week.place[block], week.minutes[block],
                    bits[block], value, alive,
                )
            )  # fmt: skip
        return nodes

    def _arrivals(
        self,
        node: _Node,
        shelves: Mapping[int, list[_Label]],
        evening: float,
        kept: int,
        meter: Meter,
    ) -> list[_Label]:
        """Every label at a visit, best first: as the day's first, or after another."""
        week, meal = self.week, self.week.days[self.day].meal
        start, block, end, place, minutes, bit, value, _ = node
        idle = self.weights.idle
        begins = week.problem.evening_begins
        most = week.days[self.day].most_minutes - minutes
        dusk = evening if end > begins else 0.0
        visit = Visit(start, block)
        labels = []
        if most >= 0:
            road = week.drive[week.leaves_from[self.day]][place]
            eaten = meal is None or meal.begins + meal.minutes <= min(meal.ends, start - road)
            if eaten or (meal is not None and fits_after(meal, end)):
                level = value + self.weights.drive * road + dusk - idle * end
                labels.append(_Label(level, 0, end, minutes, bit, eaten, visit, None))
        for there, need, road_cost in self.steps[place]:
            limit, count = start - need, 0
            step = value + road_cost + idle * (start - end)
            shelf = shelves[there]
            meter.used += len(shelf)
            for label in shelf:
                if label.end > limit or label.mask & bit or label.taught > most:
                    continue
                eaten = label.has_eaten
                if not eaten and meal is not None:
                    eaten = meal_fits(meal, label.end, start, need)
                    if not eaten and not fits_after(meal, end):
                        continue
                level = label.level + step
                if dusk and label.end <= begins:
                    level += dusk
                labels.append(
                    _Label(
                        level, label.serial, end, label.taught + minutes, label.mask | bit,
                        eaten, visit, label,
                    )
                )  # fmt: skip
                count += 1
                if count >= kept:
                    break
        labels.sort(key=_by_level)
        return labels

    def _unbeaten(
        self,
        labels: Sequence[_Label],
        shelf: Sequence[_Label],
        node: _Node,
        evening: float,
        kept: int,
    ) -> list[_Label]:
        """The labels that no other at this place beats."""
        alive, begins = node.alive, self.week.problem.evening_begins
        becomes_late = evening > 0 and node.end > begins
        mine: list[_Label] = []
        for label in labels:
            level, _, end, taught, mask, has_eaten, _, _ = label
            open_mask = ~mask & alive
            is_beaten = False
            for other in mine:
                if (
                    other.taught <= taught
                    and not other.mask & open_mask
                    and other.has_eaten >= has_eaten
                ):
                    is_beaten = True
                    break
            if not is_beaten:
                bar = level + _SLIP
                for other in shelf:
                    if other.level > bar:
                        break
                    if (
                        other.end <= end
                        and other.taught <= taught
                        and not other.mask & open_mask
                        and other.has_eaten >= has_eaten
                        and not (becomes_late and other.end <= begins)
                    ):
                        is_beaten = True
                        break
            if not is_beaten:
                mine.append(label)
                if len(mine) >= kept:
                    break
        return mine


def _by_level(label: _Label) -> tuple[float, int]:
    return label.level, label.serial
