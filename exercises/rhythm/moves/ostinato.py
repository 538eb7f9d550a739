"""Ostinatos: a line that one limb keeps going by itself."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import ClassVar

from exercises.rhythm.errors import Refused, RhythmError
from exercises.rhythm.euclid import MOST_STEPS, euclid
from exercises.rhythm.figure import TICKS_PER_BEAT, Line, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.moves.base import ALREADY_SO, Frame, Lines, Move
from exercises.rhythm.moves.line_work import (
    evenly,
    on_pattern,
    own,
    own_or_refuse,
    steady_spacing,
)
from exercises.rhythm.moves.values import NoteValue, Pattern, Place
from exercises.rhythm.surfaces import Surface


def _refuse_if_busy(limb: Limb, lines: Lines, wanted: Line) -> Line:
    line = own(limb, lines)
    if line == wanted:
        raise Refused(ALREADY_SO)
    if line:
        raise Refused(f"the {limb.spoken} is already busy")
    return wanted


@dataclass(frozen=True, slots=True)
class AddOstinato(Move):
    """Give an idle limb an even line: one surface, one note value.

    Off the beat means half a note value late, so quarters off the beat fall on every "&". The line
    runs on to the figure's end without starting again at bar lines.

    Example: ``ostinato.RH.ride.8.on`` makes of ::

        4/4

        LH snare:     . X . X
        RF bass-drum: x . x .

    this ::

        4/4

        RH ride:      xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..
    """

    kind: ClassVar[str] = "ostinato"
    label: ClassVar[str] = "Add an ostinato"

    limb: Limb
    surface: Surface
    value: NoteValue
    place: Place = Place.ON

    @property
    def words(self) -> str:
        """The limb, the surface and the note value."""
        off = ", off the beat" if self.place is Place.OFF else ""
        return f"{self.limb.spoken}: {self.surface.spoken} in {self.value.spoken}{off}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The idle limb."""
        return (self.limb,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The even line.

        :raises Refused: when the limb is busy or the value does not fit the meter
        """
        spacing = self.value.in_beats(frame.meter)
        start = spacing / 2 if self.place is Place.OFF else Fraction(0)
        if start >= frame.length or TICKS_PER_BEAT % start.denominator:
            raise Refused(f"{self.value.spoken} off the beat do not fit {frame.meter}")
        return _refuse_if_busy(limb, lines, evenly(limb, self.surface, spacing, start, frame))


@dataclass(frozen=True, slots=True)
class AddTimekeeping(Move):
    """Give an idle limb a pattern to keep: jazz time, a shuffle, a gallop, a rumba bell.

    Example: ``time.RH.ride.3x--x-x`` makes of ::

        4/4

        LF hi-hat-foot: . x . x

    this ::

        4/4

        RH ride:        x x.x x x.x
        LF hi-hat-foot: . x.. . x..
    """

    kind: ClassVar[str] = "time"
    label: ClassVar[str] = "Add a timekeeping pattern"

    limb: Limb
    surface: Surface
    pattern: Pattern

    @property
    def words(self) -> str:
        """The limb, the surface and where it plays."""
        return f"{self.limb.spoken}: keep time on the {self.surface.spoken} {self.pattern.spoken}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The idle limb."""
        return (self.limb,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The pattern, repeated.

        :raises Refused: when the limb is busy
        """
        wanted = on_pattern(limb, self.surface, self.pattern, frame)
        return _refuse_if_busy(limb, lines, wanted)


@dataclass(frozen=True, slots=True)
class AddEvenSpread(Move):
    """Give an idle limb ``strokes`` strokes spread as evenly as ``steps`` steps of a bar allow.

    ``turn`` starts the pattern at a later step. See :mod:`exercises.rhythm.euclid`.

    Example: ``spread.LH.snare.3.8.0`` makes of ::

        4/4

        RF bass-drum: x x x x

    this ::

        4/4

        LH snare:     x. .x .. x.
        RF bass-drum: x. x. x. x.
    """

    kind: ClassVar[str] = "spread"
    label: ClassVar[str] = "Spread strokes evenly over the bar"

    limb: Limb
    surface: Surface
    strokes: int
    steps: int
    turn: int = 0

    def __post_init__(self) -> None:
        if not 1 <= self.strokes <= self.steps <= MOST_STEPS:
            raise RhythmError(f"an even spread has 1 to {MOST_STEPS} steps and no more strokes")
        if not 0 <= self.turn < self.steps:
            raise RhythmError("the turn is smaller than the number of steps")

    @property
    def words(self) -> str:
        """The limb, the surface and the numbers."""
        turned = f", starting {self.turn} steps into it" if self.turn else ""
        return (
            f"{self.limb.spoken}: {self.surface.spoken}, {self.strokes} strokes spread evenly "
            f"over {self.steps} steps of the bar{turned}"
        )

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The idle limb."""
        return (self.limb,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The spread, bar by bar.

        :raises Refused: when the limb is busy or the steps fall on no subdivision
        """
        step = frame.bar / self.steps
        if TICKS_PER_BEAT % step.denominator:
            raise Refused(f"a bar of {frame.meter} does not divide into {self.steps} steps")
        cells = euclid(self.strokes, self.steps, turn=self.turn)
        wanted = tuple(
            Stroke(frame.bar * bar + step * number, limb, self.surface)
            for bar in range(frame.bars)
            for number, is_stroke in enumerate(cells)
            if is_stroke
        )
        return _refuse_if_busy(limb, lines, wanted)


@dataclass(frozen=True, slots=True)
class ChangeSubdivision(Move):
    """Play an even line in another note value: quarters become eighths.

    Strokes that are there before and after keep their loudness; new ones are as loud as the first.

    Example: ``subdivision.RH.16`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:    xxxx xxxx xxxx xxxx
        LH snare:     .... X... .... X...
        RF bass-drum: x... .... x... ....
    """

    kind: ClassVar[str] = "subdivision"
    label: ClassVar[str] = "Change an ostinato's subdivision"

    limb: Limb
    value: NoteValue

    @property
    def words(self) -> str:
        """The limb and the new note value."""
        return f"{self.limb.spoken}: the ostinato in {self.value.spoken}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The limb that keeps the ostinato."""
        return (self.limb,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The same ostinato in the other note value.

        :raises Refused: when the line is not even, or the value does not fit the meter
        """
        line = own_or_refuse(limb, lines)
        if steady_spacing(line, frame) is None:
            raise Refused(f"the {limb.spoken} keeps no even ostinato whose value could change")
        spacing = self.value.in_beats(frame.meter)
        kept = {stroke.onset: stroke for stroke in line}
        new = evenly(limb, line[0].surface, spacing, line[0].onset % spacing, frame)
        return tuple(
            kept.get(stroke.onset) or replace(stroke, loudness=line[0].loudness) for stroke in new
        )


@dataclass(frozen=True, slots=True)
class LeaveOut(Move):
    """Let one limb rest, to hear and feel what the others do.

    Example: ``rest.RF`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat: xx xx xx xx
        LH snare:  .. X. .. X.
    """

    kind: ClassVar[str] = "rest"
    label: ClassVar[str] = "Leave a limb out"

    limb: Limb

    @property
    def words(self) -> str:
        """The limb that rests."""
        return f"{self.limb.spoken}: rest"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The limb that rests."""
        return (self.limb,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """Nothing.

        :raises Refused: when nobody else would be playing
        """
        if not any(lines_other for lines_other in lines if lines_other is not own(limb, lines)):
            raise Refused(f"nothing would be left without the {limb.spoken}")
        return ()

    def reads(self, limb: Limb) -> tuple[Limb, ...]:
        """All four: somebody has to go on playing."""
        return (Limb.RH, Limb.LH, Limb.RF, Limb.LF)
