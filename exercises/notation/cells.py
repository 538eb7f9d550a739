"""A beat group cut into cells that are each written plainly or under one tuplet bracket."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import lcm

from exercises.notation.note_values import SMALLEST, is_power_of_two, largest_power_of_two


@dataclass(frozen=True, slots=True)
class Tuplet:
    """``actual`` notes of ``unit`` (in quarters) in the time of ``normal``."""

    actual: int
    normal: int
    unit: Fraction

    @property
    def stretch(self) -> Fraction:
        """What a sounding length is multiplied with to get the written one."""
        return Fraction(self.actual, self.normal)


@dataclass(frozen=True, slots=True)
class Cell:
    """A stretch of one bar, in quarters from the bar's start."""

    start: Fraction
    length: Fraction
    tuplet: Tuplet | None = None

    @property
    def end(self) -> Fraction:
        """Where the next cell starts."""
        return self.start + self.length


@lru_cache(maxsize=8192)
def cells(
    start: Fraction, length: Fraction, onsets: tuple[Fraction, ...], beat: Fraction
) -> tuple[Cell, ...]:
    """Cut a group into cells, left to right, as few and as simple as its onsets allow.

    A group whose onsets all lie on halves of halves is one plain cell. Otherwise a group
    longer than a beat (the 2+3 of 5/8) is cut after the beat; a half or third that is plain by
    itself, with a stroke on the dividing line, is written plainly beside a smaller tuplet; what is
    left takes one bracket.
    """
    inside = tuple(o for o in onsets if start <= o < start + length)
    if all(is_power_of_two((o - start).denominator) for o in inside):
        return (Cell(start, length),)
    parts = _parts(length)
    if length > beat or parts is None:
        first = beat if length > beat else largest_power_of_two(length)
        rest = length - first
        return cells(start, first, inside, beat) + cells(start + first, rest, inside, beat)
    if _better_apart(start, length, inside, parts):
        step = length / parts
        return tuple(
            cell
            for index in range(parts)
            for cell in cells(start + index * step, step, inside, beat)
        )
    return (Cell(start, length, _tuplet(length, _division(start, length, inside))),)


def _parts(length: Fraction) -> int | None:
    if is_power_of_two(length.numerator):
        return 2
    return 3 if length.numerator % 3 == 0 and is_power_of_two(length.numerator // 3) else None


def _division(start: Fraction, length: Fraction, onsets: Sequence[Fraction]) -> int:
    """Into how many equal parts the stretch must be cut for every onset to fall on one."""
    return lcm(*(((o - start) / length).denominator for o in onsets if start <= o < start + length))


def _better_apart(
    start: Fraction, length: Fraction, onsets: tuple[Fraction, ...], parts: int
) -> bool:
    step = length / parts
    if step < SMALLEST * 8:
        return False
    divisions = [_division(start + index * step, step, onsets) for index in range(parts)]
    whole = _division(start, length, onsets)
    if parts == 3:
        return max(divisions) * 3 <= whole
    if max(divisions) * 2 < whole:
        return True
    return start + step in onsets and any(is_power_of_two(d) for d in divisions)


def _tuplet(length: Fraction, actual: int) -> Tuplet:
    normal = 3 if _parts(length) == 3 else 1
    while normal * 2 <= actual and length / (normal * 2) >= SMALLEST:
        normal *= 2
    return Tuplet(actual, normal, length / normal)
