"""When: displacing, the straight or triplet feel, double and half the rate."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import ClassVar

from exercises.rhythm.errors import Refused, RhythmError
from exercises.rhythm.figure import MOST_BARS, TICKS_PER_BEAT, Line
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.moves.base import Frame, Lines, Move
from exercises.rhythm.moves.line_work import at_onset, in_order, own
from exercises.rhythm.moves.values import NoteValue


class Direction(StrEnum):
    """Which way a displacement goes."""

    LATER = "later"
    EARLIER = "earlier"


@dataclass(frozen=True, slots=True)
class Displace(Move):
    """Shift what some limbs, or all, play by one note value; what falls off the end comes back.

    Example: ``displace.LH.8.later`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. .X .. .X
        RF bass-drum: x. .. x. ..
    """

    kind: ClassVar[str] = "displace"
    label: ClassVar[str] = "Displace"

    moving: tuple[Limb, ...]
    value: NoteValue
    direction: Direction = Direction.LATER

    def __post_init__(self) -> None:
        order = [LIMBS.index(limb) for limb in self.moving]
        if not order or order != sorted(set(order)):
            raise RhythmError("a displacement names limbs, each once, in the order RH LH RF LF")

    @property
    def words(self) -> str:
        """Who shifts, how far and which way."""
        who = (
            "everything"
            if self.moving == LIMBS
            else " and ".join(limb.spoken for limb in self.moving)
        )
        return f"{who}: {self.value.one} {self.direction.value}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The limbs that shift."""
        return self.moving

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The shifted line.

        :raises Refused: when the value does not fit the meter
        """
        by = self.value.in_beats(frame.meter)
        if self.direction is Direction.EARLIER:
            by = -by
        line = own(limb, lines)
        return in_order(at_onset(s, (s.onset + by) % frame.length) for s in line)


class Feel(StrEnum):
    """How the beat is cut."""

    TRIPLET = "triplet"
    STRAIGHT = "straight"


class Cut(StrEnum):
    """The note values whose pairs are played long and short, or even."""

    EIGHTHS = "8"
    SIXTEENTHS = "16"


@dataclass(frozen=True, slots=True)
class ChangeFeel(Move):
    """Play straight eighths (or sixteenths) as the outer notes of triplets, or back.

    In meters whose beat is a quarter or a half note; the second of each pair moves from one half to
    two thirds of the pair.

    Example: ``feel.triplet.8`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:    x.x x.x x.x x.x
        LH snare:     ... X.. ... X..
        RF bass-drum: x.. ... x.. ...
    """

    kind: ClassVar[str] = "feel"
    label: ClassVar[str] = "Straight or triplet feel"

    feel: Feel
    cut: Cut = Cut.EIGHTHS

    @property
    def words(self) -> str:
        """The note value and the feel."""
        value = "eighths" if self.cut is Cut.EIGHTHS else "sixteenths"
        if self.feel is Feel.TRIPLET:
            return f"{value} played long and short, as outer triplets"
        return f"{value} played straight instead of long and short"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """All limbs: a feel is shared."""
        return LIMBS

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The line in the other feel.

        :raises Refused: in compound meters, or when a stroke stands between the pairs
        """
        if frame.meter.is_compound:
            raise Refused(f"the beat of {frame.meter} is cut in three already")
        unit = 1 if self.cut is Cut.EIGHTHS else Fraction(1, 2)
        pair = unit / frame.meter.beat_quarters
        before, after = Fraction(1, 2), Fraction(2, 3)
        if self.feel is Feel.STRAIGHT:
            before, after = after, before
        return tuple(
            at_onset(s, self._moved(s.onset, pair, before, after, limb)) for s in own(limb, lines)
        )

    def _moved(
        self, onset: Fraction, pair: Fraction, before: Fraction, after: Fraction, limb: Limb
    ) -> Fraction:
        within = (onset % pair) / pair
        if within == 0:
            return onset
        if within != before:
            values = "eighths" if self.cut is Cut.EIGHTHS else "sixteenths"
            raise Refused(f"the {limb.spoken} plays more than {values}, so the feel cannot change")
        moved = onset - onset % pair + after * pair
        if TICKS_PER_BEAT % moved.denominator:
            raise Refused("the beat cannot be cut that finely")
        return moved


class Speed(StrEnum):
    """Twice or half as fast."""

    DOUBLE = "double"
    HALF = "half"


@dataclass(frozen=True, slots=True)
class ChangeRate(Move):
    """Play everything twice as fast, or half as fast, at the same tempo.

    Half as fast takes twice the bars. Twice as fast takes half the bars if their number is even,
    else the figure is played twice in its bars.

    Example: ``rate.half`` makes of ::

        2/4

        RH hi-hat:    xx xx
        RF bass-drum: x. x.

    this ::

        2/4

        RH hi-hat:    x x | x x
        RF bass-drum: x . | x .
    """

    kind: ClassVar[str] = "rate"
    label: ClassVar[str] = "Double or halve the rate"

    speed: Speed

    @property
    def words(self) -> str:
        """The speed."""
        how = "twice" if self.speed is Speed.DOUBLE else "half"
        return f"everything {how} as fast"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """All limbs."""
        return LIMBS

    def bars_after(self, bars: int) -> int:
        """Twice the bars, half of them, or the same."""
        if self.speed is Speed.HALF:
            return bars * 2
        return bars // 2 if bars % 2 == 0 else bars

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The faster or slower line.

        :raises Refused: when there would be too many bars, or strokes too close to write
        """
        line = own(limb, lines)
        if self.speed is Speed.HALF:
            if frame.bars * 2 > MOST_BARS:
                raise Refused(f"half as fast would take {frame.bars * 2} bars, more than a figure")
            return tuple(at_onset(s, s.onset * 2) for s in line)
        if any(TICKS_PER_BEAT % (s.onset / 2).denominator for s in line):
            raise Refused("twice as fast would be too fine to write down")
        once = tuple(at_onset(s, s.onset / 2) for s in line)
        if frame.bars % 2 == 0:
            return once
        half = frame.length / 2
        if once and TICKS_PER_BEAT % half.denominator:
            raise Refused("twice as fast would be too fine to write down")
        return once + tuple(at_onset(s, s.onset + half) for s in once)
