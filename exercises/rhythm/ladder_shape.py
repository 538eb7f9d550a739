"""Ladders as a teacher wants them: by way of chosen figures, and with a chosen number of steps."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from exercises.rhythm.branches import Variant
from exercises.rhythm.errors import Refused
from exercises.rhythm.figure import Figure
from exercises.rhythm.grade import grade
from exercises.rhythm.kit import Kit
from exercises.rhythm.ladder import Ladder, LadderGraph, as_long_as
from exercises.rhythm.minimax import minimax_path, rising_path
from exercises.rhythm.moves.base import Move
from exercises.rhythm.space import Node

MOST_STEPS = 24
MOST_STOPS = 6


def shaped_ladder(
    core: Figure,
    target: Figure,
    kit: Kit,
    *,
    bpm: float,
    stops: Sequence[Figure] = (),
    without: Sequence[Figure] = (),
    steps: int | None = None,
    way: tuple[Move, ...] = (),
) -> Ladder:
    """Climb from the core to the target by way of ``stops``, never over ``without``.

    ``way``: the moves that once made the target of the core, as in :func:`~.ladder.ladder`.

    Between two stops the ladder is the usual one: hardest step least hard, then shortest. With
    ``steps`` (changes from rung to rung) fewer come of joining neighbours, so that the hardest
    step stays as small as it can and no stop is lost; more come of finer climbs, the piece with the
    hardest step first. Where no finer climb is found there are fewer than were asked for.

    A rung's ``moves`` lead to it from the rung below: one, or several where neighbours were joined.

    :raises Refused: naming the stop that no climb reaches, or as :func:`~.ladder.ladder`
    """
    if len(stops) > MOST_STOPS:
        raise Refused(f"a ladder keeps at most {MOST_STOPS} steps on the way")
    if steps is not None and not 1 <= steps <= MOST_STEPS:
        raise Refused(f"a ladder has 1 to {MOST_STEPS} steps")
    ends = [as_long_as(core, target), *(as_long_as(stop, target) for stop in stops), target]
    by_height = _in_order(ends, kit, bpm)
    pieces = [
        _Piece.between(low, high, kit, bpm, without, way)
        for low, high in itertools.pairwise(by_height)
    ]
    if steps is not None:
        _lengthen(pieces, steps)
    rungs, kept = _joined(pieces, kit, bpm)
    if steps is not None and len(rungs) - 1 > steps:
        rungs = _thinned(rungs, max(steps, len(kept) - 1), kept)
    rises = [b.points - a.points for a, b in itertools.pairwise(rungs)]
    return Ladder(tuple(rungs), max(rises))


def fewest_hard(heights: Sequence[int], steps: int, kept: frozenset[int]) -> tuple[int, ...]:
    """Return which places to keep so that ``steps`` steps are left and the largest is least.

    The two ends and ``kept`` always stay; of equal choices the first in order is taken.

    :raises ValueError: when there are not that many steps, or too few to keep what must stay
    """
    last = len(heights) - 1
    must = sorted(kept | {0, last})
    if not len(must) - 1 <= steps <= last:
        raise ValueError("that many steps cannot be kept")
    best: dict[int, tuple[int, tuple[int, ...]]] = {0: (0, (0,))}
    for _ in range(steps):
        longer: dict[int, tuple[int, tuple[int, ...]]] = {}
        for here, (worst, way) in best.items():
            # Nothing that must stay may be jumped over.
            fence = next((place for place in must if place > here), last)
            for place in range(here + 1, fence + 1):
                new = (max(worst, heights[place] - heights[here]), (*way, place))
                if place not in longer or new < longer[place]:
                    longer[place] = new
        best = longer
    return best[last][1]


@dataclass(slots=True)
class _Piece:
    """The climb from one stop to the next, and the graph in which finer ones are looked for."""

    graph: LadderGraph
    path: list[Node]
    barred: frozenset[Node]

    @classmethod
    def between(
        cls,
        low: Figure,
        high: Figure,
        kit: Kit,
        bpm: float,
        without: Sequence[Figure],
        way: tuple[Move, ...],
    ) -> _Piece:
        graph = LadderGraph(low, high, kit, bpm=bpm, way=way)
        barred = frozenset(graph.space.node(as_long_as(figure, high)) for figure in without) - {
            graph.core,
            graph.target,
        }
        piece = cls(graph, [], barred)
        space = graph.space
        path = minimax_path(graph.core, graph.target, piece.after, space.height, space.key)
        if path is None:
            raise Refused(
                f"no way that only climbs was found from {_named(low)} to {_named(high)}; "
                "take another stop, or let go of one"
            )
        piece.path = path
        return piece

    def after(self, node: Node) -> list[Node]:
        """The steps from a node that are not barred."""
        return [one for one in self.graph.after(node) if one not in self.barred]

    @property
    def hardest(self) -> int:
        """The largest step, in thousandths of a point."""
        height = self.graph.space.height
        return max(height(b) - height(a) for a, b in itertools.pairwise(self.path))

    def finer(self) -> bool:
        """Take a climb of one step more, if there is one."""
        space = self.graph.space
        path = rising_path(
            self.graph.core,
            self.graph.target,
            self.after,
            space.height,
            space.key,
            steps=len(self.path),
        )
        if path is None:
            return False
        self.path = path
        return True


def _lengthen(pieces: Sequence[_Piece], steps: int) -> None:
    """Make the piece with the hardest step finer, again and again, until there are enough."""
    open_pieces = list(pieces)
    while open_pieces and sum(len(piece.path) - 1 for piece in pieces) < steps:
        piece = max(open_pieces, key=lambda each: each.hardest)
        if not piece.finer():
            open_pieces.remove(piece)


def _joined(pieces: Sequence[_Piece], kit: Kit, bpm: float) -> tuple[list[Variant], frozenset[int]]:
    """All rungs in one row, and which of them are ends and stops."""
    first = pieces[0]
    space = first.graph.space
    rungs = [Variant(space.figure(first.path[0]), (), space.points(first.path[0]), bpm, kit)]
    kept = [0]
    for piece in pieces:
        space = piece.graph.space
        for before, node in itertools.pairwise(piece.path):
            move = piece.graph.move(before, node).move
            rungs.append(Variant(space.figure(node), (move,), space.points(node), bpm, kit))
        kept.append(len(rungs) - 1)
    return rungs, frozenset(kept)


def _thinned(rungs: Sequence[Variant], steps: int, kept: frozenset[int]) -> list[Variant]:
    heights = [round(rung.points * 1000) for rung in rungs]
    places = fewest_hard(heights, steps, kept)
    chosen = [rungs[0]]
    for before, here in itertools.pairwise(places):
        moves: tuple[Move, ...] = ()
        for rung in rungs[before + 1 : here + 1]:
            moves += rung.moves
        rung = rungs[here]
        chosen.append(Variant(rung.figure, moves, rung.points, rung.bpm, rung.kit))
    return chosen


def _in_order(ends: Sequence[Figure], kit: Kit, bpm: float) -> list[Figure]:
    """Core, stops from the easiest to the hardest, target; each figure once."""
    core, *stops, target = ends
    middle = dict.fromkeys(stop for stop in stops if stop not in (core, target))
    low, high = grade(core, bpm, kit).total, grade(target, bpm, kit).total
    for stop in middle:
        if not low <= grade(stop, bpm, kit).total <= high:
            raise Refused(
                f"{_named(stop)} is no step between the two: it is easier than the core or harder "
                "than the target"
            )
    return [core, *sorted(middle, key=lambda stop: grade(stop, bpm, kit).total), target]


def _named(figure: Figure) -> str:
    return f"“{figure.title}”" if figure.title else "the chosen figure"
