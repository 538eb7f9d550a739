"""The concrete moves worth trying from a figure: what a teacher would think of, and no more.

The menu is put together from parts, each of which looks at one limb's line, at the two hands, or
at the bars alone. A search remembers each part, so that the menus of a thousand related figures
cost little. The order is fixed: limb by limb, then the hands, then everything.
"""

from __future__ import annotations

from functools import lru_cache

from exercises.rhythm.figure import Figure, Line, Loudness, Ornament
from exercises.rhythm.kit import Kit
from exercises.rhythm.limbs import HANDS, LIMBS, Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.moves.base import Frame, Lines, Move
from exercises.rhythm.moves.density import FillIn, Gaps, Thinning, ThinOut
from exercises.rhythm.moves.feet import BassLine, HiHatFootLine
from exercises.rhythm.moves.hands import Lead, Pair, Restick, Sticking, SwapHands
from exercises.rhythm.moves.hi_hat import OpenHiHat
from exercises.rhythm.moves.line_work import DRUM_PIECES, is_triplet, steady_spacing
from exercises.rhythm.moves.linear import Linear
from exercises.rhythm.moves.loudness import Accents, Balance
from exercises.rhythm.moves.orchestration import (
    Every,
    OrchestrateAccents,
    PlayOn,
    RoundTheKit,
)
from exercises.rhythm.moves.ornaments import Ornaments, Where
from exercises.rhythm.moves.ostinato import (
    AddEvenSpread,
    AddOstinato,
    AddTimekeeping,
    ChangeSubdivision,
    LeaveOut,
)
from exercises.rhythm.moves.suggestions import Suggestions, suggestions
from exercises.rhythm.moves.timing import (
    ChangeFeel,
    ChangeRate,
    Cut,
    Direction,
    Displace,
    Feel,
    Speed,
)
from exercises.rhythm.moves.values import NoteValue, Place
from exercises.rhythm.surfaces import Surface

_TIME_SURFACES = (Surface.HI_HAT, Surface.RIDE, Surface.COWBELL)
_TIME_PLACES = (Surface.HI_HAT, Surface.RIDE, Surface.RIDE_BELL, Surface.FLOOR_TOM)
_DRUMS = (Surface.SNARE, Surface.HIGH_TOM, Surface.MID_TOM, Surface.FLOOR_TOM, Surface.PAD)
_DRUM_PLACES = (Surface.CROSS_STICK, Surface.HIGH_TOM, Surface.FLOOR_TOM, Surface.SNARE)
_WAYS_ROUND = (
    (Surface.SNARE, Surface.HIGH_TOM, Surface.MID_TOM, Surface.FLOOR_TOM),
    (Surface.SNARE, Surface.HIGH_TOM, Surface.FLOOR_TOM),
    (Surface.SNARE, Surface.FLOOR_TOM),
    (Surface.HIGH_TOM, Surface.FLOOR_TOM),
)
_SPREADS = ((3, 8), (5, 8), (5, 16), (7, 16), (5, 12), (7, 12), (4, 7), (3, 7))
_MOST_STICKING_PARTS = 4


def menu(figure: Figure, kit: Kit) -> tuple[Move, ...]:
    """Every move worth trying from this figure on this kit, in a fixed order.

    Some of them will be refused when applied: only the whole figure shows that.
    """
    return menu_of(figure.lines, Frame(figure.meter, figure.bars), kit)


def menu_of(lines: Lines, frame: Frame, kit: Kit) -> tuple[Move, ...]:
    """The menu for lines that stand in a frame; see :func:`menu`."""
    triplet = any(is_triplet(line) for line in lines)
    parts: list[Move] = []
    for limb, line in zip(LIMBS, lines, strict=True):
        parts += limb_menu(limb, line, frame, kit, triplet=triplet)
    parts += hands_menu(lines[0], lines[1], frame, kit, triplet=triplet)
    parts += whole_menu(frame, kit, triplet=triplet)
    return tuple(dict.fromkeys(parts))


def limb_menu(limb: Limb, line: Line, frame: Frame, kit: Kit, *, triplet: bool) -> tuple[Move, ...]:
    """What one limb could do, looking at its own line alone."""
    ideas = suggestions(frame.meter, triplet=triplet)
    if limb.is_foot:
        return (*_foot_lines(limb, kit, ideas), *_any_line(limb, line, frame, ideas))
    if not line:
        return _idle_hand(limb, frame.meter, kit, ideas)
    return (*_any_line(limb, line, frame, ideas), *_busy_hand(limb, line, kit, ideas))


