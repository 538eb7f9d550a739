"""How loud: accents within a line, balance between the limbs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from exercises.rhythm.errors import Refused, RhythmError
from exercises.rhythm.figure import Line, Loudness
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.moves.base import Frame, Lines, Move
from exercises.rhythm.moves.line_work import (
    at_loudness,
    check_hands,
    hands_spoken,
    own,
    own_or_refuse,
)
from exercises.rhythm.moves.values import Pattern


@dataclass(frozen=True, slots=True)
class Accents(Move):
    """Accent what a hand, or both, play on the pattern; accents elsewhere become plain strokes.

    Ghosted and soft strokes off the pattern stay as they are.

    Example: ``accents.RH.1x`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:    Xx Xx Xx Xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..
    """

    kind: ClassVar[str] = "accents"
    label: ClassVar[str] = "Accents"

    hands: tuple[Limb, ...]
    pattern: Pattern

    def __post_init__(self) -> None:
        check_hands(self.hands)

    @property
    def words(self) -> str:
        """The hand and where its accents fall."""
        return f"{hands_spoken(self.hands)}: accents {self.pattern.spoken}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The hands that accent."""
        return self.hands

    def reads(self, limb: Limb) -> tuple[Limb, ...]:
        """All hands named: one of them must play on the pattern."""
        return self.hands

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The line with its accents moved.

        :raises Refused: when nothing falls on the pattern
        """
        places = self.pattern.onsets(frame)
        if not any(s.onset in places for hand in self.hands for s in own(hand, lines)):
            raise Refused("no stroke falls where the accents should be")
        return tuple(
            at_loudness(stroke, Loudness.ACCENT)
            if stroke.onset in places
            else at_loudness(stroke, Loudness.NORMAL)
            if stroke.loudness is Loudness.ACCENT
            else stroke
            for stroke in own(limb, lines)
        )


@dataclass(frozen=True, slots=True)
class Balance(Move):
    """Set how loud each limb plays against the others; None leaves a limb as it is.

    Example: ``balance.soft.0.0.0`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:    ss ss ss ss
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..
    """

    kind: ClassVar[str] = "balance"
    label: ClassVar[str] = "Balance between the limbs"

    right_hand: Loudness | None = None
    left_hand: Loudness | None = None
    right_foot: Loudness | None = None
    left_foot: Loudness | None = None

    def __post_init__(self) -> None:
        if not self.limbs:
            raise RhythmError("a balance names at least one limb")

    @property
    def _levels(self) -> dict[Limb, Loudness | None]:
        levels = (self.right_hand, self.left_hand, self.right_foot, self.left_foot)
        return dict(zip(LIMBS, levels, strict=True))

    @property
    def words(self) -> str:
        """Each named limb with its loudness."""
        named = [f"{limb.spoken} {_SPOKEN[level]}" for limb, level in self._levels.items() if level]
        return "balance: " + ", ".join(named)

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The limbs whose loudness is set."""
        return tuple(limb for limb, level in self._levels.items() if level)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The line at one loudness throughout.

        :raises Refused: when the limb is idle
        """
        level = self._levels[limb] or Loudness.NORMAL
        return tuple(at_loudness(stroke, level) for stroke in own_or_refuse(limb, lines))


_SPOKEN = {
    Loudness.GHOST: "ghosted",
    Loudness.SOFT: "soft",
    Loudness.NORMAL: "at normal loudness",
    Loudness.ACCENT: "accented",
}
