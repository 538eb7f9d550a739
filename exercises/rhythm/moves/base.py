"""What every move is: one named change to a figure, with its parameters.

A move says which limbs it rewrites, and, for each of them, whose lines it looks at to do so. That
is what makes searching cheap: a line that has been rewritten once need never be rewritten again.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar

from exercises.rhythm.errors import BadFigure, Refused
from exercises.rhythm.figure import MOST_BARS, Figure, Line
from exercises.rhythm.kit import Kit
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.playability import check

Lines = tuple[Line, Line, Line, Line]
"""One line per limb, in the order of ``LIMBS``."""

ALREADY_SO = "it is already so: the move changes nothing"


@dataclass(frozen=True, slots=True)
class Frame:
    """What a line stands in: a meter and a number of bars. Lengths are in beats."""

    meter: Meter
    bars: int

    @property
    def length(self) -> Fraction:
        """The whole figure's length in beats."""
        return self.meter.bar_beats * self.bars

    @property
    def bar(self) -> Fraction:
        """One bar's length in beats."""
        return self.meter.bar_beats


class Move(ABC):
    """One change to a figure.

    Subclasses are frozen dataclasses whose fields are the parameters; ``kind`` is the first part of
    the code, ``label`` the family's name on a page.
    """

    __slots__ = ()

    kind: ClassVar[str]
    label: ClassVar[str]

    @property
    @abstractmethod
    def words(self) -> str:
        """The change in plain English, as it stands on a practice sheet."""

    @property
    @abstractmethod
    def limbs(self) -> tuple[Limb, ...]:
        """The limbs whose lines this move may rewrite; it leaves every other line alone."""

    @abstractmethod
    def line_after(self, limb: Limb, lines: Lines, frame: Frame) -> Line:
        """Rewrite one limb's line, looking only at the lines of :meth:`reads`.

        :raises Refused: when the change makes no sense for these lines
        """

    def reads(self, limb: Limb) -> tuple[Limb, ...]:
        """The limbs whose lines decide what ``limb`` plays afterwards."""
        return (limb,)

    def bars_after(self, bars: int) -> int:
        """How many bars the figure has afterwards."""
        return bars

    def derive(self, figure: Figure) -> Figure:
        """Make the change without asking whether anybody could play the result.

        :raises Refused: when the change makes no sense here or changes nothing
        """
        frame = Frame(figure.meter, figure.bars)
        bars = self.bars_after(figure.bars)
        changes = {limb: self.line_after(limb, figure.lines, frame) for limb in self.limbs}
        try:
            if bars == figure.bars:
                result = figure.replacing(changes)
            else:
                result = _rebuilt(figure, bars, changes)
        except BadFigure as problem:
            raise Refused(str(problem)) from problem
        if result == figure:
            raise Refused(ALREADY_SO)
        return result

    def apply(self, figure: Figure, kit: Kit) -> Figure:
        """Make the change.

        :raises Refused: with the reason in words, when the change makes no sense here, changes
            nothing, or gives something that nobody could play on this kit
        """
        result = self.derive(figure)
        check(result, kit)
        return result


def _rebuilt(figure: Figure, bars: int, changes: dict[Limb, Line]) -> Figure:
    if not 1 <= bars <= MOST_BARS:
        raise Refused(f"a figure has 1 to {MOST_BARS} bars, and this would make {bars}")
    lines = (changes.get(limb, figure.line(limb)) for limb in LIMBS)
    strokes = [stroke for line in lines for stroke in line]
    return Figure.of(figure.meter, bars, strokes, title=figure.title)
