"""Which limb plays what, where a file does not say.

Feet go by surface. Hands go by a shortest path through the whole stretch: every choice of hand has
a cost for moving over the kit, for striking again too soon, and for the piece lying on the other
hand's side; the cheapest sequence wins, the same on every machine. The weights are ours, and
guesses for the teacher to correct.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import permutations

from exercises.notation.imported import Heard
from exercises.rhythm.kit import Kit, Role
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Piece

# A hand that must strike again within this time would rather leave the stroke to the other one.
_COMFORTABLE_SECONDS = 0.22
_AGAIN_COST = 2.0
_MOVE_COST = 0.5  # per metre
_RUSH_COST = 0.06  # per metre per second
_OFF_BEAT_LEAD_COST = 0.05
_SECONDS_IN_BEAT = 0.6
_WIDTH_OF_SEARCH = 32

# What it costs the strong and the weak hand to be the one that plays a piece: the strong hand keeps
# time on hi-hat and cymbals, the weak one has the snare (common practice, no source).
_SIDE_COST: dict[Piece, tuple[float, float]] = {
    Piece.SNARE: (0.25, 0.0),
    Piece.HIGH_TOM: (0.1, 0.1),
    Piece.MID_TOM: (0.05, 0.15),
    Piece.FLOOR_TOM: (0.0, 0.4),
    Piece.HI_HAT: (0.0, 0.35),
    Piece.RIDE: (0.0, 0.8),
    Piece.CRASH: (0.0, 0.3),
    Piece.SPLASH: (0.1, 0.2),
    Piece.CHINA: (0.0, 0.5),
    Piece.COWBELL: (0.0, 0.4),
    Piece.PAD: (0.0, 0.05),
}

Hand = Role
_HANDS = (Role.STRONG_HAND, Role.WEAK_HAND)


@dataclass(frozen=True, slots=True)
class _Before:
    """What a hand did last: on which piece, and when in beats."""

    piece: Piece
    onset: Fraction


@dataclass(frozen=True, slots=True)
class _Path:
    """One way to share out the strokes so far: its cost, each hand's last stroke, the choices."""

    cost: float
    last: tuple[_Before | None, _Before | None] = (None, None)
    hands: tuple[Hand, ...] = field(default=())


def foot_for(heard: Heard, kit: Kit) -> Limb:
    """Return the foot whose pedal a surface belongs to."""
    is_hat = heard.surface.facts.piece is Piece.HI_HAT
    return kit.limb_by_role[Role.HAT_FOOT if is_hat else Role.BASS_FOOT]


def share_hands(
    moments: Sequence[Sequence[Heard]], kit: Kit, *, bpm: float | None
) -> list[list[Limb]]:
    """Return a hand for every stroke of every moment; a moment has one or two hand strokes.

    ``bpm`` counts the meter's beat; without it, a middling tempo is assumed.
    """
    seconds = 60 / bpm if bpm else _SECONDS_IN_BEAT
    paths = [_Path(0.0)]
    for strokes in moments:
        longer = [step for path in paths for step in _steps(path, strokes, kit, seconds)]
        paths = _cheapest(longer)
    hands = iter(paths[0].hands)
    return [[kit.limb_by_role[next(hands)] for _ in strokes] for strokes in moments]


def _steps(path: _Path, strokes: Sequence[Heard], kit: Kit, seconds: float) -> Iterator[_Path]:
    for hands in permutations(_HANDS, len(strokes)):
        last = dict(zip(_HANDS, path.last, strict=True))
        cost = path.cost
        for stroke, hand in zip(strokes, hands, strict=True):
            cost += _cost(stroke, hand, last[hand], kit, seconds)
        for stroke, hand in zip(strokes, hands, strict=True):
            last[hand] = _Before(stroke.surface.facts.piece, stroke.onset)
        yield _Path(cost, (last[_HANDS[0]], last[_HANDS[1]]), (*path.hands, *hands))


def _cost(stroke: Heard, hand: Hand, before: _Before | None, kit: Kit, seconds: float) -> float:
    piece = stroke.surface.facts.piece
    cost = _SIDE_COST.get(piece, (0.0, 0.0))[_HANDS.index(hand)]
    if hand is Role.WEAK_HAND and stroke.onset.denominator == 1:
        cost += _OFF_BEAT_LEAD_COST
    if stroke.limb is not None and kit.limb_by_role[hand] is not stroke.limb:
        cost += 100.0
    if before is None:
        return cost
    gap = float(stroke.onset - before.onset) * seconds
    metres = kit.where(before.piece).distance(kit.where(piece)) / 100
    cost += metres * (_MOVE_COST + _RUSH_COST / max(gap, 0.02))
    return cost + _AGAIN_COST * max(0.0, 1 - gap / _COMFORTABLE_SECONDS)


def _cheapest(paths: list[_Path]) -> list[_Path]:
    """The best few paths, one for each way the hands can stand now; ties go to the earlier one."""
    best: dict[tuple[_Before | None, _Before | None], _Path] = {}
    for path in paths:
        rival = best.get(path.last)
        if rival is None or path.cost < rival.cost:
            best[path.last] = path
    return sorted(best.values(), key=lambda path: path.cost)[:_WIDTH_OF_SEARCH]


def by_moment(heard: Sequence[Heard]) -> Mapping[Fraction, list[Heard]]:
    """Return the strokes that fall together, in time order."""
    moments: dict[Fraction, list[Heard]] = {}
    for stroke in sorted(heard, key=lambda s: s.onset):
        moments.setdefault(stroke.onset, []).append(stroke)
    return moments
