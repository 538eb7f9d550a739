"""Into how many parts a figure cuts its beats."""

from __future__ import annotations

from fractions import Fraction
from itertools import count

from exercises.rhythm.figure import Figure

_SIMPLE = {1: "quarters", 2: "eighths", 3: "triplets", 4: "sixteenths", 6: "sextuplets"}
_SIMPLE |= {8: "thirty-seconds"}
_COMPOUND = {1: "dotted quarters", 2: "duplets", 3: "eighths", 6: "sixteenths"}
_COMPOUND |= {12: "thirty-seconds"}


def subdivisions(figure: Figure) -> tuple[int, ...]:
    """Return the numbers of equal parts that the figure's beats are cut into, smallest first.

    Each beat counts by itself with the fewest parts that hold all its strokes, so a bar of eighths
    with one beat in triplets gives ``(2, 3)``. A beat of a compound meter is a dotted quarter: its
    eighths are three parts. Empty beats cut nothing.
    """
    parts: dict[int, set[Fraction]] = {}
    for stroke in figure.strokes:
        beat = int(stroke.onset)
        parts.setdefault(beat, set()).add(stroke.onset - beat)
    return tuple(sorted({_fewest(onsets) for onsets in parts.values()}))


def spoken_subdivision(parts: int, *, is_compound: bool) -> str:
    """Return what musicians call a beat in so many parts: "triplets", or "5 to the beat"."""
    names = _COMPOUND if is_compound else _SIMPLE
    return names.get(parts, f"{parts} to the beat")


def _fewest(onsets: set[Fraction]) -> int:
    return next(n for n in count(1) if all((onset * n).denominator == 1 for onset in onsets))
