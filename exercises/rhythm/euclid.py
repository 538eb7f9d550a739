"""Strokes spread as evenly as a row of steps allows.

The rhythms that Godfried Toussaint calls Euclidean ("The Euclidean algorithm generates traditional
musical rhythms", Proceedings of BRIDGES 2005), made by the rule that E. Bjorklund gave for timing
systems: pair groups with remainders until no more than one remainder is left. The pattern starts
with a stroke. Toussaint prints a few of them started elsewhere (2 in 3, 3 in 4, 5 in 6, 7 in 8), so
comparisons are made up to rotation.
"""

from __future__ import annotations

from functools import lru_cache
from math import gcd

from exercises.rhythm.errors import RhythmError

MOST_STEPS = 64

Cells = tuple[bool, ...]
"""A cycle of steps, True where a stroke falls."""


@lru_cache(maxsize=1024)
def euclid(strokes: int, steps: int, *, turn: int = 0) -> Cells:
    """Spread ``strokes`` over ``steps``; ``turn`` starts the cycle that many steps later.

    >>> shown(euclid(3, 8))
    'x..x..x.'
    >>> shown(euclid(3, 8, turn=3))
    'x..x.x..'

    :raises RhythmError: when there are no steps, too many, or more strokes than steps
    """
    if not 1 <= steps <= MOST_STEPS or not 0 <= strokes <= steps:
        raise RhythmError(
            f"an even spread has 1 to {MOST_STEPS} steps and no more strokes than steps, "
            f"not {strokes} in {steps}"
        )
    groups: list[Cells] = [(True,)] * strokes
    rest: list[Cells] = [(False,)] * (steps - strokes)
    while groups and len(rest) > 1:
        pairs = min(len(groups), len(rest))
        joined = [a + b for a, b in zip(groups, rest, strict=False)]
        groups, rest = joined, groups[pairs:] or rest[pairs:]
    cells = tuple(cell for group in groups + rest for cell in group)
    return rotated(cells, turn)


def rotated(cells: Cells, steps: int) -> Cells:
    """The same cycle, started ``steps`` later."""
    cut = steps % len(cells) if cells else 0
    return cells[cut:] + cells[:cut]


def is_rotation(one: Cells, other: Cells) -> bool:
    """True when the two are the same cycle started at different steps."""
    return len(one) == len(other) and any(
        rotated(one, turn) == other for turn in range(max(1, len(one)))
    )


def shown(cells: Cells) -> str:
    """A cycle in the box notation of the rhythm literature."""
    return "".join("x" if cell else "." for cell in cells)


def cross_rhythm(one: int, other: int) -> tuple[int, tuple[int, ...]]:
    """Two even pulses in the same span: the smallest common grid and the steps that sound.

    >>> cross_rhythm(3, 2)
    (6, (0, 2, 3, 4))

    The number of steps that sound is ``one + other - gcd(one, other)``.

    :raises RhythmError: when a pulse has no strokes
    """
    if one < 1 or other < 1:
        raise RhythmError("a pulse has at least one stroke")
    grid = one * other // gcd(one, other)
    sounding = {n * grid // one for n in range(one)} | {n * grid // other for n in range(other)}
    return grid, tuple(sorted(sounding))
