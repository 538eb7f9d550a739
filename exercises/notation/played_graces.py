"""Flams, drags and doubled triggers in what a drummer played.

On a MIDI kit a flam is two notes of one drum a few hundredths of a second apart, the first one
softer. Times are from common practice, no source: a flam's grace stroke leads by less than 55 ms.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from exercises.notation.imported import SurfaceRule
from exercises.rhythm.figure import Ornament
from exercises.rhythm.surfaces import Piece, Surface

_LONGEST_LEAD_MS = 55.0
_SOFTER = 0.85
_GRID = 8
_BY_LEADS = (Ornament.NONE, Ornament.FLAM, Ornament.DRAG)


@dataclass(frozen=True, slots=True)
class Played:
    """One drum note in beats, not yet on a grid; ``velocity`` is MIDI's, 1 to 127."""

    position: Fraction
    surface: Surface
    velocity: int
    rule: SurfaceRule
    ornament: Ornament = Ornament.NONE


def with_ornaments(played: Iterable[Played], *, beat_ms: float, notes: list[str]) -> list[Played]:
    """Return the strokes with their grace strokes folded into them, in time order.

    What is too close to the next stroke on its piece to be a stroke, and is no grace stroke either,
    is taken for a trigger that fired twice: the louder one stays, and ``notes`` says so.
    """
    by_piece: dict[tuple[Piece, bool], list[Played]] = defaultdict(list)
    for stroke in sorted(played, key=lambda s: s.position):
        by_piece[struck_piece(stroke.surface)].append(stroke)
    kept: list[Played] = []
    doubled = 0
    for strokes in by_piece.values():
        whole, merged = _fold(strokes, beat_ms)
        kept += whole
        doubled += merged
    if doubled:
        notes.append(
            f"Left out: {doubled} × the softer of two notes of one drum or cymbal at one moment."
        )
    return sorted(kept, key=lambda s: s.position)


def struck_piece(surface: Surface) -> tuple[Piece, bool]:
    """Return the piece, and whether its pedal is meant: a hi-hat's foot is apart from its hands."""
    return surface.facts.piece, surface.by_foot


def _fold(strokes: list[Played], beat_ms: float) -> tuple[list[Played], int]:
    """One piece's strokes with the graces folded in, and how many were dropped as doubled.

    Read backwards, because the main stroke of a flam or drag is its last one.
    """
    kept: list[Played] = []
    merged = 0
    leads: list[Played] = []
    for stroke in reversed(strokes):
        after = leads[-1] if leads else kept[-1] if kept else None
        if after is None or not _is_too_close(stroke, after, beat_ms):
            kept.append(stroke)
            leads = []
            continue
        if len(leads) < 2 and _is_lead(stroke, kept[-1]):
            leads.append(stroke)
        else:
            merged += 1
            kept[-1] = _louder(stroke, kept[-1])
        kept[-1] = replace(kept[-1], ornament=_BY_LEADS[len(leads)])
    return kept, merged


def _is_too_close(stroke: Played, after: Played, beat_ms: float) -> bool:
    if float(after.position - stroke.position) * beat_ms >= _LONGEST_LEAD_MS:
        return False
    # Two places of a written grid are two strokes, however fast the tempo makes them.
    on_grid = all((s.position * _GRID).denominator == 1 for s in (stroke, after))
    return not on_grid or after.position == stroke.position


def _is_lead(stroke: Played, main: Played) -> bool:
    return (
        main.position > stroke.position
        and stroke.velocity < _SOFTER * main.velocity
        and not main.surface.by_foot
    )


def _louder(stroke: Played, after: Played) -> Played:
    louder = stroke if stroke.velocity > after.velocity else after
    # The later of the two is the stroke; the earlier one only set it off.
    return replace(louder, position=after.position)
