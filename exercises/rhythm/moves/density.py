"""Fewer strokes, or more: thinning a line out and filling its gaps."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import ClassVar

from exercises.rhythm.errors import Refused, RhythmError
from exercises.rhythm.figure import Line, Loudness, Stroke
from exercises.rhythm.limbs import HANDS, LIMBS, Limb
from exercises.rhythm.moves.base import Frame, Lines, Move
from exercises.rhythm.moves.line_work import evenly, in_order, own, own_or_refuse
from exercises.rhythm.moves.values import NoteValue, Pattern
from exercises.rhythm.surfaces import Surface

_ORDINALS = ("1st", "2nd", "3rd", "4th", "5th", "6th", "7th", "8th")


class Thinning(StrEnum):
    """What happens to the strokes on the named part of the beat."""

    DROP = "drop"
    KEEP = "keep"


@dataclass(frozen=True, slots=True)
class ThinOut(Move):
    """Leave out one part of every beat, or everything but that part.

    The beat is cut into ``parts``; ``part`` counts from 1. Strokes elsewhere than on the ``parts``
    grid count as outside the named part.

    Example: ``thin.RH.1.2.drop`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:    .x .x .x .x
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..
    """

    kind: ClassVar[str] = "thin"
    label: ClassVar[str] = "Thin out"

    limb: Limb
    part: int
    parts: int
    thinning: Thinning = Thinning.DROP

    def __post_init__(self) -> None:
        if not 1 <= self.part <= self.parts <= len(_ORDINALS):
            raise RhythmError("thinning names a part of a beat cut into 1 to 8 parts")

    @property
    def words(self) -> str:
        """The limb and the part of the beat."""
        verb = "leave out" if self.thinning is Thinning.DROP else "keep only"
        if self.part == 1:
            return f"{self.limb.spoken}: {verb} the strokes on the beat"
        return (
            f"{self.limb.spoken}: {verb} the {_ORDINALS[self.part - 1]} of {self.parts} "
            "in every beat"
        )

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The limb that plays less."""
        return (self.limb,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The thinner line.

        :raises Refused: when the limb is idle, or would have nothing left
        """
        line = own_or_refuse(limb, lines)
        place = Fraction(self.part - 1, self.parts)
        keep = self.thinning is Thinning.KEEP
        left = tuple(stroke for stroke in line if (stroke.onset % 1 == place) is keep)
        if not left:
            raise Refused(f"the {limb.spoken} would have nothing left to play")
        return left


class Gaps(StrEnum):
    """Whose silences are filled."""

    OWN = "own"
    HANDS = "hands"
    ALL = "all"


_GAPS_SPOKEN = {
    Gaps.OWN: "its own gaps",
    Gaps.HANDS: "the gaps of the hands",
    Gaps.ALL: "every silence",
}


@dataclass(frozen=True, slots=True)
class FillIn(Move):
    """Strike wherever there is silence on a grid of one note value.

    The silences are the limb's own, those of both hands, or those of all four limbs.

    Example: ``fill.LH.snare.16.hands.ghost`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:    x.x. x.x. x.x. x.x.
        LH snare:     .g.g Xg.g .g.g Xg.g
        RF bass-drum: x... .... x... ....
    """

    kind: ClassVar[str] = "fill"
    label: ClassVar[str] = "Fill in"

    limb: Limb
    surface: Surface
    value: NoteValue
    gaps: Gaps
    loudness: Loudness = Loudness.NORMAL

    @property
    def words(self) -> str:
        """The limb, the silences, the surface and how loud."""
        how = {
            Loudness.GHOST: " as ghost notes",
            Loudness.SOFT: " softly",
            Loudness.NORMAL: "",
            Loudness.ACCENT: " as accents",
        }[self.loudness]
        return (
            f"{self.limb.spoken}: fill {_GAPS_SPOKEN[self.gaps]} in {self.value.spoken} "
            f"on the {self.surface.spoken}{how}"
        )

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The limb that plays more."""
        return (self.limb,)

    def reads(self, limb: Limb) -> tuple[Limb, ...]:
        """The limbs whose silences count."""
        if self.gaps is Gaps.ALL:
            return LIMBS
        if self.gaps is Gaps.HANDS:
            return tuple(dict.fromkeys((*HANDS, limb)))
        return (limb,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The line with the silences filled.

        :raises Refused: when the value does not fit the meter
        """
        spacing = self.value.in_beats(frame.meter)
        taken = {stroke.onset for one in self.reads(limb) for stroke in own(one, lines)}
        grid = evenly(limb, self.surface, spacing, Fraction(0), frame)
        new = tuple(
            Stroke(stroke.onset, limb, self.surface, self.loudness)
            for stroke in grid
            if stroke.onset not in taken
        )
        return in_order(own(limb, lines) + new)


@dataclass(frozen=True, slots=True)
class AddStrokes(Move):
    """Add the strokes of a pattern to what a limb plays; where it plays already nothing changes.

    Example: ``more.LH.snare.4-------g--------`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:    x.x. x.x. x.x. x.x.
        LH snare:     .... X..g .... X...
        RF bass-drum: x... .... x... ....
    """

    kind: ClassVar[str] = "more"
    label: ClassVar[str] = "Add a few strokes"

    limb: Limb
    surface: Surface
    pattern: Pattern

    @property
    def words(self) -> str:
        """The limb, the surface and the new places."""
        return f"{self.limb.spoken}: also {self.surface.spoken} {self.pattern.spoken}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The limb that plays more."""
        return (self.limb,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The line with the strokes added."""
        line = own(limb, lines)
        taken = {stroke.onset for stroke in line}
        new = tuple(
            Stroke(onset, limb, self.surface, loudness)
            for onset, loudness in self.pattern.places(frame)
            if onset not in taken
        )
        return in_order(line + new)
