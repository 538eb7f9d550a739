"""Meters: how many beats a bar has, and what note value a beat is."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from exercises.rhythm.errors import BadMeter

_UNITS = (2, 4, 8, 16)
_MOST_COUNTS = 32


@dataclass(frozen=True)
class Meter:
    """A time signature, ``count`` over ``unit``.

    In a compound meter (a count of 6, 9, 12 ... over 8 or 16) three units make one beat; in every
    other meter the beat is a quarter note, save over 2, where it is a half note. So 7/8 has three
    and a half beats: its grouping is ``groups``.

    :raises BadMeter: for a count outside 1-32 or a unit other than 2, 4, 8, 16
    """

    count: int
    unit: int

    def __post_init__(self) -> None:
        if not (isinstance(self.count, int) and isinstance(self.unit, int)):
            raise BadMeter(f"a meter is two whole numbers, not {self.count!r}/{self.unit!r}")
        if not 1 <= self.count <= _MOST_COUNTS:
            raise BadMeter(f"a bar has 1 to {_MOST_COUNTS} counts, not {self.count}")
        if self.unit not in _UNITS:
            raise BadMeter(f"a count is a half, quarter, eighth or sixteenth, not 1/{self.unit}")

    @classmethod
    def parse(cls, text: str) -> Meter:
        """Read ``"7/8"``.

        :raises BadMeter: when the text is not two whole numbers round a slash
        """
        count, slash, unit = text.strip().partition("/")
        digits = count.strip().isascii() and unit.strip().isascii()
        if not slash or not digits or not count.strip().isdigit() or not unit.strip().isdigit():
            raise BadMeter(f"a meter looks like 4/4 or 7/8, not {text[:20]!r}")
        if len(count.strip()) > 2 or len(unit.strip()) > 2:
            raise BadMeter(f"a meter looks like 4/4 or 7/8, not {text[:20]!r}")
        return cls(int(count), int(unit))

    def __str__(self) -> str:
        return f"{self.count}/{self.unit}"

    @property
    def is_compound(self) -> bool:
        """True when three units make one beat (6/8, 9/8, 12/8 ...)."""
        return self.unit >= 8 and self.count % 3 == 0 and self.count > 3

    @cached_property
    def beat_quarters(self) -> Fraction:
        """The beat's length in quarter notes (3/2 in compound meters)."""
        if self.is_compound:
            return Fraction(12, self.unit)
        return Fraction(2) if self.unit == 2 else Fraction(1)

    @cached_property
    def bar_beats(self) -> Fraction:
        """The bar's length in beats (7/2 for 7/8)."""
        return Fraction(4 * self.count, self.unit) / self.beat_quarters

    @cached_property
    def groups(self) -> tuple[Fraction, ...]:
        """The bar cut into the groups that beams and counting follow, each a length in beats.

        Whole beats, save in odd meters over 8 or 16, where twos come first and a three last (7/8 is
        2+2+3): common practice, no source.
        """
        if self.bar_beats.denominator == 1:
            return (Fraction(1),) * int(self.bar_beats)
        unit = Fraction(4, self.unit) / self.beat_quarters
        per_beat = int(1 / unit)
        beats, rest = divmod(self.count, per_beat)
        if beats == 0:
            return (unit * rest,)
        return (Fraction(1),) * (beats - 1) + (1 + unit * rest,)
