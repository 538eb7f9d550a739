"""The key to a sheet's noteheads: each sign that the music uses, on a staff, with its name."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas

from exercises.notation import glyphs
from exercises.notation.flowable import Drawn
from exercises.notation.fonts import SANS, register_fonts
from exercises.notation.palette import INK, MUTED
from exercises.notation.pdf_paths import path_operators
from exercises.rhythm.figure import Figure, Loudness, Ornament
from exercises.rhythm.surfaces import Head, Mark, Surface, SurfaceFacts

SPACE = 4.2
"""A staff space of the key, in points."""

_CELL_WIDTH = 74.0
_CELL_HEIGHT = 50.0
_STAFF_TOP = 13.0
_LETTER_POINTS = 6.6
# SMuFL 1.4 code points.
HEAD_GLYPHS = {
    Head.NORMAL: glyphs.NOTEHEAD_BLACK,
    Head.CROSS: "E0A9",
    Head.CIRCLE_CROSS: "E0B3",
    Head.DIAMOND: "E0DB",
    Head.TRIANGLE: glyphs.NOTEHEAD_TRIANGLE,
    Head.SLASHED: glyphs.NOTEHEAD_SLASHED,
}
PARENTHESES = ("E0F5", "E0F6")
_ACCENT = "E4A0"
_STEPS = "CDEFGAB"
_MIDDLE_LINE = 7 * 4 + _STEPS.index("B")


def staff_position(facts: SurfaceFacts) -> int:
    """Half-spaces above the middle line (B4 on a percussion clef)."""
    return 7 * facts.staff_octave + _STEPS.index(facts.staff_step) - _MIDDLE_LINE


@dataclass(frozen=True, slots=True)
class Entry:
    """One sign and its name."""

    name: str
    surface: Surface
    sign: str = ""


def entries(figures: Iterable[Figure]) -> list[Entry]:
    """The signs that these figures use: surfaces from the top of the staff down, then the rest."""
    strokes = [stroke for figure in figures for stroke in figure.strokes]
    surfaces = {stroke.surface for stroke in strokes}
    listed = sorted(
        (surface for surface in Surface if surface in surfaces),
        key=lambda surface: -staff_position(surface.facts),
    )
    found = [Entry(surface.spoken, surface) for surface in listed]
    extras: list[tuple[str, str, Callable[[], bool]]] = [
        ("ghost", "ghost stroke", lambda: any(s.loudness is Loudness.GHOST for s in strokes)),
        ("accent", "accent", lambda: any(s.loudness is Loudness.ACCENT for s in strokes)),
        ("flam", "flam", lambda: any(s.ornament is Ornament.FLAM for s in strokes)),
        ("drag", "drag", lambda: any(s.ornament is Ornament.DRAG for s in strokes)),
        ("buzz", "buzz (let it bounce)", lambda: any(s.ornament is Ornament.BUZZ for s in strokes)),
    ]
    found += [Entry(name, Surface.SNARE, sign) for sign, name, is_used in extras if is_used()]
    return found


class Legend(Drawn):
    """The key as a flowable: as many entries in a row as the width holds."""

    def __init__(self, figures: Iterable[Figure]) -> None:
        super().__init__()
        self.entries = entries(figures)
        self.per_row = 1

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - reportlab's names
        """Fit the entries to the width."""
        self.per_row = max(1, int(aW / _CELL_WIDTH))
        self.width = aW
        self.height = -(-len(self.entries) // self.per_row) * _CELL_HEIGHT
        return aW, self.height

    def draw(self) -> None:
        """Draw the entries row by row."""
        register_fonts()
        for index, entry in enumerate(self.entries):
            row, column = divmod(index, self.per_row)
            x = column * _CELL_WIDTH
            _draw_entry(self.canv, entry, x, self.height - (row + 1) * _CELL_HEIGHT)


def _draw_entry(canvas: Canvas, entry: Entry, x: float, y: float) -> None:
    top = y + _CELL_HEIGHT - _STAFF_TOP
    staff_width = _CELL_WIDTH * 0.62
    canvas.setStrokeColor(HexColor(MUTED))
    canvas.setLineWidth(0.35)
    for line in range(5):
        level = top - line * SPACE
        canvas.line(x, level, x + staff_width, level)
    facts = entry.surface.facts
    level = top - 2 * SPACE + staff_position(facts) * SPACE / 2
    middle = x + staff_width / 2
    if staff_position(facts) >= 6:
        ledger = top + SPACE
        canvas.line(middle - SPACE * 1.2, ledger, middle + SPACE * 1.2, ledger)
    canvas.setFillColor(HexColor(INK))
    canvas.setStrokeColor(HexColor(INK))
    _draw_signs(canvas, entry, middle, level)
    canvas.setFont(SANS, _LETTER_POINTS)
    canvas.drawString(x, y + 3, entry.name)


def _draw_signs(canvas: Canvas, entry: Entry, middle: float, level: float) -> None:
    facts = entry.surface.facts
    scale = SPACE / 250
    half_head = 0.66 * SPACE
    left = middle - half_head
    _glyph(canvas, HEAD_GLYPHS[facts.head], left, level, scale)
    if entry.sign == "ghost":
        _glyph(canvas, PARENTHESES[0], left - 0.55 * SPACE, level, scale)
        _glyph(canvas, PARENTHESES[1], middle + half_head + 0.1 * SPACE, level, scale)
    elif entry.sign == "accent":
        _glyph(canvas, _ACCENT, left, level + 2.2 * SPACE, scale)
    elif entry.sign in ("flam", "drag"):
        for number in range(1 if entry.sign == "flam" else 2):
            _grace(canvas, left - (1.5 + 1.15 * number) * SPACE, level, scale * 0.62)
        if entry.sign == "drag":
            right = left - 1.5 * SPACE + 0.82 * SPACE
            height = level + 1.9 * SPACE
            canvas.setLineWidth(1.1)
            for beam in (0.0, 0.45 * SPACE):
                canvas.line(right - 1.2 * SPACE, height - beam, right, height - beam)
    elif entry.sign == "buzz":
        _buzz(canvas, left + 2 * half_head, level)
    elif facts.mark in (Mark.OPEN, Mark.HALF_OPEN) and not facts.by_foot:
        _open_mark(canvas, middle, level + 1.3 * SPACE, is_half=facts.mark is Mark.HALF_OPEN)


def _grace(canvas: Canvas, x: float, y: float, scale: float) -> None:
    _glyph(canvas, glyphs.NOTEHEAD_BLACK, x, y, scale)
    canvas.setLineWidth(0.45)
    stem = x + 0.8 * SPACE
    canvas.line(stem, y + 0.1 * SPACE, stem, y + 1.95 * SPACE)


def _buzz(canvas: Canvas, stem: float, level: float) -> None:
    """A stem with the z of a buzz through it."""
    canvas.setLineWidth(0.45)
    canvas.line(stem, level + 0.2 * SPACE, stem, level + 3.2 * SPACE)
    left, right, low, high = stem - 0.6 * SPACE, stem + 0.6 * SPACE, 1.5 * SPACE, 2.4 * SPACE
    canvas.setLineWidth(0.8)
    canvas.line(left, level + high, right, level + high)
    canvas.line(right, level + high, left, level + low)
    canvas.line(left, level + low, right, level + low)


def _open_mark(canvas: Canvas, middle: float, base: float, *, is_half: bool) -> None:
    radius = 0.5 * SPACE
    canvas.setLineWidth(0.5)
    canvas.circle(middle, base + radius, radius, stroke=1, fill=0)
    if is_half:
        canvas.line(middle - radius, base - 0.2 * radius, middle + radius, base + radius * 2.2)


def _glyph(canvas: Canvas, code: str, x: float, y: float, scale: float) -> None:
    outline = path_operators(glyphs.outline(code))
    canvas.addLiteral(f"q {scale:.5g} 0 0 {scale:.5g} {x:.3f} {y:.3f} cm {outline} f Q")
