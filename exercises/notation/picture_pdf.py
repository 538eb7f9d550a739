"""The same small pictures as vectors on a printed page."""

from __future__ import annotations

from functools import lru_cache

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas

from exercises.notation.fonts import SANS, SANS_BOLD, register_fonts
from exercises.notation.palette import LIMB_LOOKS, PAPER
from exercises.notation.picture import (
    Block,
    Dot,
    Form,
    Mark,
    Picture,
    Ring,
    Rule,
    Words,
    line_thickness,
)

# How far out a quarter circle's control points stand, as a share of the radius.
_CIRCLE = 0.5523


def draw(picture: Picture, canvas: Canvas, x: float, y: float) -> None:
    """Draw the picture on a canvas, its lower left corner at ``x``, ``y`` (points)."""
    register_fonts()
    canvas.saveState()
    canvas.translate(x, y + picture.height)
    for part in picture.parts:
        _draw_part(part, canvas)
    canvas.restoreState()


def _draw_part(part: Form | Words, canvas: Canvas) -> None:
    if isinstance(part, Words):
        _draw_words(part, canvas)
    else:
        # Written as operators: the canvas's own calls cost five times as much for a wheel.
        canvas.addLiteral(f"q {_operators(part)} Q")


def _operators(part: Form) -> str:
    """PDF operators (ISO 32000-1, 8.4.4 and 8.5) that draw one part; y runs upwards there."""
    match part:
        case Ring((x, y), radius, _, colour, thickness):
            return f"{_rgb(colour)} RG {thickness:.2f} w {_circle(x, -y, radius)} S"
        case Rule((x, y), (x2, y2), _, colour, thickness):
            line = f"{x:.2f} {-y:.2f} m {x2:.2f} {-y2:.2f} l S"
            return f"{_rgb(colour)} RG {thickness:.2f} w {line}"
        case Dot((x, y), radius, _, colour):
            return _disc(x, -y, radius, colour)
        case Block((x, y), (width, height), _, colour):
            box = f"{x:.2f} {-y - height:.2f} {width:.2f} {height:.2f} re f"
            return f"{_rgb(colour)} rg {box}"
        case Mark():
            return _mark_operators(part)


@lru_cache(maxsize=64)
def _rgb(colour: str) -> str:
    red, green, blue = HexColor(colour).rgb()
    return f"{red:.4f} {green:.4f} {blue:.4f}"


def _disc(x: float, y: float, radius: float, colour: str) -> str:
    """A filled circle as a line of no length with round ends: a tenth of a circle's four curves."""
    place = f"{x:.2f} {y:.2f}"
    return f"{_rgb(colour)} RG 1 J {2 * radius:.2f} w {place} m {place} l S"


def _circle(x: float, y: float, radius: float) -> str:
    out = _CIRCLE * radius
    curves = [f"{x + radius:.2f} {y:.2f} m"]
    for dx, dy in ((1, 0), (0, 1), (-1, 0), (0, -1)):
        # A quarter turn from one axis to the next; (-dy, dx) is where it ends.
        points = (
            (x + dx * radius - dy * out, y + dy * radius + dx * out),
            (x - dy * radius + dx * out, y + dx * radius + dy * out),
            (x - dy * radius, y + dx * radius),
        )
        curves.append(" ".join(f"{px:.2f} {py:.2f}" for px, py in points) + " c")
    return " ".join(curves) + " h"


def _mark_operators(mark: Mark) -> str:
    x, y = mark.centre
    thickness, colour = line_thickness(mark), LIMB_LOOKS[mark.limb].colour
    if not mark.outline and not mark.is_hollow:
        return _disc(x, -y, mark.radius + thickness / 2, colour)
    if mark.outline:
        corners = [f"{px:.2f} {-py:.2f}" for px, py in mark.outline]
        shape = f"{corners[0]} m {' '.join(f'{corner} l' for corner in corners[1:])} h"
    else:
        shape = _circle(x, -y, mark.radius)
    paper = _rgb(PAPER if mark.is_hollow else colour)
    return f"{_rgb(colour)} RG {paper} rg {thickness:.2f} w {shape} B"


def _draw_words(words: Words, canvas: Canvas) -> None:
    canvas.setFillColor(HexColor(words.colour))
    canvas.setFont(SANS_BOLD if words.is_bold else SANS, words.size)
    x, y = words.place
    place = {
        "start": canvas.drawString,
        "middle": canvas.drawCentredString,
        "end": canvas.drawRightString,
    }[words.anchor]
    place(x, -y, words.text)
