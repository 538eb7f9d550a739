"""The hi-hat, opened by the hand that plays it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from exercises.rhythm.errors import Refused, RhythmError
from exercises.rhythm.figure import Line
from exercises.rhythm.limbs import Limb
from exercises.rhythm.moves.base import Frame, Lines, Move
from exercises.rhythm.moves.line_work import on_surface, own_or_refuse
from exercises.rhythm.moves.values import Pattern
from exercises.rhythm.surfaces import Surface

_CLOSED = Surface.HI_HAT
_OPEN = (Surface.HI_HAT_OPEN, Surface.HI_HAT_HALF_OPEN)


@dataclass(frozen=True, slots=True)
class OpenHiHat(Move):
    """Open the hi-hat where the pattern says; every other hi-hat stroke stays as it is.

    Example: ``open.RH.2-------x.hi_hat_open`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:      xx xx xx x.
        RH hi-hat-open: .. .. .. .x
        LH snare:       .. X. .. X.
        RF bass-drum:   x. .. x. ..
    """

    kind: ClassVar[str] = "open"
    label: ClassVar[str] = "Open the hi-hat"

    limb: Limb
    pattern: Pattern
    surface: Surface = Surface.HI_HAT_OPEN

    def __post_init__(self) -> None:
        if self.surface not in _OPEN:
            raise RhythmError("a hi-hat is opened, or half opened")

    @property
    def words(self) -> str:
        """The limb, how far and where."""
        return f"{self.limb.spoken}: {self.surface.spoken} {self.pattern.spoken}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The hand on the hi-hat."""
        return (self.limb,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The line with some hi-hat strokes open.

        :raises Refused: when the hand plays no closed hi-hat there
        """
        line = own_or_refuse(limb, lines)
        places = self.pattern.onsets(frame)
        if not any(s.surface is _CLOSED and s.onset in places for s in line):
            raise Refused(f"the {limb.spoken} plays no closed hi-hat there to open")
        return tuple(
            on_surface(s, self.surface) if s.surface is _CLOSED and s.onset in places else s
            for s in line
        )
