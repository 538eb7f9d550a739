"""How hard a figure is at a tempo: a sum of named parts, each explained in words.

The total lies between 1 and 10 and is nothing but the sum of the parts. It obeys what every teacher
takes for granted: a limb that joins never makes a figure easier, nor does a denser ostinato or a
faster tempo; the other-handed player on the mirrored kit finds it as hard; writing the same bar out
twice, or starting a bar later, changes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure
from exercises.rhythm.grade_parts.bench import Bench, Lines, bench
from exercises.rhythm.grade_parts.explain import PART_LABELS, part_words
from exercises.rhythm.kit import FIVE_PIECE, Kit

_KEYS = tuple(PART_LABELS)


@dataclass(frozen=True, slots=True)
class Part:
    """One reason why a figure is as hard as it is.

    ``points`` is exact to the thousandth. ``shown`` has one decimal, and the parts' shown numbers
    add up to the grade's: where rounding each by itself would not, those nearest to the next tenth
    are rounded the other way.
    """

    key: str
    label: str
    points: float
    words: str
    shown: str


@dataclass(frozen=True, slots=True)
class Grade:
    """A figure's parts and their total; equal when every part is.

    ``thousandths`` holds the parts' points times 1000, whole numbers, in the order of the parts.
    The words are only put together when asked for.
    """

    thousandths: tuple[int, ...]
    _lines: Lines = field(repr=False, compare=False)
    _bench: Bench = field(repr=False, compare=False)

    @property
    def total(self) -> float:
        """The sum of the parts, from 1 to 10."""
        return sum(self.thousandths) / 1000

    @property
    def shown(self) -> str:
        """The total with one decimal."""
        return _tenths_shown(_tenths(sum(self.thousandths)))

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts, with words."""
        return tuple(
            Part(
                key,
                PART_LABELS[key],
                thousandths / 1000,
                part_words(key, self._lines, self._bench),
                _tenths_shown(tenths),
            )
            for key, thousandths, tenths in zip(
                _KEYS, self.thousandths, _apportioned(self.thousandths), strict=True
            )
        )


def grade(figure: Figure, bpm: float, kit: Kit = FIVE_PIECE) -> Grade:
    """Return how hard the figure is at ``bpm`` beats of its meter per minute on this kit.

    Whether it can be played at all is not asked here; see :mod:`exercises.rhythm.playability`.

    :raises RhythmError: when the tempo is not above zero
    """
    if not bpm > 0:
        raise RhythmError(f"a tempo is above zero, not {bpm}")
    at = bench(figure.meter, figure.bars, kit, bpm)
    lines: Lines = figure.lines  # type: ignore[assignment]
    return Grade(at.marks(lines), lines, at)


def _tenths(thousandths: int) -> int:
    return (thousandths + 50) // 100


def _tenths_shown(tenths: int) -> str:
    return f"{tenths // 10}.{tenths % 10}"


def _apportioned(thousandths: tuple[int, ...]) -> list[int]:
    """Tenths for each part that add up to the total's, by largest remainders."""
    tenths = [part // 100 for part in thousandths]
    missing = _tenths(sum(thousandths)) - sum(tenths)
    by_remainder = sorted(
        range(len(thousandths)), key=lambda place: (-(thousandths[place] % 100), place)
    )
    for place in by_remainder[:missing]:
        tenths[place] += 1
    return tenths
