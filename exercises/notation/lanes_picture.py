"""Limb lanes as a picture: a row for each limb, time to the right, the count underneath.

The same picture stands in the page and on the printed sheet. The editor's lanes are its own; these
are for reading.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from exercises.notation.count_line import count_length, count_steps, said, steps_between
from exercises.notation.palette import FAINT, INK, MUTED
from exercises.notation.picture import (
    Dot,
    Mark,
    Part,
    Picture,
    Rule,
    Words,
    mark_radius,
    to_svg,
)
from exercises.rhythm.figure import Figure
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.record import stroke_id

_LEAST_STEP = 11.0
_WIDEST_STEP = 44.0
_LABEL_WIDTH = 118.0
_NARROW_LABEL = 30.0
_NARROW = 460.0


def lanes_picture(
    figure: Figure,
    *,
    width: float = 640,
    every_limb: bool = False,
    prefix: str = "",
    label: str = "",
) -> str:
    """Draw a figure's lanes as an SVG element, wrapped after whole bars where it is too wide.

    Rows of limbs with nothing to do are left out unless ``every_limb``. With ``prefix`` each mark
    carries its stroke's id in ``data-stroke``; ``label`` is the accessible name, without which the
    picture is hidden from screen readers.
    """
    picture = lanes_parts(figure, width, every_limb=every_limb, prefix=prefix)
    return to_svg(picture, kind="lanes", label=label)


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where things go in one picture, in its own units."""

    limbs: tuple[Limb, ...]
    left: float
    step: float
    row: float
    beat: float
    bars_per_block: int

    def x(self, in_block: Fraction) -> float:
        """Where a moment stands, half a step in from its beat's line."""
        return self.left + float(in_block) * self.beat + self.step * 0.5

    @property
    def block_height(self) -> float:
        return self.row * (len(self.limbs) + 1.1)


@lru_cache(maxsize=256)
def lanes_parts(
    figure: Figure,
    width: float,
    *,
    every_limb: bool = False,
    prefix: str = "",
    row: float = 34.0,
) -> Picture:
    """The lanes' parts in a box of at most ``width``; ``row`` is the height of a lane."""
    limbs = LIMBS if every_limb or not figure.limbs else figure.limbs
    frame = _frame(figure, limbs, width, row)
    blocks = -(-figure.bars // frame.bars_per_block)
    parts: list[Part] = []
    for block in range(blocks):
        parts.extend(_block(figure, frame, block, prefix))
    beats = figure.meter.bar_beats * min(figure.bars, frame.bars_per_block)
    taken = frame.left + float(beats) * frame.beat + 2
    return Picture(min(width, taken), blocks * frame.block_height, tuple(parts))


def _frame(figure: Figure, limbs: tuple[Limb, ...], width: float, row: float) -> _Frame:
    left = _LABEL_WIDTH if width >= _NARROW else _NARROW_LABEL
    left *= row / 34.0
    count = count_length(figure.meter)
    steps = max(count_steps(figure)) / float(count)
    in_bar = float(figure.meter.bar_beats) * steps
    least = _LEAST_STEP * row / 34.0
    fitting = max(1, int((width - left) / (in_bar * least)))
    bars = max(n for n in range(1, min(fitting, figure.bars) + 1) if figure.bars % n == 0)
    step = min(_WIDEST_STEP * row / 34.0, (width - left - 2) / (in_bar * bars))
    return _Frame(limbs, left, step, row, step * steps, bars)


def _block(figure: Figure, frame: _Frame, block: int, prefix: str) -> Iterator[Part]:
    """One line of bars: lanes, grid, strokes and count."""
    meter = figure.meter
    start = meter.bar_beats * frame.bars_per_block * block
    length = meter.bar_beats * min(frame.bars_per_block, figure.bars - block * frame.bars_per_block)
    top = block * frame.block_height
    for index, limb in enumerate(frame.limbs):
        y = top + frame.row * (index + 0.6)
        yield from _labels(figure, frame, limb, y)
        yield from _lane(figure, frame, (start, length), y)
        yield from _strokes(figure, frame, limb, (start, length), y, prefix)
    baseline = top + frame.row * (len(frame.limbs) + 0.6)
    yield from _count(figure, frame, start, length, baseline)


def _labels(figure: Figure, frame: _Frame, limb: Limb, y: float) -> Iterator[Part]:
    size = frame.row * 0.4
    base = y + size * 0.36
    yield Words((0, base), limb.value, size, "limb", INK, "start", is_bold=True)
    if frame.left > _NARROW_LABEL * frame.row / 34.0:
        words = surface_words(figure, limb)
        yield Words((size * 2.1, base), words, size * 0.82, "surface", MUTED, "start")


def surface_words(figure: Figure, limb: Limb) -> str:
    """What a limb plays, the commonest first: "ride", "snare, high tom", "snare and others"."""
    counts = Counter(stroke.surface for stroke in figure.line(limb))
    names = [surface.spoken for surface, _ in counts.most_common()]
    return f"{names[0]} and others" if len(names) > 1 else "".join(names)


def _lane(
    figure: Figure, frame: _Frame, span: tuple[Fraction, Fraction], y: float
) -> Iterator[Part]:
    start, length = span
    thin = frame.row / 34.0
    end = frame.left + float(length) * frame.beat
    yield Rule((frame.left, y), (end, y), "lane", FAINT, thin)
    for at, is_bar in _groups(figure, length):
        x = frame.left + float(at) * frame.beat
        reach = frame.row * (0.36 if is_bar else 0.24)
        colour, thickness = (MUTED, 1.4) if is_bar else (FAINT, 1.0)
        yield Rule((x, y - reach), (x, y + reach), "tick", colour, thickness * thin)
    for at in steps_between(figure, start, length):
        yield Dot((frame.x(at), y), 1.3 * thin, "step", FAINT)


def _groups(figure: Figure, length: Fraction) -> Iterator[tuple[Fraction, bool]]:
    at = Fraction(0)
    while at < length:
        for index, group in enumerate(figure.meter.groups):
            yield at, index == 0
            at += group


def _strokes(
    figure: Figure,
    frame: _Frame,
    limb: Limb,
    span: tuple[Fraction, Fraction],
    y: float,
    prefix: str,
) -> Iterator[Mark]:
    start, length = span
    normal = min(frame.row * 0.235, frame.step * 0.48)
    for stroke in figure.line(limb):
        if start <= stroke.onset < start + length:
            place = (frame.x(stroke.onset - start), y)
            radius = mark_radius(normal, stroke.loudness)
            name = stroke_id(prefix, stroke) if prefix else ""
            yield Mark(place, radius, limb, stroke.loudness, name)


def _count(
    figure: Figure, frame: _Frame, start: Fraction, length: Fraction, baseline: float
) -> Iterator[Part]:
    """Numbers on the counts, and between them the syllables for which there is room."""
    size = frame.row * 0.38
    end = -size
    for at in steps_between(figure, start, length):
        word = said(figure, start + at)
        x = frame.x(at)
        if word.isdigit():
            yield Words((x, baseline), word, size, "count", INK, is_bold=True)
            end = x + size * 0.5
        elif word and x - size * 0.28 * len(word) > end:
            yield Words((x, baseline), word, size * 0.88, "count", MUTED)
            end = x + size * 0.28 * len(word)
