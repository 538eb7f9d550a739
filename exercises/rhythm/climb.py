"""A handful of variants that climb evenly from a core and differ from each other."""

from __future__ import annotations

from exercises.rhythm.branches import Variant, branches
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure
from exercises.rhythm.grade import grade
from exercises.rhythm.kit import Kit
from exercises.rhythm.limbs import LIMBS

_DEPTH = 2
_HARD_TAIL = 20
"""One in so many variants, the hardest, is left out: freaks at the top would stretch the climb."""


def spread(core: Figure, n: int, kit: Kit, *, bpm: float) -> tuple[Variant, ...]:
    """Choose ``n`` variants that climb evenly in grade and differ from each other.

    They come from what one or two moves open, are harder than the core, and each is harder than the
    one before. The range from the core to the hard end is cut into ``n`` equal parts; in each part
    the variant is taken whose kinds of moves, and then whose lines, were used least so far. Fewer
    come back when some part holds none.

    :raises RhythmError: when ``n`` is not 1 to 50
    """
    if not 1 <= n <= 50:
        raise RhythmError(f"a spread has 1 to 50 variants, not {n}")
    low = grade(core, bpm, kit).total
    harder = [v for v in branches(core, kit, bpm=bpm, depth=_DEPTH).variants if v.points > low]
    if not harder:
        return ()
    harder = harder[: len(harder) - len(harder) // _HARD_TAIL]
    part = (harder[-1].points - low) / n
    shelves: list[list[Variant]] = [[] for _ in range(n)]
    for variant in harder:
        shelves[min(n - 1, int((variant.points - low) / part))].append(variant)
    chosen: list[Variant] = []
    for number, shelf in enumerate(shelves):
        wanted = low + part * (number + 0.5)
        above = [v for v in shelf if not chosen or v.points > chosen[-1].points]
        if above:
            chosen.append(_least_alike(above, chosen, wanted))
    return tuple(chosen)


def _least_alike(shelf: list[Variant], chosen: list[Variant], wanted: float) -> Variant:
    kinds = [move.kind for variant in chosen for move in variant.moves]

    def alike(variant: Variant) -> tuple[int, int, int, float]:
        repeated = sum(kinds.count(move.kind) for move in variant.moves)
        shared = sum(
            variant.figure.line(limb) == one.figure.line(limb) for one in chosen for limb in LIMBS
        )
        return repeated, shared, len(variant.moves), abs(variant.points - wanted)

    return min(shelf, key=alike)
