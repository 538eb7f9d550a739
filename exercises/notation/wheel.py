"""The limb wheel: a figure as a circle, clockwise from the top, one ring for each limb.

The necklace diagrams of the rhythm literature (Godfried Toussaint, "The Geometry of Musical
Rhythm", 2013) draw one cycle as points on a circle; here each limb has a ring of its own, right
hand outermost, and a several-bar figure goes round once.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from math import cos, pi, sin

from reportlab.pdfgen.canvas import Canvas

from exercises.notation.palette import FAINT, FAINTER, INK, MUTED
from exercises.notation.picture import (
    Mark,
    Part,
    Picture,
    Point,
    Ring,
    Rule,
    Words,
    mark_radius,
    to_svg,
)
from exercises.notation.picture_pdf import draw
from exercises.rhythm.figure import Figure, Line
from exercises.rhythm.limbs import LIMBS
from exercises.rhythm.record import stroke_id

SMALLEST_WITH_WORDS = 120
"""Below this size the wheel is a fingerprint on a card: no numbers, no letters."""

_LEGEND_SHARE = 0.14
_INNERMOST = 0.36
_MARK_SHARE = 0.032


def limb_wheel(figure: Figure, *, size: float = 160, prefix: str = "", label: str = "") -> str:
    """Draw a figure's wheel as an SVG element ``size`` pixels wide.

    From 120 pixels on it has beat numbers, the meter in the middle and a line of limb letters
    underneath. With ``prefix`` each mark carries its stroke's id in ``data-stroke``. ``label`` is
    the accessible name; without one the wheel is hidden from screen readers, for places where the
    words stand beside it.
    """
    return to_svg(wheel_picture(figure, size, prefix), kind="wheel", label=label)


def draw_wheel(figure: Figure, canvas: Canvas, x: float, y: float, *, size: float = 110) -> float:
    """Draw the same wheel on a reportlab canvas, lower left corner at ``x``, ``y``.

    Returns the height that it took, in points.
    """
    picture = wheel_picture(figure, size)
    draw(picture, canvas, x, y)
    return picture.height


@lru_cache(maxsize=256)
def wheel_picture(
    figure: Figure,
    size: float,
    prefix: str = "",
    *,
    with_words: bool | None = None,
    with_legend: bool | None = None,
) -> Picture:
    """The wheel's parts in a box ``size`` wide; words and legend follow the size unless said."""
    wordy = size >= SMALLEST_WITH_WORDS if with_words is None else with_words
    has_legend = wordy if with_legend is None else with_legend
    outer = size * (0.385 if wordy else 0.435)
    centre = (size / 2, size / 2)
    radii = [outer * (1 - (1 - _INNERMOST) * i / (len(LIMBS) - 1)) for i in range(len(LIMBS))]
    parts: list[Part] = list(_spokes(figure, centre, outer, size))
    for limb, radius in zip(LIMBS, radii, strict=True):
        colour = FAINT if figure.line(limb) else FAINTER
        parts.append(Ring(centre, radius, "ring", colour, size / 200))
    for limb, radius in zip(LIMBS, radii, strict=True):
        parts.extend(_marks(figure, figure.line(limb), centre, radius, size, prefix))
    if wordy:
        parts.extend(_numbers(figure, centre, outer, size))
    if has_legend:
        parts.extend(_legend(figure, size))
    return Picture(size, size * (1 + _LEGEND_SHARE) if has_legend else size, tuple(parts))


def _at(centre: Point, radius: float, turn: float) -> Point:
    """The point a part of a turn clockwise from the top."""
    angle = 2 * pi * turn - pi / 2
    return centre[0] + radius * cos(angle), centre[1] + radius * sin(angle)


def _group_starts(figure: Figure) -> Iterator[tuple[int, int, Fraction]]:
    """Bar (from 0), beat group in the bar (from 0) and onset of every group."""
    onset = Fraction(0)
    for bar in range(figure.bars):
        for index, length in enumerate(figure.meter.groups):
            yield bar, index, onset
            onset += length


def _spokes(figure: Figure, centre: Point, outer: float, size: float) -> Iterator[Part]:
    for _, index, onset in _group_starts(figure):
        turn = float(onset / figure.length_beats)
        is_bar = index == 0
        reach = outer * (1.07 if is_bar else 1.0)
        inner = outer * (0.2 if is_bar else 0.28)
        colour, thickness = (MUTED, size / 130) if is_bar else (FAINT, size / 230)
        kind = "spoke bar" if is_bar else "spoke"
        ends = _at(centre, inner, turn), _at(centre, reach, turn)
        yield Rule(*ends, kind, colour, thickness)


def _marks(
    figure: Figure, line: Line, centre: Point, radius: float, size: float, prefix: str
) -> Iterator[Mark]:
    if not line:
        return
    turns = [float(stroke.onset / figure.length_beats) for stroke in line]
    nearest = min(b - a for a, b in zip(turns, [*turns[1:], turns[0] + 1], strict=True))
    room = 2 * pi * radius * nearest
    normal = min(size * _MARK_SHARE, room * 0.46)
    for stroke, turn in zip(line, turns, strict=True):
        yield Mark(
            _at(centre, radius, turn),
            mark_radius(normal, stroke.loudness),
            stroke.limb,
            stroke.loudness,
            stroke_id(prefix, stroke) if prefix else "",
        )


def _numbers(figure: Figure, centre: Point, outer: float, size: float) -> Iterator[Part]:
    """Beat numbers round one bar, bar numbers round several."""
    letters = size * 0.062
    for bar, index, onset in _group_starts(figure):
        if figure.bars > 1 and index:
            continue
        number = str(bar + 1 if figure.bars > 1 else index + 1)
        x, y = _at(centre, outer * 1.2, float(onset / figure.length_beats))
        yield Words((x, y + letters * 0.36), number, letters, "number", MUTED, is_bold=index == 0)
    place = (centre[0], centre[1] + size * 0.02)
    yield Words(place, str(figure.meter), size * 0.058, "meter", INK)


def _legend(figure: Figure, size: float) -> Iterator[Part]:
    limbs = figure.limbs or LIMBS
    step = size / 4.4
    left = size / 2 - step * (len(limbs) - 1) / 2 - size * 0.035
    baseline = size * (1 + _LEGEND_SHARE * 0.62)
    for index, limb in enumerate(limbs):
        x = left + index * step
        yield Mark((x - size * 0.035, baseline - size * 0.023), size * 0.026, limb)
        yield Words((x + size * 0.01, baseline), limb.value, size * 0.064, "letters", INK, "start")