def _leads(limb: Limb, kit: Kit) -> bool:
    return limb is (Limb.LH if kit.is_left_handed else Limb.RH)


def _there(kit: Kit, surfaces: tuple[Surface, ...]) -> tuple[Surface, ...]:
    return tuple(surface for surface in surfaces if _has(kit, surface))


def _has(kit: Kit, surface: Surface) -> bool:
    return surface.facts.piece in kit.pieces


def _idle_hand(limb: Limb, meter: Meter, kit: Kit, ideas: Suggestions) -> tuple[Move, ...]:
    moves: list[Move] = []
    if _leads(limb, kit):
        for surface in _there(kit, _TIME_SURFACES) or _there(kit, (Surface.PAD,)):
            moves += (AddOstinato(limb, surface, value) for value in ideas.values)
            moves.append(AddOstinato(limb, surface, NoteValue.QUARTER, Place.OFF))
            moves += (AddTimekeeping(limb, surface, pattern) for pattern in ideas.time)
        return tuple(moves)
    for surface in _there(kit, (Surface.SNARE, Surface.CROSS_STICK, Surface.PAD)):
        moves += (AddTimekeeping(limb, surface, pattern) for pattern in ideas.backbeat)
        moves.append(AddOstinato(limb, surface, ideas.values[2], Place.OFF))
    for surface in _there(kit, (Surface.SNARE, Surface.PAD)):
        moves += (AddEvenSpread(limb, surface, k, n) for k, n in _spreads(meter))
    for surface in _there(kit, (Surface.HI_HAT,)):
        moves += (AddOstinato(limb, surface, value) for value in ideas.values[1:3])
    return tuple(moves)


@lru_cache(maxsize=256)
def _spreads(meter: Meter) -> tuple[tuple[int, int], ...]:
    finest = meter.bar_beats * (6 if meter.is_compound else 4)
    return tuple((k, n) for k, n in _SPREADS if (finest / n).denominator == 1)


def _any_line(limb: Limb, line: Line, frame: Frame, ideas: Suggestions) -> tuple[Move, ...]:
    if not line:
        return ()
    moves: list[Move] = []
    if steady_spacing(line, frame) is not None:
        moves += (ChangeSubdivision(limb, value) for value in ideas.values)
    taken = {s.onset % 1 for s in line}
    parts = [part for part in range(ideas.parts) if part / ideas.parts in map(float, taken)]
    if len(parts) > 1:
        moves += (ThinOut(limb, part + 1, ideas.parts) for part in parts)
        moves += (ThinOut(limb, part + 1, ideas.parts, Thinning.KEEP) for part in parts)
    moves += (Displace((limb,), value) for value in ideas.values[2:])
    loudness = {s.loudness for s in line}
    if len(loudness) == 1:
        moves += (
            _balance(limb, level)
            for level in (Loudness.SOFT, Loudness.NORMAL, Loudness.ACCENT)
            if level not in loudness
        )
    moves.append(LeaveOut(limb))
    return tuple(moves)


def _balance(limb: Limb, level: Loudness) -> Balance:
    levels = [level if one is limb else None for one in LIMBS]
    return Balance(*levels)


def _busy_hand(limb: Limb, line: Line, kit: Kit, ideas: Suggestions) -> tuple[Move, ...]:
    moves: list[Move] = []
    pieces = {s.surface.facts.piece for s in line}
    drums = _there(kit, (Surface.SNARE, Surface.PAD))[:1]
    if pieces <= DRUM_PIECES:
        moves += (PlayOn(limb, surface) for surface in _there(kit, _DRUM_PLACES))
        moves += (
            RoundTheKit((limb,), way, every)
            for way in _WAYS_ROUND
            if _there(kit, way) == way
            for every in (Every.STROKE, Every.HALF_BAR)
        )
        moves += (
            Ornaments((limb,), ornament, where)
            for ornament in (Ornament.FLAM, Ornament.DRAG)
            for where in (Where.ACCENTS, Where.BEATS)
        )
    else:
        moves += (PlayOn(limb, surface) for surface in _there(kit, _TIME_PLACES))
    if any(s.surface is Surface.HI_HAT for s in line):
        moves += (OpenHiHat(limb, pattern) for pattern in ideas.opened)
    if not _leads(limb, kit):
        moves += (
            FillIn(limb, surface, ideas.values[-1], gaps, loudness)
            for surface in drums
            for gaps, loudness in ((Gaps.HANDS, Loudness.GHOST), (Gaps.ALL, Loudness.GHOST))
        )
    moves += (Accents((limb,), pattern) for pattern in ideas.accents)
    if any(s.loudness is Loudness.ACCENT for s in line):
        moves += _accents_elsewhere((limb,), kit)
    return tuple(moves)


