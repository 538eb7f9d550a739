"""Published measures of syncopation.

- :func:`metric_displacement`: H. C. Longuet-Higgins and C. S. Lee, "The rhythmic interpretation of
  monophonic music", Music Perception 1(4), 1984: a rest that is metrically stronger than the stroke
  before it is a syncopation, as strong as the difference of the two weights.
- :func:`off_beat_starts`: M. Keith's count in the form of F. Gómez, A. Melvin, D. Rappaport and
  G. Toussaint, "Mathematical measures of syncopation", BRIDGES 2005.
- :func:`distance_to_beats`: the weighted note-to-beat distance of the same paper.

A looping figure is measured as a loop: the rest on a downbeat is compared with the stroke at the
end of the bar before.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import lru_cache
from math import lcm

from exercises.rhythm.figure import TICKS_PER_BEAT
from exercises.rhythm.meter import Meter

Node = tuple[int, bool]
"""The metrical weight (0 for the downbeat, negative below) of a node and whether it is struck."""


def metric_displacement(
    meter: Meter, ticks: Iterable[int], *, bars: int = 1, is_loop: bool = True
) -> int:
    """Return the measure of Longuet-Higgins and Lee, summed over all bars.

    Each bar is cut into its beat groups, groups into halves or thirds as the strokes need, and only
    where there are strokes to part. With ``is_loop`` false the bar's first rest is compared with
    nothing, as in the paper.
    """
    bar_ticks = int(meter.bar_beats * TICKS_PER_BEAT)
    struck = sorted(ticks)
    nodes: list[Node] = []
    for bar in range(bars):
        start = bar * bar_ticks
        inside = [tick - start for tick in struck if start <= tick < start + bar_ticks]
        nodes.extend(_bar_nodes(meter, tuple(inside)))
    return _total(nodes, is_loop=is_loop)


def _total(nodes: Sequence[Node], *, is_loop: bool) -> int:
    before = next((weight for weight, struck in reversed(nodes) if struck), None)
    if not is_loop:
        before = None
    total = 0
    for weight, struck in nodes:
        if struck:
            before = weight
        elif before is not None and weight > before:
            total += weight - before
    return total


@lru_cache(maxsize=32768)
def _bar_nodes(meter: Meter, ticks: tuple[int, ...]) -> tuple[Node, ...]:
    """The bar's tree, cut no finer than the strokes ask, read from left to right."""
    groups = meter.groups
    bar_ticks = int(meter.bar_beats * TICKS_PER_BEAT)
    if len(set(groups)) == 1:
        return _cut(meter, ticks, 0, bar_ticks, 0, 0, _prime_factors(len(groups)))
    if not any(ticks):
        return ((0, bool(ticks)),)
    nodes: list[Node] = []
    start = 0
    for number, group in enumerate(groups):
        length = int(group * TICKS_PER_BEAT)
        inside = tuple(tick for tick in ticks if start <= tick < start + length)
        depth = 1
        nodes.extend(_cut(meter, inside, start, length, 0 if number == 0 else -1, depth, None))
        start += length
    return tuple(nodes)


def _cut(
    meter: Meter,
    ticks: tuple[int, ...],
    start: int,
    length: int,
    weight: int,
    depth: int,
    factors: tuple[int, ...] | None,
) -> tuple[Node, ...]:
    """Cut one span by the next of ``factors``; None asks the strokes how a beat is cut."""
    if not ticks or ticks == (start,):
        return ((weight, bool(ticks)),)
    if not factors:
        factors = _beat_factors(meter, ticks, start, length)
    parts = factors[0]
    size = length // parts
    nodes: list[Node] = []
    for part in range(parts):
        first = start + part * size
        inside = tuple(tick for tick in ticks if first <= tick < first + size)
        inner = weight if part == 0 else -(depth + 1)
        nodes.extend(_cut(meter, inside, first, size, inner, depth + 1, factors[1:]))
    return tuple(nodes)


def _beat_factors(meter: Meter, ticks: tuple[int, ...], start: int, length: int) -> tuple[int, ...]:
    """How a beat is cut, coarsest first, so that every stroke falls on a part's start."""
    parts = lcm(*(Fraction(tick - start, length).denominator for tick in ticks))
    factors = _prime_factors(parts)
    has_three_units = meter.is_compound or length * 2 == TICKS_PER_BEAT * 3
    if has_three_units and len(factors) > 1 and 3 in factors:
        return (3, *(factor for factor in factors if factor != 3))
    return factors


@lru_cache(maxsize=64)
def _prime_factors(number: int) -> tuple[int, ...]:
    """The prime factors, smallest first; nothing for 1."""
    factors: list[int] = []
    factor = 2
    while number > 1:
        while number % factor == 0:
            factors.append(factor)
            number //= factor
        factor += 1
    return tuple(factors)


def off_beat_starts(cells: Sequence[bool]) -> int:
    """Return Keith's count for a cycle whose number of cells is a power of 2.

    A note that lasts ``d`` cells should start on a multiple of the largest power of 2 within ``d``;
    the count is of the notes that do not.

    :raises ValueError: when the number of cells is no power of 2
    """
    size = len(cells)
    if size < 1 or size & (size - 1):
        raise ValueError(f"Keith's count needs 2, 4, 8, 16 ... cells, not {size}")
    starts = [number for number, struck in enumerate(cells) if struck]
    count = 0
    for number, start in enumerate(starts):
        following = starts[(number + 1) % len(starts)]
        lasts = (following - start) % size or size
        count += start % (1 << (lasts.bit_length() - 1)) != 0
    return count


def distance_to_beats(onsets: Sequence[Fraction], length: Fraction) -> Fraction:
    """Return the weighted note-to-beat distance of a looping rhythm, onsets and length in beats.

    A note on a beat counts nothing. Any other counts 1 over its distance to the nearest beat, and
    twice that when it holds over the next beat and ends by the one after. The sum is divided by the
    number of notes.
    """
    if not onsets:
        return Fraction(0)
    total = Fraction(0)
    for number, onset in enumerate(onsets):
        within = onset % 1
        if within == 0:
            continue
        is_last = number + 1 == len(onsets)
        ends = onsets[0] + length if is_last else onsets[number + 1]
        beat = onset - within
        is_held_over = beat + 1 < ends <= beat + 2
        total += (2 if is_held_over else 1) / min(within, 1 - within)
    return total / len(onsets)
