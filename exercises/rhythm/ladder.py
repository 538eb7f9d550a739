"""Ladders: the way from a core figure to a target by single moves, each step as small as can be.

A rung never strays. On every rung each limb plays the core's line, the target's, or one met on the
way between the two: every line that one move makes of the core's and another move turns into the
target's, the stages in which the target's own pattern can be built up, and the lines of whole
figures that lie one move from both ends. When these would make more than ``MOST_FIGURES`` figures,
each limb's stages are thinned out evenly. Within the figures that are left the ladder is the best
there is: its hardest step is the least hard possible, then it is the shortest, and no step goes
down.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from math import prod

from exercises.rhythm.branches import Variant
from exercises.rhythm.climb import spread
from exercises.rhythm.errors import Refused
from exercises.rhythm.figure import Figure, Stroke
from exercises.rhythm.kit import Kit
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.minimax import minimax_path
from exercises.rhythm.moves.base import Move
from exercises.rhythm.playability import check
from exercises.rhythm.space import Edge, Node, Space
from exercises.rhythm.toward import plainer, toward

__all__ = ["Ladder", "LadderGraph", "as_long_as", "ladder", "spread"]

MOST_FIGURES = 1200
"""How many figures may lie between core and target; the stages of each limb are thinned to fit."""
LONGEST_WAY = 4
"""How many moves of a way that is known are looked at: they are tried in every order."""
_SEVERAL = 2
_FEWEST = 2


@dataclass(frozen=True, slots=True)
class Ladder:
    """Rungs from the core (with no moves) to the target; each other rung names its one move.

    ``hardest_step`` is the largest difference in points between neighbouring rungs.
    """

    rungs: tuple[Variant, ...]
    hardest_step: float


def ladder(
    core: Figure, target: Figure, kit: Kit, *, bpm: float, way: tuple[Move, ...] = ()
) -> Ladder:
    """Climb from the core to the target.

    A core of fewer bars is first written out as often as the target needs. ``way`` may hold the
    moves that once led from the core to the target (a variant's ``moves``): the figures that they
    make, in any order, are then among those that the rungs are chosen from.

    :raises Refused: when one of them cannot be played, when they are the same figure or have
        different meters or lengths, when the target is the easier one, or when no moves lead there
    """
    core = as_long_as(core, target)
    graph = LadderGraph(core, target, kit, bpm=bpm, way=way)
    path = minimax_path(graph.core, graph.target, graph.after, graph.space.height, graph.space.key)
    if path is None:
        raise Refused(
            "no way was found from the core to the target by single moves that never get easier; "
            "try a target nearer to the core, or a stop between the two"
        )
    space = graph.space
    rungs = [Variant(core, (), space.points(path[0]), bpm, kit)]
    for before, node in itertools.pairwise(path):
        move = graph.move(before, node)
        rungs.append(Variant(space.figure(node), (move.move,), space.points(node), bpm, kit))
    steps = [after.points - before.points for before, after in itertools.pairwise(rungs)]
    return Ladder(tuple(rungs), max(steps))


def as_long_as(core: Figure, target: Figure) -> Figure:
    """Return the core written out as often as makes it as long as the target.

    :raises Refused: when their meters differ, or no whole number of cores fits
    """
    if core.meter != target.meter:
        raise Refused(
            f"the core is in {core.meter} and the target in {target.meter}: no move changes meter"
        )
    if target.bars % core.bars:
        raise Refused(
            f"the core has {core.bars} bars and the target {target.bars}: write one of them out "
            "until they are equally long"
        )
    times = target.bars // core.bars
    if times == 1:
        return core
    strokes = [
        Stroke(s.onset + core.length_beats * again, s.limb, s.surface, s.loudness, s.ornament)
        for again in range(times)
        for s in core.strokes
    ]
    return Figure.of(core.meter, target.bars, strokes, title=core.title)


def _thinned(numbers: list[int], most: int) -> list[int]:
    """The two ends and stages chosen evenly, at most so many altogether."""
    ends, stages = numbers[:2], numbers[2:]
    room = most - len(ends)
    if len(stages) <= room:
        return numbers
    return ends + [stages[place * len(stages) // room] for place in range(room)]


def _together(
    lines: list[dict[int, None]], musts: list[set[int]], each: int
) -> tuple[frozenset[int], ...]:
    """For each limb what must stay, and so many of its other stages as ``each`` leaves room for."""
    return tuple(
        frozenset(must).union(_thinned(list(numbers), each))
        for numbers, must in zip(lines, musts, strict=True)
    )


class LadderGraph:
    """The figures between a core and a target, and the single moves between them.

    :raises Refused: see :func:`ladder`
    """

    def __init__(
        self, core: Figure, target: Figure, kit: Kit, *, bpm: float, way: tuple[Move, ...] = ()
    ) -> None:
        check(core, kit)
        check(target, kit)
        if core == target:
            raise Refused("the core and the target are the same figure")
        self.space = Space(core, kit, bpm=bpm)
        self.core = self.space.node(core)
        self.target = self.space.node(target)
        if self.space.height(self.core) > self.space.height(self.target):
            raise Refused(
                f"the target is easier than the core ({self.space.points(self.target):.1f} against "
                f"{self.space.points(self.core):.1f}): climb the other way round"
            )
        self._plainer = [plainer(target.line(limb)) for limb in LIMBS]
        self._toward = [self._edges_toward(limb, target) for limb in LIMBS]
        self._way = [self.space.edge(move) for move in way[:LONGEST_WAY]]
        self._moves: dict[tuple[Node, Node], Edge] = {}
        self._steps: dict[Node, list[Node]] = {}
        self.between = self._between()

    def _edges_toward(self, limb: Limb, target: Figure) -> tuple[Edge, ...]:
        """Moves straight to the target's line in one limb, and to its plainer stages."""
        frame = self.space.frame(target.bars)
        goals = (target.line(limb), *self._plainer[LIMBS.index(limb)])
        moves = dict.fromkeys(move for goal in goals for move in toward(limb, goal, frame))
        return tuple(self.space.edge(move) for move in moves)

    def move(self, before: Node, after: Node) -> Edge:
        """The first move of the menu that leads from one node to the other."""
        return self._moves[before, after]

    def after(self, node: Node) -> list[Node]:
        """The nodes that one move leads to, within the lines of ``between``, playable only."""
        known = self._steps.get(node)
        if known is None:
            known = self._steps[node] = self._opened(node)
        return known

    def _opened(self, node: Node) -> list[Node]:
        found: list[Node] = []
        allowed = self.between
        for edge in self._menu(node):
            result = self.space.after(node, edge, allowed)
            if isinstance(result, str) or (node, result) in self._moves:
                continue
            if not self.space.refusal(result):
                self._moves[node, result] = edge
                found.append(result)
        return found

    def _menu(self, node: Node) -> list[Edge]:
        edges = self.space.menu(node)
        for rank, number in enumerate(node):
            if number != self.target[rank]:
                edges += self._toward[rank]
        return edges + self._way

    def _between(self) -> tuple[frozenset[int], ...]:
        """For each limb, the numbers of the lines it may play on the way."""
        ends = list(zip(self.core, self.target, strict=True))
        lines = [dict.fromkeys(pair) for pair in ends]
        self._add_whole_figures(lines)
        for rank, (mine, goal) in enumerate(ends):
            if mine != goal:
                self._add_stages(rank, lines[rank])
        bars = self.space.bars[self.target[0]]
        musts = [
            {*pair, *(self.space.number(line, bars) for line in self._plainer[rank])}
            for rank, pair in enumerate(ends)
        ]
        for stop in self._stops_of_the_way(self.core, self._way):
            for rank, number in enumerate(stop):
                musts[rank].add(number)
        each = max(len(numbers) for numbers in lines)
        chosen = _together(lines, musts, each)
        while each > _FEWEST and prod(map(len, chosen)) > MOST_FIGURES:
            each -= 1
            chosen = _together(lines, musts, each)
        return chosen

    def _stops_of_the_way(self, node: Node, moves: list[Edge]) -> Iterator[Node]:
        """The figures that the given moves make, taken in any order."""
        for number, edge in enumerate(moves):
            after = self.space.after(node, edge)
            if not isinstance(after, str) and self.space.bars[after[0]] == self.space.bars[node[0]]:
                yield after
                yield from self._stops_of_the_way(after, moves[:number] + moves[number + 1 :])

    def _add_whole_figures(self, lines: list[dict[int, None]]) -> None:
        """Lines of figures that lie between both ends with one move to either."""
        goal = tuple(frozenset((number,)) for number in self.target)
        for first in self._menu(self.core):
            middle = self.space.after(self.core, first)
            if isinstance(middle, str):
                continue
            wrong = {rank for rank, number in enumerate(middle) if number != self.target[rank]}
            if not self._may_be_a_rung(middle) or max(len(wrong), len(first.targets)) < _SEVERAL:
                continue
            for second in self._menu(middle):
                reaches = wrong <= {rank for rank, _, _ in second.targets}
                if reaches and self.space.after(middle, second, goal) == self.target:
                    for rank, number in enumerate(middle):
                        lines[rank][number] = None
                    break

    def _may_be_a_rung(self, node: Node) -> bool:
        low, high = self.space.height(self.core), self.space.height(self.target)
        return low <= self.space.height(node) <= high and not self.space.refusal(node)

    def _add_stages(self, rank: int, numbers: dict[int, None]) -> None:
        """Lines between the core's and the target's in one limb, the others as in the core."""
        goal = self.target[rank]
        for first in self._of_limb(self.core, rank):
            middle = self.space.after(self.core, first)
            if isinstance(middle, str) or middle[rank] in numbers:
                continue
            leads_on = any(
                after[rank] == goal
                for after in (
                    self.space.after(middle, second) for second in self._of_limb(middle, rank)
                )
                if not isinstance(after, str)
            )
            if leads_on:
                numbers[middle[rank]] = None

    def _of_limb(self, node: Node, rank: int) -> list[Edge]:
        only = {LIMBS[rank]}
        return [edge for edge in (*self._toward[rank], *self._menu(node)) if edge.limbs == only]