def _accents_elsewhere(hands: tuple[Limb, ...], kit: Kit) -> list[Move]:
    places = _there(kit, (Surface.HIGH_TOM, Surface.FLOOR_TOM, Surface.RIM_SHOT, Surface.CRASH))
    return [OrchestrateAccents(hands, surface) for surface in places]


def _foot_lines(limb: Limb, kit: Kit, ideas: Suggestions) -> tuple[Move, ...]:
    on_bass = limb is (Limb.LF if kit.is_left_handed else Limb.RF)
    if on_bass:
        if not _has(kit, Surface.BASS_DRUM):
            return ()
        return tuple(BassLine(pattern, limb) for pattern in ideas.bass)
    if not _has(kit, Surface.HI_HAT_FOOT):
        return ()
    splash = HiHatFootLine(ideas.pedal[0], Surface.HI_HAT_SPLASH, limb)
    return (*(HiHatFootLine(pattern, foot=limb) for pattern in ideas.pedal), splash)


def hands_menu(
    right: Line, left: Line, frame: Frame, kit: Kit, *, triplet: bool
) -> tuple[Move, ...]:
    """What the two hands could do with each other."""
    if not right and not left:
        return ()
    ideas = suggestions(frame.meter, triplet=triplet)
    moves: list[Move] = [SwapHands()]
    onsets = {s.onset for s in right} | {s.onset for s in left}
    if len(onsets) == len(right) + len(left) >= _MOST_STICKING_PARTS:
        moves += (Restick(s, Pair.HANDS, lead) for s in Sticking for lead in Lead)
    if not (right and left):
        return tuple(moves)
    every = (*right, *left)
    if all(s.surface.facts.piece in DRUM_PIECES for s in every):
        moves += (Accents(HANDS, pattern) for pattern in ideas.accents)
        moves += (
            RoundTheKit(HANDS, way, way_every)
            for way in _WAYS_ROUND[:2]
            if _there(kit, way) == way
            for way_every in (Every.BEAT, Every.TWO_STROKES, Every.HALF_BAR)
        )
        moves += (
            Ornaments(HANDS, ornament, where)
            for ornament in (Ornament.FLAM, Ornament.DRAG)
            for where in (Where.ACCENTS, Where.BEATS)
        )
    if any(s.loudness is Loudness.ACCENT for s in every):
        moves += _accents_elsewhere(HANDS, kit)
    return tuple(moves)


@lru_cache(maxsize=256)
def whole_menu(frame: Frame, kit: Kit, *, triplet: bool) -> tuple[Move, ...]:
    """What could be done to everything at once."""
    ideas = suggestions(frame.meter, triplet=triplet)
    moves: list[Move] = [
        Displace(LIMBS, value, direction) for value in ideas.values[2:] for direction in Direction
    ]
    if not frame.meter.is_compound:
        feel = Feel.STRAIGHT if triplet else Feel.TRIPLET
        moves += (ChangeFeel(feel, cut) for cut in Cut)
    moves += (ChangeRate(Speed.DOUBLE), ChangeRate(Speed.HALF))
    time, other = (Limb.LH, Limb.RH) if kit.is_left_handed else (Limb.RH, Limb.LH)
    bass, pedal = (Limb.LF, Limb.RF) if kit.is_left_handed else (Limb.RF, Limb.LF)
    moves += (Linear((other, bass, time, pedal)), Linear((bass, time, other, pedal)))
    if kit.bass_pedals > 1:
        moves += (Restick(Sticking.SINGLES, Pair.FEET, lead) for lead in (Lead.RIGHT, Lead.LEFT))
    return tuple(moves)
