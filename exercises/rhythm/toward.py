"""Moves that lead straight towards a given line: what has to be said to get there.

The menu holds what a teacher would try from a figure without a goal. When there is one, its own
patterns are worth trying too: the whole of it, a part of it, its rhythm without its accents.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Line, Loudness, Ornament
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.moves.base import Frame, Move
from exercises.rhythm.moves.density import AddStrokes
from exercises.rhythm.moves.feet import BassLine, HiHatFootLine
from exercises.rhythm.moves.hands import HandLine
from exercises.rhythm.moves.hi_hat import OpenHiHat
from exercises.rhythm.moves.line_work import steady_spacing
from exercises.rhythm.moves.loudness import Accents, Balance
from exercises.rhythm.moves.orchestration import (
    MOST_SURFACES,
    Every,
    PlayOn,
    RoundTheKit,
)
from exercises.rhythm.moves.ornaments import Ornaments, Where
from exercises.rhythm.moves.ostinato import AddOstinato, AddTimekeeping, ChangeSubdivision
from exercises.rhythm.moves.values import NoteValue, Pattern
from exercises.rhythm.surfaces import Surface

_CELLS = {
    Loudness.NORMAL: "x",
    Loudness.ACCENT: "X",
    Loudness.SOFT: "s",
    Loudness.GHOST: "g",
}
_CUTS = (1, 2, 3, 4, 6, 8)
_MOST_STROKES_ONE_BY_ONE = 8
_OPEN = (Surface.HI_HAT_OPEN, Surface.HI_HAT_HALF_OPEN)


def pattern_of(places: Iterable[tuple[Fraction, Loudness]], frame: Frame) -> Pattern | None:
    """The shortest pattern that plays exactly these places in the frame, or None."""
    wanted = dict(places)
    if not wanted:
        return None
    for per_beat in _CUTS:
        if all((onset * per_beat).denominator == 1 for onset in wanted):
            for span in (Fraction(1), frame.bar, frame.length):
                pattern = _cut(wanted, per_beat, span)
                if pattern is not None and dict(pattern.places(frame)) == wanted:
                    return pattern
    return None


def _cut(wanted: dict[Fraction, Loudness], per_beat: int, span: Fraction) -> Pattern | None:
    steps = span * per_beat
    if steps.denominator != 1:
        return None
    cells = []
    for step in range(int(steps)):
        loudness = wanted.get(Fraction(step, per_beat))
        cells.append("-" if loudness is None else _CELLS[loudness])
    try:
        return Pattern(per_beat, "".join(cells))
    except RhythmError:
        return None


def plainer(target: Line) -> tuple[Line, ...]:
    """The line as it is practised first: without ornaments, then evenly loud, then on one surface.

    Each stage once, the barest last, the line itself not among them.
    """
    if not target:
        return ()
    surfaces = [s.surface for s in target]
    usual = max(surfaces, key=lambda one: (surfaces.count(one), -surfaces.index(one)))
    bare = tuple(replace(s, ornament=Ornament.NONE) for s in target)
    even = tuple(replace(s, loudness=Loudness.NORMAL) for s in bare)
    stages = dict.fromkeys(
        (
            bare,
            even,
            tuple(replace(s, surface=usual) for s in bare),
            tuple(replace(s, surface=usual) for s in even),
        )
    )
    return tuple(stage for stage in stages if stage != target)


def toward(limb: Limb, target: Line, frame: Frame) -> tuple[Move, ...]:
    """The moves that could bring a limb to its target line, or part of the way there."""
    if not target:
        return ()
    moves: list[Move] = []
    surfaces = tuple(dict.fromkeys(s.surface for s in target))
    for surface in surfaces:
        moves += _lines(limb, surface, target, frame)
    if steady_spacing(target, frame) is not None:
        moves += (ChangeSubdivision(limb, value) for value in NoteValue)
        moves += (AddOstinato(limb, surfaces[0], value) for value in NoteValue)
    moves += (PlayOn(limb, surface) for surface in surfaces)
    if limb.is_hand:
        moves += _hand_finish(limb, target, frame)
    loudness = {s.loudness for s in target}
    if len(loudness) == 1:
        (level,) = loudness
        moves.append(Balance(*(level if one is limb else None for one in LIMBS)))
    return tuple(dict.fromkeys(moves))


def _lines(limb: Limb, surface: Surface, target: Line, frame: Frame) -> list[Move]:
    """The target's line on one surface: whole, plain, on the beats only, and stroke by stroke."""
    there = [(s.onset, s.loudness) for s in target if s.surface is surface]
    everywhere = [(s.onset, s.loudness) for s in target]
    plain = [(onset, Loudness.NORMAL) for onset, _ in everywhere]
    on_beats = [(onset, level) for onset, level in there if onset.denominator == 1]
    eighths = [(onset, level) for onset, level in there if onset.denominator <= 2]
    wholes = [there, everywhere, plain, on_beats, eighths]
    if len(there) <= _MOST_STROKES_ONE_BY_ONE:
        wholes += [there[:count] for count in range(1, len(there))]
    moves: list[Move] = []
    for places in wholes:
        pattern = pattern_of(places, frame)
        if pattern is not None:
            moves += _setting(limb, surface, pattern)
    extras = [there]
    if len(there) <= _MOST_STROKES_ONE_BY_ONE:
        extras += [[one] for one in there]
    for places in extras:
        pattern = pattern_of(places, frame)
        if pattern is not None:
            moves.append(AddStrokes(limb, surface, pattern))
    return moves


def _setting(limb: Limb, surface: Surface, pattern: Pattern) -> list[Move]:
    if surface is Surface.BASS_DRUM and limb.is_foot:
        return [BassLine(pattern, limb)]
    if surface in (Surface.HI_HAT_FOOT, Surface.HI_HAT_SPLASH) and limb.is_foot:
        return [HiHatFootLine(pattern, surface, limb)]
    if limb.is_foot:
        return []
    return [AddTimekeeping(limb, surface, pattern), HandLine(limb, surface, pattern)]


def _hand_finish(limb: Limb, target: Line, frame: Frame) -> list[Move]:
    """Accents, open hi-hats and ways round the kit that the target shows."""
    moves: list[Move] = [
        Ornaments((limb,), ornament, where)
        for ornament in dict.fromkeys(s.ornament for s in target)
        if ornament is not Ornament.NONE
        for where in Where
    ]
    accents = pattern_of(
        ((s.onset, Loudness.NORMAL) for s in target if s.loudness is Loudness.ACCENT), frame
    )
    if accents is not None:
        moves.append(Accents((limb,), accents))
    for surface in _OPEN:
        opened = pattern_of(
            ((s.onset, Loudness.NORMAL) for s in target if s.surface is surface), frame
        )
        if opened is not None:
            moves.append(OpenHiHat(limb, opened, surface))
    for every in Every:
        stops = _stops(target, every, frame)
        if stops is not None:
            moves.append(RoundTheKit((limb,), stops, every))
    return moves


def _stops(target: Line, every: Every, frame: Frame) -> tuple[Surface, ...] | None:
    """The order of surfaces that the target goes through, if it changes them ``every`` so often."""
    if every.counts_strokes:
        numbered = [(number // every.strokes, s.surface) for number, s in enumerate(target)]
    else:
        span = every.span(frame)
        numbered = [(int(s.onset // span), s.surface) for s in target]
    for count in range(2, MOST_SURFACES + 1):
        found: dict[int, Surface] = {}
        if all(found.setdefault(n % count, surface) is surface for n, surface in numbered):
            if len(found) == count and len(set(found.values())) > 1:
                return tuple(found[n] for n in range(count))
            return None
    return None
