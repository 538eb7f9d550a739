"""Everything that moves make of one figure, with each line rewritten, checked and weighed once.

A search looks at many thousands of figures that share a few hundred lines. Here every line has a
number, a figure is four numbers (a node), and what a move makes of a line is remembered by number.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from exercises.rhythm.errors import BadFigure, Refused
from exercises.rhythm.figure import Figure, InternedLine, Line, Ornament
from exercises.rhythm.judging import Interned, Judge
from exercises.rhythm.kit import Kit
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.moves.base import ALREADY_SO, Frame, Lines, Move
from exercises.rhythm.moves.line_work import is_triplet
from exercises.rhythm.moves.menu import hands_menu, limb_menu, whole_menu
from exercises.rhythm.surfaces import Surface

Node = tuple[int, int, int, int]
"""A figure as the numbers of its four lines. Equal lines in frames of different length differ."""

LineKey = tuple[int, ...]
"""A line as plain numbers, four to a stroke, for an order that is the same on every machine."""

STRAYS = "the move leads to a line that is not allowed here"

_SURFACE_RANK = {surface: rank for rank, surface in enumerate(Surface)}
_LIMB_RANK = {limb: rank for rank, limb in enumerate(LIMBS)}
_ORNAMENT_RANK = {ornament: rank for rank, ornament in enumerate(Ornament)}


Target = tuple[int, tuple[int, ...], dict[tuple[int, ...], int | str]]
"""The rank of a limb to rewrite, the ranks of the limbs that decide, and the results so far."""


@dataclass(slots=True)
class Edge:
    """A move made ready: for each limb it rewrites, whose numbers decide, and what came of them."""

    move: Move
    targets: tuple[Target, ...]
    limbs: frozenset[Limb] = field(init=False)

    def __post_init__(self) -> None:
        self.limbs = frozenset(self.move.limbs)


def line_key(line: Line) -> LineKey:
    """The line as plain numbers: tick, surface, loudness, ornament of each stroke."""
    numbers: list[int] = []
    for s in line:
        numbers += (
            s.tick,
            _SURFACE_RANK[s.surface],
            s.loudness.level,
            _ORNAMENT_RANK[s.ornament],
        )
    return tuple(numbers)


class Space:
    """The figures that moves lead to from figures of one meter, on one kit, at one tempo."""

    def __init__(self, core: Figure, kit: Kit, *, bpm: float) -> None:
        self._meter = core.meter
        self._kit = kit
        self.title = core.title
        self._numbers: dict[tuple[int, Limb | None, LineKey], int] = {}
        self._figures: dict[Node, Figure] = {}
        self.lines: list[InternedLine] = []
        self.bars: list[int] = []
        self.keys: list[LineKey] = []
        self._triplet: list[bool] = []
        self._edges: dict[Move, Edge] = {}
        self._limb_menus: dict[tuple[int, int, bool], tuple[Edge, ...]] = {}
        self._hands_menus: dict[tuple[int, int, bool], tuple[Edge, ...]] = {}
        self._whole_menus: dict[tuple[int, bool], tuple[Edge, ...]] = {}
        self._judge = Judge(core.meter, kit, bpm)
        self._heights: dict[Node, int] = {}

    @property
    def kit(self) -> Kit:
        """The kit that everything is tried on."""
        return self._kit

    def frame(self, bars: int) -> Frame:
        """The meter with a number of bars."""
        return Frame(self._meter, bars)

    def node(self, figure: Figure) -> Node:
        """The figure's four numbers."""
        a, b, c, d = (self.number(line, figure.bars) for line in figure.lines)
        return (a, b, c, d)

    def number(self, line: Line, bars: int) -> int:
        """The line's number, a new one for a new line.

        :raises BadFigure: when no figure of so many bars could hold the line
        """
        key = line_key(line)
        limb = line[0].limb if line else None
        known = self._numbers.get((bars, limb, key))
        if known is not None:
            return known
        number = len(self.lines)
        made = Figure.of(self._meter, bars, line)
        self._numbers[bars, limb, key] = number
        self.lines.append(made.line(limb or Limb.RH))  # type: ignore[arg-type] # interned
        self.bars.append(bars)
        self.keys.append(key)
        self._triplet.append(is_triplet(line))
        return number

    def figure(self, node: Node) -> Figure:
        """The figure that a node stands for, under the core's title."""
        known = self._figures.get(node)
        if known is None:
            bars = self.bars[node[0]]
            known = Figure(self._meter, bars, self.lines_of(node), self.title)
            self._figures[node] = known
        return known

    def lines_of(self, node: Node) -> Lines:
        """The node's four lines."""
        return self._interned(node)

    def _interned(self, node: Node) -> Interned:
        lines = self.lines
        return (lines[node[0]], lines[node[1]], lines[node[2]], lines[node[3]])

    def key(self, node: Node) -> tuple[int, LineKey, LineKey, LineKey, LineKey]:
        """What nodes of equal grade are ordered by."""
        keys = self.keys
        return (
            self.bars[node[0]],
            keys[node[0]],
            keys[node[1]],
            keys[node[2]],
            keys[node[3]],
        )

    def edge(self, move: Move) -> Edge:
        """The move made ready, the same object for equal moves."""
        edge = self._edges.get(move)
        if edge is None:
            targets: tuple[Target, ...] = tuple(
                (_LIMB_RANK[limb], tuple(_LIMB_RANK[one] for one in move.reads(limb)), {})
                for limb in move.limbs
            )
            edge = self._edges[move] = Edge(move, targets)
        return edge

    def menu(self, node: Node) -> list[Edge]:
        """The moves worth trying from a node, in the order of :func:`~.moves.menu.menu`."""
        triplet = any(self._triplet[number] for number in node)
        menu: list[Edge] = []
        for rank, number in enumerate(node):
            menu += self._limb_menu(rank, number, triplet)
        menu += self._hands_menu(node[0], node[1], triplet)
        menu += self._whole_menu(self.bars[node[0]], triplet)
        return menu

    def _limb_menu(self, rank: int, number: int, triplet: bool) -> tuple[Edge, ...]:  # noqa: FBT001 a cache key
        key = (rank, number, triplet)
        found = self._limb_menus.get(key)
        if found is None:
            frame = self.frame(self.bars[number])
            moves = limb_menu(LIMBS[rank], self.lines[number], frame, self._kit, triplet=triplet)
            found = self._limb_menus[key] = self._ready(moves)
        return found

    def _hands_menu(self, right: int, left: int, triplet: bool) -> tuple[Edge, ...]:  # noqa: FBT001 a cache key
        key = (right, left, triplet)
        found = self._hands_menus.get(key)
        if found is None:
            frame = self.frame(self.bars[right])
            lines = (self.lines[right], self.lines[left])
            moves = hands_menu(*lines, frame, self._kit, triplet=triplet)
            found = self._hands_menus[key] = self._ready(moves)
        return found

    def _whole_menu(self, bars: int, triplet: bool) -> tuple[Edge, ...]:  # noqa: FBT001 a cache key
        found = self._whole_menus.get((bars, triplet))
        if found is None:
            moves = whole_menu(self.frame(bars), self._kit, triplet=triplet)
            found = self._whole_menus[bars, triplet] = self._ready(moves)
        return found

    def _ready(self, moves: tuple[Move, ...]) -> tuple[Edge, ...]:
        return tuple(self.edge(move) for move in dict.fromkeys(moves))

    def after(
        self, node: Node, edge: Edge, allowed: tuple[frozenset[int], ...] | None = None
    ) -> Node | str:
        """Where a move leads from a node, or why it leads nowhere; playable or not.

        ``allowed``, if given, holds for each limb the numbers of the lines it may come to play.
        """
        new = list(node)
        for rank, reads, known in edge.targets:
            key = tuple([node[one] for one in reads])
            result = known.get(key)
            if result is None:
                result = known[key] = self._rewritten(edge.move, rank, node)
            if isinstance(result, str):
                return result
            if allowed is not None and result not in allowed[rank]:
                return STRAYS
            new[rank] = result
        after = (new[0], new[1], new[2], new[3])
        return ALREADY_SO if after == node else after

    def _rewritten(self, move: Move, rank: int, node: Node) -> int | str:
        frame = self.frame(self.bars[node[0]])
        limb = LIMBS[rank]
        try:
            line = move.line_after(limb, self.lines_of(node), frame)
            return self.number(line, move.bars_after(frame.bars))
        except (Refused, BadFigure) as problem:
            return str(problem)

    def refusal(self, node: Node) -> str | None:
        """Why nobody could play the node, or None."""
        return self._judge.refusal(self._interned(node), self.bars[node[0]])

    def height(self, node: Node) -> int:
        """The total of the node's grade in thousandths: whole, so comparisons are exact."""
        known = self._heights.get(node)
        if known is None:
            known = self._judge.thousandths(self._interned(node), self.bars[node[0]])
            self._heights[node] = known
        return known

    def points(self, node: Node) -> float:
        """The total of the node's grade."""
        return self.height(node) / 1000
