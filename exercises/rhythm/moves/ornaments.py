"""Ornaments: flams, drags and buzzes put on, or taken off."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from typing import ClassVar

from exercises.rhythm.errors import Refused
from exercises.rhythm.figure import Line, Loudness, Ornament, Stroke
from exercises.rhythm.limbs import HANDS, Limb
from exercises.rhythm.moves.base import Frame, Lines, Move
from exercises.rhythm.moves.line_work import DRUM_PIECES, check_hands, hands_spoken, own


class Where(StrEnum):
    """Which strokes are ornamented."""

    ACCENTS = "accents"
    BEATS = "beats"
    FIRST = "first"
    ALL = "all"


_WHERE_SPOKEN = {
    Where.ACCENTS: "the accents",
    Where.BEATS: "the strokes on the beat",
    Where.FIRST: "the first stroke of every bar",
    Where.ALL: "every stroke",
}
_SPOKEN = {Ornament.FLAM: "flams", Ornament.DRAG: "drags", Ornament.BUZZ: "buzzes"}


@dataclass(frozen=True, slots=True)
class Ornaments(Move):
    """Put flams, drags or buzzes on some of the strokes that a hand, or both, play on drums.

    ``Ornament.NONE`` takes them off. Strokes on cymbals are left as they are.

    Example: ``ornament.LH.flam.accents`` makes of ::

        4/4

        LH snare:     . X . X
        RF bass-drum: x . x .

    this ::

        4/4

        LH snare:     . F . F
        RF bass-drum: x . x .
    """

    kind: ClassVar[str] = "ornament"
    label: ClassVar[str] = "Flams, drags and buzzes"

    hands: tuple[Limb, ...]
    ornament: Ornament
    where: Where = Where.ACCENTS

    def __post_init__(self) -> None:
        check_hands(self.hands)

    @property
    def words(self) -> str:
        """The hand, the ornament and where."""
        who = hands_spoken(self.hands)
        if self.ornament is Ornament.NONE:
            return f"{who}: no ornaments on {_WHERE_SPOKEN[self.where]}"
        return f"{who}: {_SPOKEN[self.ornament]} on {_WHERE_SPOKEN[self.where]}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The hands that play the ornaments."""
        return self.hands

    def reads(self, limb: Limb) -> tuple[Limb, ...]:
        """Both hands: a grace stroke needs the other hand free at that moment."""
        return HANDS

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The ornamented line.

        :raises Refused: when no drum stroke is there, or the other hand is not free
        """
        meant = {s for hand in self.hands for s in own(hand, lines) if self._is_meant(s, frame)}
        if not meant:
            raise Refused("no drum stroke is there to ornament")
        busy = {s.onset for s in own(limb.other_side, lines)}
        line = own(limb, lines)
        if self.ornament.graces and any(s in meant and s.onset in busy for s in line):
            raise Refused(
                f"the {limb.other_side.spoken} strikes at the same moment, so it cannot play the "
                f"grace note of a {self.ornament.value}"
            )
        return tuple(replace(s, ornament=self.ornament) if s in meant else s for s in line)

    def _is_meant(self, stroke: Stroke, frame: Frame) -> bool:
        if stroke.surface.facts.piece not in DRUM_PIECES:
            return False
        if self.where is Where.ACCENTS:
            return stroke.loudness is Loudness.ACCENT
        if self.where is Where.BEATS:
            return stroke.onset.denominator == 1
        if self.where is Where.FIRST:
            return stroke.onset % frame.bar == Fraction(0)
        return True
