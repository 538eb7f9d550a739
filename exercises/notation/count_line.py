"""Which steps of a figure are counted aloud: the count under the staff and under the lanes."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from math import lcm

from exercises.rhythm.counting import OTHER_SYLLABLE, syllable
from exercises.rhythm.figure import Figure
from exercises.rhythm.meter import Meter


def count_length(meter: Meter) -> Fraction:
    """The length in beats of what is counted: the unit of the meter's lower number."""
    return Fraction(4, meter.unit) / meter.beat_quarters


@lru_cache(maxsize=256)
def count_steps(figure: Figure) -> tuple[int, ...]:
    """Into how many steps each count of the figure is cut, so that every stroke falls on one."""
    count = count_length(figure.meter)
    steps = [1] * int(figure.length_beats / count)
    for stroke in figure.strokes:
        number, within = divmod(stroke.onset / count, 1)
        steps[int(number)] = lcm(steps[int(number)], within.denominator)
    if max(steps) == 1 and figure.meter.unit <= 4:
        return tuple(2 for _ in steps)
    return tuple(steps)


def steps_between(figure: Figure, start: Fraction, length: Fraction) -> Iterator[Fraction]:
    """Every step of some whole bars, in beats after ``start``."""
    count = count_length(figure.meter)
    first = int(start / count)
    for number in range(int(length / count)):
        steps = count_steps(figure)[first + number]
        for step in range(steps):
            yield count * (number + Fraction(step, steps))


def said(figure: Figure, onset: Fraction) -> str:
    """What is said at an onset; empty where a step has no name of its own.

    A count that is cut in thirds is said in thirds, even where sixths are played between them.
    """
    number, within = divmod(onset / count_length(figure.meter), 1)
    if count_steps(figure)[int(number)] % 3 == 0 and within.denominator not in (1, 3):
        return ""
    word = syllable(figure.meter, onset)
    return "" if word == OTHER_SYLLABLE else word
