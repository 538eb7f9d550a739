"""Linear playing: one limb at a time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Line
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.moves.base import Frame, Lines, Move
from exercises.rhythm.moves.line_work import own


@dataclass(frozen=True, slots=True)
class Linear(Move):
    """Where limbs strike together, only the first of them in ``order`` keeps its stroke.

    Example: ``linear.LH~RF~RH~LF`` makes of ::

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

    kind: ClassVar[str] = "linear"
    label: ClassVar[str] = "Linear: no two limbs together"

    order: tuple[Limb, ...]

    def __post_init__(self) -> None:
        if len(self.order) != len(LIMBS) or set(self.order) != set(LIMBS):
            raise RhythmError("a linear order names each of the four limbs once")

    @property
    def words(self) -> str:
        """The order in which limbs give way."""
        names = ", then ".join(limb.spoken for limb in self.order[:-1])
        return f"linear: one limb at a time; {names} keep their strokes"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """All limbs."""
        return LIMBS

    def reads(self, limb: Limb) -> tuple[Limb, ...]:
        """The limb itself and those that come before it."""
        return self.order[: self.order.index(limb) + 1]

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """What the limbs before this one leave to it."""
        taken = {s.tick for one in self.reads(limb)[:-1] for s in own(one, lines)}
        return tuple(s for s in own(limb, lines) if s.tick not in taken)
