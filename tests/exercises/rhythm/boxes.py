"""Figures from rows of boxes, the shape in which checks are written down.

A limb's row is ``(surface or surfaces, "x...X..g")``: ``grid`` steps to the beat, ``.`` rest, ``x``
normal, ``X`` accent, ``g`` ghost, ``f`` flam, ``d`` drag, ``o`` open hi-hat. Several surfaces take
turns, one per beat.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from exercises.rhythm.figure import Figure, Loudness, Ornament, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Surface

Row = tuple[str | Sequence[str], str]

_NAMES = {"bass": "bass_drum", "hihat": "hi_hat", "hihat_foot": "hi_hat_foot"}
_WAYS = {
    "x": (Loudness.NORMAL, Ornament.NONE),
    "o": (Loudness.NORMAL, Ornament.NONE),
    "X": (Loudness.ACCENT, Ornament.NONE),
    "g": (Loudness.GHOST, Ornament.NONE),
    "f": (Loudness.NORMAL, Ornament.FLAM),
    "d": (Loudness.NORMAL, Ornament.DRAG),
}


def boxes(limbs: Mapping[str, Row], *, grid: int = 4, meter: str = "4/4", bars: int = 1) -> Figure:
    """Build the figure that the rows describe."""
    strokes: list[Stroke] = []
    for limb, (surfaces, row) in limbs.items():
        turns = [surfaces] if isinstance(surfaces, str) else list(surfaces)
        for step, way in enumerate(row):
            if way == ".":
                continue
            name = turns[step // grid % len(turns)]
            surface = Surface.HI_HAT_OPEN if way == "o" else Surface(_NAMES.get(name, name))
            strokes.append(Stroke(Fraction(step, grid), Limb(limb), surface, *_WAYS[way]))
    return Figure.of(meter, bars, strokes)


def figure_of_check(entry: Mapping[str, Any]) -> Figure:
    """Build a figure from one side of an entry of ``harder_than.json``."""
    limbs = {limb: (row[0], row[1]) for limb, row in entry["limbs"].items()}
    return boxes(limbs, grid=entry["grid"], meter=entry["meter"], bars=entry["bars"])
