"""Headings of the practice sheet: the page's own and each exercise's."""

from __future__ import annotations

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas

from exercises.notation.flowable import Drawn
from exercises.notation.fonts import SANS, SERIF, SERIF_ITALIC, runs
from exercises.notation.palette import FAINT, INK, MUTED

_LEAST_SIZE = 9.0


def text_width(canvas: Canvas, text: str, font: str, size: float) -> float:
    """How wide a person's text prints, stand-in fonts included."""
    return sum(float(canvas.stringWidth(part, name, size)) for name, part in runs(text, font))


def draw_text(canvas: Canvas, text: str, font: str, size: float, x: float, y: float) -> None:
    """Draw one line of a person's text, each letter in a font that has it."""
    for name, part in runs(text, font):
        canvas.setFont(name, size)
        canvas.drawString(x, y, part)
        x += canvas.stringWidth(part, name, size)


def fitted(canvas: Canvas, text: str, font: str, size: float, room: float) -> tuple[str, float]:
    """The text and the size at which it fits: smaller first, then cut short with an ellipsis."""
    while size > _LEAST_SIZE and text_width(canvas, text, font, size) > room:
        size -= 0.5
    if text_width(canvas, text, font, size) <= room:
        return text, size
    while text and text_width(canvas, text + "…", font, size) > room:
        text = text[:-1]
    return text + "…", size


class Heading(Drawn):
    """The sheet's title over a double rule, studio on the left above it, student on the right."""

    def __init__(self, title: str, studio_name: str, student: str = "") -> None:
        super().__init__()
        self.title = title
        self.studio_name = studio_name
        self.student = student

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - reportlab's names
        """As wide as the page, one title high."""
        self.width, self.height = aW, 54.0
        return aW, self.height

    def draw(self) -> None:
        """Draw the heading."""
        canvas: Canvas = self.canv
        canvas.setFillColor(HexColor(MUTED))
        draw_text(canvas, self.studio_name, SANS, 8.5, 0, self.height - 9)
        who = f"for {self.student}" if self.student else ""
        if who:
            end = self.width - text_width(canvas, who, SERIF_ITALIC, 12)
            draw_text(canvas, who, SERIF_ITALIC, 12, end, self.height - 9)
        canvas.setFillColor(HexColor(INK))
        title, size = fitted(canvas, self.title, SERIF, 24, self.width)
        draw_text(canvas, title, SERIF, size, 0, 14)
        canvas.setStrokeColor(HexColor(FAINT))
        for level, thickness in ((3.0, 0.5), (0.5, 1.4)):
            canvas.setLineWidth(thickness)
            canvas.line(0, level, self.width, level)


class ItemHeading(Drawn):
    """An exercise's number and title, its grade at the right."""

    def __init__(self, number: int, title: str, grade: str = "") -> None:
        super().__init__()
        self.number = number
        self.title = title
        self.grade = grade

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - reportlab's names
        """As wide as the page, one line high."""
        self.width, self.height = aW, 21.0
        return aW, self.height

    def draw(self) -> None:
        """Draw the heading."""
        canvas: Canvas = self.canv
        canvas.setFillColor(HexColor(INK))
        number = f"{self.number}."
        draw_text(canvas, number, SERIF, 15, 0, 6)
        left = max(20.0, text_width(canvas, number, SERIF, 15) + 6)
        told = f"grade {self.grade}" if self.grade else ""
        taken = text_width(canvas, told, SANS, 8.5) + 10 if told else 0.0
        title, size = fitted(canvas, self.title, SERIF, 15, self.width - left - taken)
        draw_text(canvas, title, SERIF, size, left, 6)
        if told:
            canvas.setFillColor(HexColor(MUTED))
            draw_text(canvas, told, SANS, 8.5, self.width - taken + 10, 6)
