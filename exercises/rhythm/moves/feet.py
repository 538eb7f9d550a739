"""Lines for the feet: the bass drum and the hi-hat pedal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Line
from exercises.rhythm.limbs import FEET, Limb
from exercises.rhythm.moves.base import Frame, Lines, Move
from exercises.rhythm.moves.line_work import on_pattern
from exercises.rhythm.moves.values import Pattern
from exercises.rhythm.surfaces import Surface


def check_foot(limb: Limb) -> None:
    """Make sure that a pedal line goes to a foot.

    :raises RhythmError: when it does not
    """
    if limb not in FEET:
        raise RhythmError("a pedal is played by a foot")


@dataclass(frozen=True, slots=True)
class BassLine(Move):
    """Give a foot, the right one unless the kit is left-handed, a bass-drum line.

    What the foot played before goes.

    Example: ``bass.2x--xx---.RF`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .x x. ..
    """

    kind: ClassVar[str] = "bass"
    label: ClassVar[str] = "Bass-drum line"

    pattern: Pattern
    foot: Limb = Limb.RF

    def __post_init__(self) -> None:
        check_foot(self.foot)

    @property
    def words(self) -> str:
        """Where the bass drum falls."""
        return f"{self.foot.spoken}: bass drum {self.pattern.spoken}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The foot on the bass drum."""
        return (self.foot,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The bass-drum line, repeated bar by bar."""
        return on_pattern(limb, Surface.BASS_DRUM, self.pattern, frame)


@dataclass(frozen=True, slots=True)
class HiHatFootLine(Move):
    """Give a foot, the left one unless the kit is left-handed, a line on the hi-hat pedal.

    The pedal gives a chick or a splash. What the foot played before goes.

    Example: ``pedal.1-x-x.hi_hat_foot.LF`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:      xx xx xx xx
        LH snare:       .. X. .. X.
        RF bass-drum:   x. .. x. ..
        LF hi-hat-foot: .. x. .. x.
    """

    kind: ClassVar[str] = "pedal"
    label: ClassVar[str] = "Hi-hat foot line"

    pattern: Pattern
    surface: Surface = Surface.HI_HAT_FOOT
    foot: Limb = Limb.LF

    def __post_init__(self) -> None:
        check_foot(self.foot)
        if self.surface not in (Surface.HI_HAT_FOOT, Surface.HI_HAT_SPLASH):
            raise RhythmError("the hi-hat pedal gives a chick or a splash")

    @property
    def words(self) -> str:
        """Where the hi-hat pedal falls."""
        return f"{self.foot.spoken}: {self.surface.spoken} {self.pattern.spoken}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The foot on the hi-hat pedal."""
        return (self.foot,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The pedal line, repeated bar by bar."""
        return on_pattern(limb, self.surface, self.pattern, frame)
