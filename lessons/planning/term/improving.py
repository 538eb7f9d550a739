"""One plan made as good as can be at its weights: search, whole days, and its own bound."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from lessons.planning.term.pricing import Meter
from lessons.planning.term.problem import Budget, Weights
from lessons.planning.term.search import searched
from lessons.planning.term.week import Route, Routes, Week, cost

if TYPE_CHECKING:
    from lessons.planning.term.columns import Master

_GOOD = 1e-6
_SPARE_LABELS = 30
_SPARE_ROUTES = 1_200


class Watch(Protocol):
    """Asked now and then whether to go on; raises if somebody wants it to stop."""

    def is_late(self) -> bool:
        """Return True when the safety net was reached."""

    def tell(self, share: float, words: str) -> None:
        """Say how far this plan is, from 0 to 1."""


@dataclass(frozen=True, slots=True)
class Improved:
    """The days, what they cost, the bound if there is one, and the routes worth knowing again."""

    routes: Routes
    cost: int
    bound: float | None
    known: tuple[tuple[int, Route], ...]


@dataclass(slots=True)
class _Best:
    week: Week
    weights: Weights
    penalties: Sequence[Sequence[Mapping[int, int]]]
    routes: Routes
    cost: int

    def offer(self, routes: Routes | None) -> bool:
        """Take other days if they are sound, place as many, and cost less."""
        if routes is None or sum(map(len, routes)) < sum(map(len, self.routes)):
            return False
        price = cost(self.week, self.weights, self.penalties, routes)
        if price >= self.cost or not self.week.is_whole_kept(routes):
            return False
        self.routes, self.cost = routes, price
        return True


def improved(
    week: Week,
    weights: Weights,
    starts: Sequence[Routes],
    known: Sequence[tuple[int, Route]],
    *,
    budget: Budget,
    seed: int,
    is_solving: bool,
    watch: Watch,
) -> Improved:
    """Return better days than the best of those given.

    :param week: of blocks that all have a time in ``starts``
    :param known: routes from earlier plans of the same week
    """
    penalties = week.penalties(weights)
    first = min(starts, key=lambda routes: cost(week, weights, penalties, routes))
    best = _Best(week, weights, penalties, first, cost(week, weights, penalties, first))
    rounds = budget.search_rounds if is_solving else 4 * budget.search_rounds

    def look(share: float, words: str) -> Callable[[int], bool]:
        def asked(_: int) -> bool:
            watch.tell(share, words)
            return not watch.is_late()

        return asked

    best.offer(
        searched(
            week, weights, penalties, first, rounds=rounds, seed=seed, look=look(0.05, "trying out")
        )
    )
    if not is_solving:
        return Improved(best.routes, best.cost, None, ())
    return _with_columns(best, starts, known, budget=budget, seed=seed, watch=watch)


def _with_columns(
    best: _Best,
    starts: Sequence[Routes],
    known: Sequence[tuple[int, Route]],
    *,
    budget: Budget,
    seed: int,
    watch: Watch,
) -> Improved:
    """Column generation, dives, and the best choice of whole days; then the same on more routes."""
    from lessons.planning.term.columns import Master

    master = Master(best.week, best.weights, best.penalties, 0)
    for routes in (*starts, best.routes):
        for day, route in enumerate(routes):
            master.add(day, route)
    for day, route in known:
        master.add(day, route)

    def is_stopped() -> bool:
        watch.tell(0.4, "weighing whole days")
        return watch.is_late()

    master.generate(Meter(budget.labels, is_stopped))
    half = budget.dives // 2
    _dive(best, master, range(half), budget, watch)
    _choose(best, master, budget.choosing_seconds / 4, seed, watch)
    worth_knowing = len(master.columns)
    if master.bound is not None and not _is_closed(best, master.bound) and not watch.is_late():
        # Only routes whose reduced cost is below what is still open can be in a better plan.
        master.price_all(
            master.solve(),
            _SPARE_LABELS,
            Meter(budget.labels // 4, watch.is_late),
            below=best.cost - master.bound,
            most=_SPARE_ROUTES,
        )
    _dive(best, master, range(half, budget.dives), budget, watch)
    _choose(best, master, budget.choosing_seconds, seed, watch)
    bound = None if master.bound is None else max(0.0, master.bound)
    known_now = tuple((one.day, one.route) for one in master.columns[:worth_knowing])
    return Improved(best.routes, best.cost, bound, known_now)


def _dive(best: _Best, master: Master, numbers: range, budget: Budget, watch: Watch) -> None:
    from lessons.planning.term.choosing import dived

    for number in numbers:
        if watch.is_late() or _is_closed(best, master.bound):
            return
        watch.tell(0.5 + 0.4 * number / budget.dives, "settling day after day")
        best.offer(dived(master, Meter(budget.labels // 4, watch.is_late), skip=number))


def _choose(best: _Best, master: Master, seconds: float, seed: int, watch: Watch) -> None:
    from lessons.planning.term.choosing import chosen

    if not watch.is_late() and not _is_closed(best, master.bound):
        watch.tell(0.7, "choosing among whole days")
        best.offer(chosen(master, best.routes, best.cost, seconds=seconds, seed=seed))


def _is_closed(best: _Best, bound: float | None) -> bool:
    """Return True if nothing whole can lie between the cost and the bound."""
    return bound is not None and best.cost - bound < 1 - _GOOD
