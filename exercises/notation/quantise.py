"""Played time put onto a grid: for each beat the plainest subdivision that fits.

Each beat gets one subdivision for all that is struck in it. The choice weighs how far strokes are
moved (root mean square, in beats) against how unusual the subdivision is, and against strokes that
would fall onto one another. The weights are ours, set so that a drummer's usual spread (about 20 ms
standard deviation, or 0.04 beats at 120) does not turn sixteenths into thirty-seconds.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from fractions import Fraction
from math import sqrt

from exercises.rhythm.meter import Meter

# How many beats of movement a plainer subdivision is worth.
_SIMPLE_COST = {1: 0.0, 2: 0.004, 4: 0.010, 3: 0.014, 6: 0.034, 8: 0.040}
_COMPOUND_COST = {1: 0.0, 3: 0.004, 6: 0.010, 2: 0.014, 4: 0.034, 8: 0.040, 12: 0.040}
_COLLISION_COST = 0.05


def snap(
    positions: Sequence[Fraction],
    pieces: Sequence[Hashable],
    meter: Meter,
) -> list[Fraction]:
    """Return the onset on a grid for each position, both in beats from the start of a bar.

    A position late in a beat may go to the next one, so the last onset can be the end of the bars,
    and one just before the first bar can come out as 0. ``pieces`` say what is struck: two strokes
    on one piece are kept apart where a grid can.
    """
    cells: dict[tuple[Fraction, Fraction], list[int]] = {}
    for number, position in enumerate(positions):
        cells.setdefault(_cell(position, meter), []).append(number)
    onsets: list[Fraction] = [Fraction(0)] * len(positions)
    for (start, length), members in cells.items():
        inside = [positions[number] - start for number in members]
        struck = [pieces[number] for number in members]
        snapped = _snap_cell(inside, struck, length, meter)
        for number, onset in zip(members, snapped, strict=True):
            onsets[number] = start + onset
    return onsets


def _cell(position: Fraction, meter: Meter) -> tuple[Fraction, Fraction]:
    """The beat, or the part of a beat that ends an odd bar, in which a position lies."""
    bar = position // meter.bar_beats * meter.bar_beats
    beat = Fraction((position - bar) // 1)
    return bar + beat, min(Fraction(1), meter.bar_beats - beat)


def _snap_cell(
    inside: list[Fraction],
    struck: list[Hashable],
    length: Fraction,
    meter: Meter,
) -> list[Fraction]:
    costs = _COMPOUND_COST if meter.is_compound else _SIMPLE_COST
    candidates: list[tuple[float, list[Fraction]]] = []
    for steps, unusual in costs.items():
        snapped = [_nearest(position, steps, length) for position in inside]
        collisions = len(inside) - len(set(zip(struck, snapped, strict=True)))
        cost = _spread(inside, snapped) + unusual + _COLLISION_COST * collisions
        candidates.append((cost, snapped))
    return min(candidates, key=lambda candidate: candidate[0])[1]


def _nearest(position: Fraction, steps: int, length: Fraction) -> Fraction:
    onset = Fraction(round(position * steps), steps)
    if onset <= length and abs(onset - position) <= abs(length - position):
        return onset
    return length


def _spread(inside: list[Fraction], snapped: list[Fraction]) -> float:
    errors = (float(after - before) for before, after in zip(inside, snapped, strict=True))
    return sqrt(sum(error * error for error in errors) / len(inside))
