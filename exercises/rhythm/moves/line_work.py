"""Small operations on one limb's line, shared by the moves."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache

from exercises.rhythm.errors import Refused, RhythmError
from exercises.rhythm.figure import Line, Loudness, Stroke
from exercises.rhythm.limbs import HANDS, LIMBS, Limb
from exercises.rhythm.moves.base import Frame, Lines
from exercises.rhythm.moves.values import Pattern
from exercises.rhythm.surfaces import Piece, Surface

_INDEX = {limb: number for number, limb in enumerate(LIMBS)}

DRUM_PIECES = frozenset({Piece.SNARE, Piece.HIGH_TOM, Piece.MID_TOM, Piece.FLOOR_TOM, Piece.PAD})
"""The pieces with a head, on which hands play ornaments and fills."""


def own(limb: Limb, lines: Lines) -> Line:
    """The limb's own line."""
    return lines[_INDEX[limb]]


def own_or_refuse(limb: Limb, lines: Lines) -> Line:
    """The limb's own line.

    :raises Refused: when it is empty
    """
    line = own(limb, lines)
    if not line:
        raise Refused(f"the {limb.spoken} has nothing to play yet")
    return line


def hands_spoken(hands: tuple[Limb, ...]) -> str:
    """One hand's name, or "both hands"."""
    return "both hands" if hands == HANDS else hands[0].spoken


def check_hands(hands: tuple[Limb, ...]) -> None:
    """Make sure that a move names the right hand, the left hand, or both.

    :raises RhythmError: when it does not
    """
    if hands not in ((Limb.RH,), (Limb.LH,), HANDS):
        raise RhythmError("this move is for the right hand, the left hand or both")


def in_order(strokes: Iterable[Stroke]) -> Line:
    """Strokes of one limb as a line."""
    return tuple(sorted(strokes, key=_tick))


def _tick(stroke: Stroke) -> int:
    return stroke.tick


# The four functions below build strokes directly: dataclasses.replace takes several times as long,
# and searches make hundreds of thousands of strokes.


def on_surface(stroke: Stroke, surface: Surface) -> Stroke:
    """The same stroke on another surface."""
    if stroke.surface is surface:
        return stroke
    return Stroke(stroke.onset, stroke.limb, surface, stroke.loudness, stroke.ornament)


def at_loudness(stroke: Stroke, loudness: Loudness) -> Stroke:
    """The same stroke, louder or softer."""
    if stroke.loudness is loudness:
        return stroke
    return Stroke(stroke.onset, stroke.limb, stroke.surface, loudness, stroke.ornament)


def at_onset(stroke: Stroke, onset: Fraction) -> Stroke:
    """The same stroke at another time."""
    return Stroke(onset, stroke.limb, stroke.surface, stroke.loudness, stroke.ornament)


def by_limb(line: Line, limb: Limb) -> Line:
    """The same line played by another limb."""
    return tuple(Stroke(s.onset, limb, s.surface, s.loudness, s.ornament) for s in line)


@lru_cache(maxsize=4096)
def evenly(limb: Limb, surface: Surface, spacing: Fraction, start: Fraction, frame: Frame) -> Line:
    """Strokes from ``start`` to the figure's end, ``spacing`` beats apart."""
    count = -((start - frame.length) // spacing)
    return tuple(Stroke(start + spacing * n, limb, surface) for n in range(max(0, int(count))))


def on_pattern(limb: Limb, surface: Surface, pattern: Pattern, frame: Frame) -> Line:
    """Strokes on one surface where the pattern has them, over and over to the figure's end."""
    return tuple(
        Stroke(onset, limb, surface, loudness) for onset, loudness in pattern.places(frame)
    )


def steady_spacing(line: Line, frame: Frame) -> Fraction | None:
    """The distance between neighbours when all are the same, else None.

    The gap over the repeat sign may be shorter, as in quarters against seven eighths.
    """
    if not line or len({stroke.surface for stroke in line}) > 1:
        return None
    if len(line) == 1:
        return frame.length
    gaps = {after.onset - before.onset for before, after in itertools.pairwise(line)}
    if len(gaps) > 1:
        return None
    (gap,) = gaps
    over_the_end = line[0].onset + frame.length - line[-1].onset
    return gap if over_the_end <= gap else None


def is_triplet(line: Line) -> bool:
    """True when some stroke stands on a third of the beat."""
    return any(stroke.onset.denominator % 3 == 0 for stroke in line)
