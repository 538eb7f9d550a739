"""Which hand plays what: the other hand leads, and stickings."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from exercises.rhythm.errors import Refused, RhythmError
from exercises.rhythm.figure import Line, Stroke
from exercises.rhythm.limbs import FEET, HANDS, Limb
from exercises.rhythm.moves.base import Frame, Lines, Move
from exercises.rhythm.moves.line_work import by_limb, on_pattern, own
from exercises.rhythm.moves.values import Pattern
from exercises.rhythm.surfaces import Surface


@dataclass(frozen=True, slots=True)
class SwapHands(Move):
    """Let the other hand lead: each hand takes over what the other played, where it was played.

    Example: ``swap`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH snare:     .. X. .. X.
        LH hi-hat:    xx xx xx xx
        RF bass-drum: x. .. x. ..
    """

    kind: ClassVar[str] = "swap"
    label: ClassVar[str] = "Let the other hand lead"

    @property
    def words(self) -> str:
        """The same words for every figure."""
        return "the other hand leads: swap the hands"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """Both hands."""
        return HANDS

    def reads(self, limb: Limb) -> tuple[Limb, ...]:
        """The other hand."""
        return (limb.other_side,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """What the other hand played."""
        return by_limb(own(limb.other_side, lines), limb)


@dataclass(frozen=True, slots=True)
class HandLine(Move):
    """Give a hand another line on one surface; what it played before goes.

    Example: ``line.LH.snare.1--X-`` makes of ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. X. .. X.
        RF bass-drum: x. .. x. ..

    this ::

        4/4

        RH hi-hat:    xx xx xx xx
        LH snare:     .. .. X. ..
        RF bass-drum: x. .. x. ..
    """

    kind: ClassVar[str] = "line"
    label: ClassVar[str] = "Give a hand another line"

    hand: Limb
    surface: Surface
    pattern: Pattern

    def __post_init__(self) -> None:
        if self.hand not in HANDS:
            raise RhythmError("this line is for a hand")

    @property
    def words(self) -> str:
        """The hand, the surface and where it plays."""
        return f"{self.hand.spoken}: {self.surface.spoken} {self.pattern.spoken}"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The hand with the new line."""
        return (self.hand,)

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """The new line, repeated bar by bar."""
        return on_pattern(limb, self.surface, self.pattern, frame)


class Sticking(StrEnum):
    """An order of right and left, repeated for as long as there are strokes.

    The strings are those of the international drum rudiments (Percussive Arts Society, 1984) that
    are made of single strokes and diddles, with the three inversions of the single paradiddle,
    which are common practice.
    """

    SINGLES = "RL"
    DOUBLES = "RRLL"
    TRIPLES = "RRRLLL"
    PARADIDDLE = "RLRRLRLL"
    PARADIDDLE_INNER = "RLLRLRRL"
    PARADIDDLE_REVERSE = "RRLRLLRL"
    PARADIDDLE_LATE = "RLRLLRLR"
    DOUBLE_PARADIDDLE = "RLRLRRLRLRLL"
    TRIPLE_PARADIDDLE = "RLRLRLRRLRLRLRLL"
    PARADIDDLE_DIDDLE = "RLRRLL"

    @property
    def spoken(self) -> str:
        """The sticking's name."""
        return _STICKING_SPOKEN[self]


_STICKING_SPOKEN = {
    Sticking.SINGLES: "single strokes",
    Sticking.DOUBLES: "double strokes",
    Sticking.TRIPLES: "triple strokes",
    Sticking.PARADIDDLE: "paradiddles",
    Sticking.PARADIDDLE_INNER: "paradiddles with the double inside",
    Sticking.PARADIDDLE_REVERSE: "paradiddles with the double first",
    Sticking.PARADIDDLE_LATE: "paradiddles with the double over the bar",
    Sticking.DOUBLE_PARADIDDLE: "double paradiddles",
    Sticking.TRIPLE_PARADIDDLE: "triple paradiddles",
    Sticking.PARADIDDLE_DIDDLE: "paradiddle-diddles",
}


class Pair(StrEnum):
    """The two limbs that share a sticking."""

    HANDS = "hands"
    FEET = "feet"


class Lead(StrEnum):
    """The side that takes the first stroke."""

    RIGHT = "R"
    LEFT = "L"


@dataclass(frozen=True, slots=True)
class Restick(Move):
    """Lay a sticking over everything that the hands (or, with two bass pedals, the feet) play.

    What is struck, when and how loud stays; who strikes it changes.

    Example: ``stick.RLRRLRLL.hands.R`` makes of ::

        4/4

        RH snare: x.x. x.x. x.x. x.x.
        LH snare: .x.x .x.x .x.x .x.x

    this ::

        4/4

        RH snare: x.xx .x.. x.xx .x..
        LH snare: .x.. x.xx .x.. x.xx
    """

    kind: ClassVar[str] = "stick"
    label: ClassVar[str] = "Re-stick"

    sticking: Sticking
    pair: Pair = Pair.HANDS
    lead: Lead = Lead.RIGHT

    @property
    def words(self) -> str:
        """The pair, the sticking's name and its letters."""
        side = "right" if self.lead is Lead.RIGHT else "left"
        letters = self.sticking.value
        if self.lead is Lead.LEFT:
            letters = letters.translate(str.maketrans("RL", "LR"))
        return f"{self.pair.value}: {self.sticking.spoken}, {side} first ({letters})"

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The two limbs of the pair."""
        return HANDS if self.pair is Pair.HANDS else FEET

    def reads(self, limb: Limb) -> tuple[Limb, ...]:
        """Both limbs of the pair."""
        return self.limbs

    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """This limb's share of the pair's strokes.

        :raises Refused: when the two strike together somewhere, or there are too few strokes
        """
        strokes = self._in_turn(lines)
        rights = (Limb.RH, Limb.RF)
        letter = "R" if (limb in rights) is (self.lead is Lead.RIGHT) else "L"
        order = self.sticking.value
        mine = (s for n, s in enumerate(strokes) if order[n % len(order)] == letter)
        return by_limb(tuple(mine), limb)

    def _in_turn(self, lines: Lines) -> list[Stroke]:
        right, left = self.limbs
        strokes = sorted((*own(right, lines), *own(left, lines)), key=lambda s: s.tick)
        if len(strokes) < 2:
            raise Refused(f"the {self.pair.value} have too little to play for a sticking")
        if len({s.tick for s in strokes}) < len(strokes):
            raise Refused(
                f"the {self.pair.value} strike together somewhere, so no sticking fits them"
            )
        if self.pair is Pair.FEET and any(s.surface is not Surface.BASS_DRUM for s in strokes):
            raise Refused("a sticking for the feet needs both of them on the bass drum")
        return strokes
