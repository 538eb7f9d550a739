"""What a core figure opens into: every variant that one, two or three moves give.

Depth 1 is complete: every move of the menu is tried. Beyond that the number of ways grows a
hundredfold with every move, so the search keeps to two rules, and the result says what they cost:

- a way changes something new each time: no limb gets the same kind of move twice;
- at each further depth only ``OPENED`` variants are opened, spread evenly over the grades, so that
  easy and hard ones are both carried on.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure
from exercises.rhythm.grade import Grade, grade
from exercises.rhythm.kit import Kit
from exercises.rhythm.moves.base import Move
from exercises.rhythm.space import Edge, Node, Space

DEEPEST = 3
OPENED = 60
"""How many variants are opened at depth 2, and again at depth 3."""


@dataclass(frozen=True, slots=True)
class Variant:
    """A figure with the moves that lead to it from the core.

    ``points`` is the total of the grade at ``bpm``; the grade with its words is worked out when it
    is asked for.
    """

    figure: Figure
    moves: tuple[Move, ...]
    points: float
    bpm: float
    kit: Kit = field(repr=False)

    @property
    def grade(self) -> Grade:
        """How hard it is, part by part."""
        return grade(self.figure, self.bpm, self.kit)

    @property
    def words(self) -> tuple[str, ...]:
        """The moves in plain English, in order."""
        return tuple(move.words for move in self.moves)


@dataclass(frozen=True, slots=True)
class Branches:
    """What a search found, and what it left out.

    ``variants`` are all different, playable, and in order of difficulty. ``refused`` counts the
    moves that led nowhere by reason, the most frequent first. ``considered`` is the number of moves
    tried; ``duplicates`` of them led to a figure found already (or back to the core); ``unopened``
    is the number of variants from which no further moves were tried although the depth allowed it.
    """

    variants: tuple[Variant, ...]
    refused: tuple[tuple[str, int], ...]
    considered: int
    duplicates: int
    unopened: int

    @property
    def refused_count(self) -> int:
        """How many moves led nowhere."""
        return sum(count for _, count in self.refused)


def branches(
    figure: Figure, kit: Kit, *, bpm: float, depth: int = 1, limit: int | None = None
) -> Branches:
    """Try the moves of the menu, and the moves of the results' menus, up to ``depth``.

    ``limit`` keeps the easiest so many variants.

    :raises RhythmError: when the depth is not 1 to ``DEEPEST``
    """
    if not 1 <= depth <= DEEPEST:
        raise RhythmError(f"a search goes 1 to {DEEPEST} moves deep, not {depth}")
    space = Space(figure, kit, bpm=bpm)
    search = _Search(space, space.node(figure))
    unopened = search.run(depth)
    ranked = ranked_nodes(space, search.found)
    if limit is not None:
        ranked = ranked[: max(0, limit)]
    variants = tuple(
        Variant(
            space.figure(node),
            tuple(edge.move for edge in search.ways[node]),
            space.points(node),
            bpm,
            kit,
        )
        for node in ranked
    )
    refused = tuple(sorted(search.refused.items(), key=lambda pair: (-pair[1], pair[0])))
    return Branches(variants, refused, search.considered, search.duplicates, unopened)


def ranked_nodes(space: Space, nodes: list[Node]) -> list[Node]:
    """Nodes by grade, then in an order that is the same on every machine."""
    return sorted(nodes, key=lambda node: (space.height(node), space.key(node)))


def evenly_chosen(nodes: list[Node], count: int) -> list[Node]:
    """At most ``count`` of the nodes, evenly spaced, the first and the last among them."""
    if len(nodes) <= count:
        return nodes
    last = len(nodes) - 1
    return [nodes[number * last // (count - 1)] for number in range(count)]


class _Search:
    """The state of one search, level by level."""

    def __init__(self, space: Space, core: Node) -> None:
        self.space = space
        self.core = core
        self.ways: dict[Node, tuple[Edge, ...]] = {core: ()}
        self.found: list[Node] = []
        self.refused: Counter[str] = Counter()
        self.considered = 0
        self.duplicates = 0

    def run(self, depth: int) -> int:
        """Search to ``depth``; return the number of variants left unopened."""
        unopened = 0
        level = [self.core]
        for deep in range(depth):
            if deep:
                ranked = ranked_nodes(self.space, level)
                level = evenly_chosen(ranked, OPENED)
                unopened += len(ranked) - len(level)
            level = [node for opened in level for node in self._open(opened)]
        return unopened

    def _open(self, node: Node) -> list[Node]:
        way = self.ways[node]
        done = {(edge.move.kind, limb) for edge in way for limb in edge.limbs}
        new: list[Node] = []
        after = self.space.after
        for edge in self.space.menu(node):
            if done and any((edge.move.kind, limb) in done for limb in edge.limbs):
                continue
            self.considered += 1
            result = after(node, edge)
            if isinstance(result, str):
                self.refused[result] += 1
            elif result in self.ways:
                self.duplicates += 1
            elif self._is_playable(result):
                self.ways[result] = (*way, edge)
                new.append(result)
        self.found += new
        return new

    def _is_playable(self, node: Node) -> bool:
        reason = self.space.refusal(node)
        if reason is not None:
            self.refused[reason] += 1
        return reason is None
