"""Kits: what stands where, which way round, and what that makes of the player's limbs.

Places are centres in plan view, in centimetres from the player's breastbone: ``x`` to the player's
right, ``y`` away from the player. They describe a usual set-up of drums of 10 to 22 inches, set
close: common practice, no source. Every drummer's kit differs by a hand's breadth.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cached_property

from exercises.rhythm.figure import Figure, Stroke
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.surfaces import Piece


class Role(StrEnum):
    """What a limb is to its player; the kit's handedness decides which limb that is."""

    STRONG_HAND = "strong_hand"
    WEAK_HAND = "weak_hand"
    BASS_FOOT = "bass_foot"
    HAT_FOOT = "hat_foot"

    __hash__ = str.__hash__


_RIGHT_HANDED = dict(zip(LIMBS, Role, strict=True))
_LEFT_HANDED = {limb.other_side: role for limb, role in _RIGHT_HANDED.items()}


@dataclass(frozen=True, slots=True)
class Place:
    """Where a piece stands and how wide a target it is, in centimetres."""

    x: float
    y: float
    width: float

    def distance(self, other: Place) -> float:
        """Centimetres from centre to centre."""
        return float(((self.x - other.x) ** 2 + (self.y - other.y) ** 2) ** 0.5)


@dataclass(frozen=True)
class Kit:
    """A set of pieces, where they stand, and who they are set up for.

    On a left-handed kit everything is mirrored, feet too: the bass drum is under the left foot, the
    hi-hat's pedal under the right, and the right hand is the weaker one.
    """

    name: str
    label: str
    places: tuple[tuple[Piece, Place], ...]
    bass_pedals: int = 1
    is_left_handed: bool = False
    _hash: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        known = (self.name, self.places, self.bass_pedals, self.is_left_handed)
        object.__setattr__(self, "_hash", hash(known))

    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def pieces(self) -> frozenset[Piece]:
        """The pieces that are there."""
        return frozenset(piece for piece, _ in self.places)

    @cached_property
    def roles(self) -> dict[Limb, Role]:
        """What each limb is to the player of this kit."""
        return dict(_LEFT_HANDED if self.is_left_handed else _RIGHT_HANDED)

    @cached_property
    def limb_by_role(self) -> dict[Role, Limb]:
        """The limb that has each role."""
        return {role: limb for limb, role in self.roles.items()}

    @cached_property
    def _where(self) -> dict[Piece, Place]:
        return dict(self.places)

    def where(self, piece: Piece) -> Place:
        """Where a piece stands; one that is not there is looked for in its usual place."""
        here = self._where.get(piece)
        if here is not None:
            return here
        usual = _USUAL[piece]
        return _mirrored(usual) if self.is_left_handed else usual

    def mirrored(self) -> Kit:
        """The same kit set up the other way round."""
        return replace(
            self,
            places=tuple((piece, _mirrored(place)) for piece, place in self.places),
            is_left_handed=not self.is_left_handed,
        )


def mirror(figure: Figure) -> Figure:
    """Return the figure for the other-handed player: every limb's line moves to the other side."""
    swapped = (
        Stroke(s.onset, s.limb.other_side, s.surface, s.loudness, s.ornament)
        for s in figure.strokes
    )
    return Figure.of(figure.meter, figure.bars, swapped, title=figure.title)


def _mirrored(place: Place) -> Place:
    return Place(-place.x, place.y, place.width)


# For a pedal the width is the footboard's; bass drum and hi-hat serve hands and feet apart.
_USUAL: dict[Piece, Place] = {
    Piece.BASS_DRUM: Place(15, 60, 10),
    Piece.SNARE: Place(-5, 30, 35.6),
    Piece.HIGH_TOM: Place(-10, 62, 25.4),
    Piece.MID_TOM: Place(20, 62, 30.5),
    Piece.FLOOR_TOM: Place(45, 25, 40.6),
    Piece.HI_HAT: Place(-45, 38, 35.6),
    Piece.RIDE: Place(58, 58, 50.8),
    Piece.CRASH: Place(-42, 75, 40.6),
    Piece.SPLASH: Place(5, 80, 25.4),
    Piece.CHINA: Place(85, 62, 45.7),
    Piece.COWBELL: Place(5, 58, 12),
    Piece.PAD: Place(0, 30, 30.5),
}


def _set_up(name: str, label: str, pieces: Iterable[Piece], bass_pedals: int = 1) -> Kit:
    return Kit(name, label, tuple((piece, _USUAL[piece]) for piece in pieces), bass_pedals)


_FOUR = (
    Piece.BASS_DRUM,
    Piece.SNARE,
    Piece.HIGH_TOM,
    Piece.FLOOR_TOM,
    Piece.HI_HAT,
    Piece.RIDE,
    Piece.CRASH,
)
_FIVE = (*_FOUR, Piece.MID_TOM, Piece.COWBELL)
_FULL = (*_FIVE, Piece.SPLASH, Piece.CHINA)

FOUR_PIECE = _set_up("four_piece", "Four-piece kit", _FOUR)
FIVE_PIECE = _set_up("five_piece", "Five-piece kit", _FIVE)
FIVE_PIECE_TWO_PEDALS = _set_up(
    "five_piece_two_pedals", "Five-piece kit with two bass pedals", _FULL, 2
)
PAD = _set_up("pad", "Practice pad", (Piece.PAD,), 0)

KITS: dict[str, Kit] = {
    kit.name: kit for kit in (FOUR_PIECE, FIVE_PIECE, FIVE_PIECE_TWO_PEDALS, PAD)
}
