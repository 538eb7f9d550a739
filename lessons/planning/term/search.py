"""Large-neighbourhood search: take some lessons out, put them back better, many times.

Pure Python, and the same answer every time: it counts rounds and asks no clock. Which lessons come
out is drawn by chance: any, those of a stretch of a day and near it, or those round the times of
one that has none. They go back in the order of what waiting would cost them (regret). Worse results
are kept now and then, less and less often (S. Ropke and D. Pisinger, Transportation Science 40,
2006; from memory).
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping, Sequence

from lessons.planning.term.insertion import NEVER, NO_SPOT, Draft, Spot
from lessons.planning.term.problem import Weights
from lessons.planning.term.week import Routes, Week

LEFT_OUT = 5_000
"""What a lesson without a time costs the search; more than any day of driving."""

_WARM, _COLD = 60.0, 2.0
_BLINK = 0.05


def searched(
    week: Week,
    weights: Weights,
    penalties: Sequence[Sequence[Mapping[int, int]]],
    routes: Routes | None = None,
    *,
    rounds: int,
    seed: int,
    look: Callable[[int], bool] = lambda _: True,
    until_all_placed: bool = False,
) -> Routes:
    """Return better days than those given, or days from nothing.

    :param look: told the round now and then; False ends the search
    """
    search = _Search(week, weights, penalties, routes, seed)
    for number in range(rounds):
        if until_all_placed and not search.best_out:
            break
        if number % 32 == 0 and not look(number):
            break
        search.round(_WARM * (_COLD / _WARM) ** (number / rounds))
    return search.best.frozen()


class _Search:
    def __init__(
        self,
        week: Week,
        weights: Weights,
        penalties: Sequence[Sequence[Mapping[int, int]]],
        routes: Routes | None,
        seed: int,
    ) -> None:
        self.week = week
        self.dice = random.Random(seed)  # noqa: S311  (a search, no secret)
        self.can_move = [
            block
            for block in range(len(week.blocks))
            if not week.blocks[block].is_fixed and any(week.options[block])
        ]
        self.now = Draft(week, weights, penalties, routes)
        fixed = [block for block, one in enumerate(week.blocks) if one.is_fixed]
        self._put_back(self.now, [b for b in fixed if self.now.day_of[b] < 0], 0)
        self._put_back(self.now, [b for b in self.can_move if self.now.day_of[b] < 0], 0)
        self.costs = [self.now.day_cost(day) for day in range(len(week.days))]
        self.best, self.best_cost = self.now, self._total(self.now, self.costs)
        self.now_cost = self.best_cost
        self.best_out = self._out(self.now)

    def _out(self, draft: Draft) -> list[int]:
        return [block for block in self.can_move if draft.day_of[block] < 0]

    def _total(self, draft: Draft, costs: Sequence[int]) -> int:
        lessons = sum(len(self.week.blocks[block].jobs) for block in draft.left_out())
        return sum(costs) + LEFT_OUT * lessons

    def round(self, warmth: float) -> None:
        if not self.can_move:
            return
        draft = self.now.copied()
        taken = self._taken(draft)
        touched = {draft.day_of[block] for block in taken}
        for block in taken:
            draft.take(block)
        self._put_back(draft, sorted({*taken, *self._out(draft)}), _BLINK)
        touched |= {
            day for day in range(len(self.costs)) if draft.routes[day] != self.now.routes[day]
        }
        costs = list(self.costs)
        for day in sorted(touched - {-1}):
            draft.retime(day)
            costs[day] = draft.day_cost(day)
        total = self._total(draft, costs)
        worse = total - self.now_cost
        if worse <= 0 or self.dice.random() < math.exp(-worse / warmth):
            self.now, self.costs, self.now_cost = draft, costs, total
        if total < self.best_cost:
            self.best, self.best_cost, self.best_out = draft, total, self._out(draft)

    def _taken(self, draft: Draft) -> list[int]:
        placed = [block for block in self.can_move if draft.day_of[block] >= 0]
        if not placed:
            return []
        dice = self.dice
        count = min(len(placed), dice.randint(2, max(4, min(14, len(placed) // 3))))
        out = self._out(draft)
        if out and dice.random() < 0.6:
            return self._round_times_of(draft, dice.choice(out), placed, count)
        kind = dice.random()
        if kind < 0.3:
            return dice.sample(placed, count)
        if kind < 0.75:
            return self._stretch(draft, dice.choice(placed), placed, count)
        return self._round_times_of(draft, dice.choice(placed), placed, count)

    def _stretch(self, draft: Draft, seed: int, placed: Sequence[int], count: int) -> list[int]:
        """Visits next to one, and those of other days that are at near places."""
        week = self.week
        place, day = week.place[seed], draft.day_of[seed]
        route = [visit.block for visit in draft.routes[day]]
        at = route.index(seed)
        close = {block: abs(number - at) * 12.0 for number, block in enumerate(route)}
        keys = {
            block: min(close.get(block, 1e9), 5.0 + week.drive[place][week.place[block]])
            + self.dice.random() * 12
            for block in placed
        }
        return sorted(placed, key=lambda block: (keys[block], block))[:count]

    def _round_times_of(
        self, draft: Draft, block: int, placed: Sequence[int], count: int
    ) -> list[int]:
        """Visits that lie where one block could be."""
        week = self.week
        days = [day for day, starts in enumerate(week.options[block]) if starts]
        day = self.dice.choice(days)
        start = self.dice.choice(week.options[block][day])
        keys = {
            visit.block: abs(visit.start - start) + self.dice.random() * 30
            for visit in draft.routes[day]
        }
        row = [other for other in placed if other in keys]
        taken = sorted(row, key=lambda other: (keys[other], other))[: max(2, count // 2)]
        rest = [other for other in placed if other not in taken]
        return taken + self.dice.sample(rest, min(len(rest), count - len(taken)))

    def _put_back(self, draft: Draft, blocks: Sequence[int], blink: float) -> None:
        """Put blocks in, first whoever would lose most by waiting; some days are overlooked."""
        days = range(len(self.week.days))
        spots: dict[int, list[Spot]] = {
            block: [draft.spot(block, day) for day in days] for block in blocks
        }
        left = list(blocks)
        while left:
            chosen, most, where = -1, -1.0, -1
            for block in left:
                row = sorted((spot.added, day) for day, spot in enumerate(spots[block]))
                row = [one for one in row if one[0] < NEVER]
                if not row:
                    continue
                if blink and len(row) > 1 and self.dice.random() < blink:
                    row = row[1:]
                second = row[1][0] if len(row) > 1 else LEFT_OUT
                regret = float(second - row[0][0])
                if regret > most:
                    chosen, most, where = block, regret, row[0][1]
            if chosen < 0:
                return
            draft.put(chosen, where, spots[chosen][where].start)
            left.remove(chosen)
            friends = {other for other, _ in draft.near.get(chosen, ())}
            was_limited = self.week.problem.most_evenings < len(self.week.days)
            for block in left:
                for day in days if block in friends or was_limited else (where,):
                    spots[block][day] = (
                        draft.spot(block, day) if self.week.options[block][day] else NO_SPOT
                    )
