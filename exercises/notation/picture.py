"""Small pictures made once and drawn twice: as SVG for a page, as vectors on a printed one.

A picture is a list of parts in a box whose origin is the top left corner, y downwards. In SVG every
part has a class and presentation attributes, so that a page's stylesheet can restyle it and a
strict content security policy has nothing to object to.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from math import cos, pi, sin

from exercises.notation.palette import LIMB_LOOKS, PAPER, Shape
from exercises.rhythm.figure import Loudness
from exercises.rhythm.limbs import Limb

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle's line."""

    centre: Point
    radius: float
    kind: str
    colour: str
    thickness: float = 1.0


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line."""

    start: Point
    end: Point
    kind: str
    colour: str
    thickness: float = 1.0


@dataclass(frozen=True, slots=True)
class Dot:
    """A small filled circle without a limb: a grid step."""

    centre: Point
    radius: float
    kind: str
    colour: str


@dataclass(frozen=True, slots=True)
class Block:
    """A filled rectangle: its upper left corner, its width and height."""

    corner: Point
    size: Point
    kind: str
    colour: str


@dataclass(frozen=True, slots=True)
class Words:
    """A short text; ``anchor`` is ``start``, ``middle`` or ``end``."""

    place: Point
    text: str
    size: float
    kind: str
    colour: str
    anchor: str = "middle"
    is_bold: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """One stroke: the limb's shape, hollow for a ghost stroke, larger for an accent."""

    centre: Point
    radius: float
    limb: Limb
    loudness: Loudness = Loudness.NORMAL
    stroke_id: str = ""

    @property
    def is_hollow(self) -> bool:
        """True for ghost strokes."""
        return self.loudness is Loudness.GHOST

    @property
    def outline(self) -> tuple[Point, ...]:
        """The corners of the shape; empty for a disc."""
        x, y = self.centre
        shape = LIMB_LOOKS[self.limb].shape
        if shape is Shape.SQUARE:
            half = self.radius * 0.9
            return tuple((x + dx * half, y + dy * half) for dx, dy in _SQUARE)
        if shape is Shape.TRIANGLE:
            far = self.radius * 1.25
            angles = (-pi / 2, pi / 6, 5 * pi / 6)
            return tuple((x + far * cos(a), y + far * sin(a) + far * 0.12) for a in angles)
        if shape is Shape.DIAMOND:
            far = self.radius * 1.25
            return tuple((x + dx * far, y + dy * far) for dx, dy in _DIAMOND)
        return ()


_SQUARE = ((-1, -1), (1, -1), (1, 1), (-1, 1))
_DIAMOND = ((0, -1), (1, 0), (0, 1), (-1, 0))
_SIZES = {Loudness.GHOST: 0.95, Loudness.SOFT: 0.8, Loudness.NORMAL: 1.0, Loudness.ACCENT: 1.4}

Form = Ring | Rule | Dot | Block | Mark
Part = Form | Words


@dataclass(frozen=True, slots=True)
class Picture:
    """Parts in a box."""

    width: float
    height: float
    parts: tuple[Part, ...]


def mark_radius(radius: float, loudness: Loudness) -> float:
    """The radius of a mark of this loudness, where a normal one has ``radius``."""
    return radius * _SIZES[loudness]


def to_svg(picture: Picture, *, kind: str, label: str = "") -> str:
    """The picture as an SVG element of class ``kind``; hidden from screen readers without label."""
    told = f'role="img" aria-label="{escape(label)}"' if label else 'aria-hidden="true"'
    body = "".join(_svg_part(part) for part in picture.parts)
    width, height = _number(picture.width), _number(picture.height)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{kind}" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" {told}>{body}</svg>'
    )


def _svg_part(part: Part) -> str:
    match part:
        case Ring((x, y), radius, kind, colour, thickness):
            return (
                f'<circle class="{kind}" cx="{_number(x)}" cy="{_number(y)}" r="{_number(radius)}" '
                f'fill="none" stroke="{colour}" stroke-width="{_number(thickness)}"/>'
            )
        case Rule((x, y), (x2, y2), kind, colour, thickness):
            return (
                f'<line class="{kind}" x1="{_number(x)}" y1="{_number(y)}" x2="{_number(x2)}" '
                f'y2="{_number(y2)}" stroke="{colour}" stroke-width="{_number(thickness)}"/>'
            )
        case Dot((x, y), radius, kind, colour):
            return (
                f'<circle class="{kind}" cx="{_number(x)}" cy="{_number(y)}" r="{_number(radius)}" '
                f'fill="{colour}"/>'
            )
        case Block((x, y), (width, height), kind, colour):
            return (
                f'<rect class="{kind}" x="{_number(x)}" y="{_number(y)}" width="{_number(width)}" '
                f'height="{_number(height)}" fill="{colour}"/>'
            )
        case Words():
            return _svg_words(part)
        case Mark():
            return _svg_mark(part)


def _svg_words(words: Words) -> str:
    weight = ' font-weight="bold"' if words.is_bold else ""
    return (
        f'<text class="{words.kind}" x="{_number(words.place[0])}" y="{_number(words.place[1])}" '
        f'font-size="{_number(words.size)}" font-family="sans-serif" fill="{words.colour}" '
        f'text-anchor="{words.anchor}"{weight}>{escape(words.text)}</text>'
    )


def _svg_mark(mark: Mark) -> str:
    colour = LIMB_LOOKS[mark.limb].colour
    kinds = f"mark limb-{mark.limb.value.lower()}" + (" hollow" if mark.is_hollow else "")
    fill = PAPER if mark.is_hollow else colour
    named = f' data-stroke="{escape(mark.stroke_id)}"' if mark.stroke_id else ""
    paint = (
        f'fill="{fill}" stroke="{colour}" stroke-width="{_number(line_thickness(mark))}"{named}/>'
    )
    x, y = mark.centre
    if not mark.outline:
        place = f'cx="{_number(x)}" cy="{_number(y)}" r="{_number(mark.radius)}"'
        return f'<circle class="{kinds}" {place} {paint}'
    points = " ".join(f"{_number(px)},{_number(py)}" for px, py in mark.outline)
    return f'<polygon class="{kinds}" points="{points}" {paint}'


def line_thickness(mark: Mark) -> float:
    """How thick a mark's outline is drawn."""
    return max(0.8, mark.radius * 0.36) if mark.is_hollow else mark.radius * 0.1


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
