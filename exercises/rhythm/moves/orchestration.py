"""Where the strokes land: hands sent round the kit, accents sent elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import ClassVar

from exercises.rhythm.errors import Refused, RhythmError
from exercises.rhythm.figure import TICKS_PER_BEAT, Line, Loudness
from exercises.rhythm.limbs import Limb
from exercises.rhythm.moves.base import Frame, Lines, Move
from exercises.rhythm.moves.line_work import (
    check_hands,
    hands_spoken,
    on_surface,
    own,
    own_or_refuse,
)
from exercises.rhythm.surfaces import Surface

MOST_SURFACES = 8


class Every(StrEnum):
    """How often the hand moves on to the next surface."""

    STROKE = "1s"
    TWO_STROKES = "2s"
    THREE_STROKES = "3s"
    FOUR_STROKES = "4s"
    BEAT = "1b"
    TWO_BEATS = "2b"
    HALF_BAR = "half"
    BAR = "bar"

    @property
    def counts_strokes(self) -> bool:
        """True when strokes are counted rather than time."""
        return self.value.endswith("s")

    @property
    def strokes(self) -> int:
        """How many strokes, when strokes are counted."""
        return int(self.value[0]) if self.counts_strokes else 0

    def span(self, frame: Frame) -> Fraction:
        """How long, in beats, when time is counted."""
        return {
            Every.BEAT: Fraction(1),
            Every.TWO_BEATS: Fraction(2),
            Every.HALF_BAR: frame.bar / 2,
            Every.BAR: frame.bar,
        }[self]


_EVERY_SPOKEN = {
    Every.STROKE: "a stroke on each",
    Every.TWO_STROKES: "two strokes on each",
    Every.THREE_STROKES: "three strokes on each",
    Every.FOUR_STROKES: "four strokes on each",
    Every.BEAT: "a beat on each",
    Every.TWO_BEATS: "two beats on each",
    Every.HALF_BAR: "half a bar on each",
    Every.BAR: "a bar on each",
}


@dataclass(frozen=True, slots=True)
class RoundTheKit(Move):
    """Send one hand, or both, round the kit in a given order.

    Counting strokes, both hands count together: a paradiddle with four strokes on each drum moves
    once per paradiddle.

    Example: ``round.LH.snare~floor_tom.1s`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. ..
        LH floor-tom: .. .. .. X.
        RF bass-drum: x. .. x. ..
    """

    kind: ClassVar[str] = "round"
    label: ClassVar[str] = "Send a hand round the kit"

    hands: tuple[Limb, ...]
    surfaces: tuple[Surface, ...]
    every: Every

    def __post_init__(self) -> None:
        check_hands(self.hands)
        if not 2 <= len(self.surfaces) <= MOST_SURFACES:
            raise RhythmError(f"a way round the kit has 2 to {MOST_SURFACES} stops")

    @property
    def words(self) -> str:
        """The hand, the stops and how long on each."""
        stops = ", ".join(surface.spoken for surface in self.surfaces)
        return f"{hands_spoken(self.hands)}: {stops}, {_EVERY_SPOKEN[self.every]}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The hands that travel."""
        return self.hands

    def reads(self, limb: Limb) -> tuple[Limb, ...]:
        """All travelling hands: strokes are counted together, and one of them must play."""
        return self.hands

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The same strokes on other surfaces.

        :raises Refused: when no hand that should travel plays
        """
        if not any(own(hand, lines) for hand in self.hands):
            raise Refused(f"the {limb.spoken} has nothing to take round the kit")
        line = own(limb, lines)
        if self.every.counts_strokes:
            stops = self._by_strokes(lines)
        else:
            ticks = int(self.every.span(frame) * TICKS_PER_BEAT)
            stops = {stroke.tick: stroke.tick // ticks for stroke in line}
        count = len(self.surfaces)
        return tuple(
            on_surface(stroke, self.surfaces[stops[stroke.tick] % count]) for stroke in line
        )

    def _by_strokes(self, lines: Lines) -> dict[int, int]:
        ticks = sorted({stroke.tick for hand in self.hands for stroke in own(hand, lines)})
        each = self.every.strokes
        return {tick: number // each for number, tick in enumerate(ticks)}


@dataclass(frozen=True, slots=True)
class PlayOn(Move):
    """Take a whole line to one other surface: the hi-hat part on the ride.

    Example: ``on.RH.ride`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH ride:      xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..
    """

    kind: ClassVar[str] = "on"
    label: ClassVar[str] = "Play a line on another surface"

    limb: Limb
    surface: Surface

    @property
    def words(self) -> str:
        """The limb and the surface."""
        return f"{self.limb.spoken}: everything on the {self.surface.spoken}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The limb that moves over."""
        return (self.limb,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The same strokes on the one surface.

        :raises Refused: when the limb is idle
        """
        return tuple(on_surface(stroke, self.surface) for stroke in own_or_refuse(limb, lines))


@dataclass(frozen=True, slots=True)
class OrchestrateAccents(Move):
    """Take the accents of one hand, or of both, to another surface; the rest stays.

    Example: ``accents-to.LH.high_tom`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH high-tom:  .. X. .. X.
        RF bass-drum: x. .. x. ..
    """

    kind: ClassVar[str] = "accents-to"
    label: ClassVar[str] = "Take the accents elsewhere"

    hands: tuple[Limb, ...]
    surface: Surface

    def __post_init__(self) -> None:
        check_hands(self.hands)

    @property
    def words(self) -> str:
        """The hand and where its accents go."""
        return f"{hands_spoken(self.hands)}: accents on the {self.surface.spoken}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The hands whose accents move."""
        return self.hands

    def reads(self, limb: Limb) -> tuple[Limb, ...]:
        """All hands named: one of them must have accents."""
        return self.hands

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The line with its accents on the new surface.

        :raises Refused: when no hand named plays an accent
        """
        strokes = [stroke for hand in self.hands for stroke in own(hand, lines)]
        if not any(stroke.loudness is Loudness.ACCENT for stroke in strokes):
            raise Refused("there are no accents to take elsewhere")
        return tuple(
            on_surface(stroke, self.surface) if stroke.loudness is Loudness.ACCENT else stroke
            for stroke in own(limb, lines)
        )
