"""Under the music on a sheet: limb wheel, lanes with the count, tempi, and boxes for the days."""

from __future__ import annotations

from fractions import Fraction

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas

from exercises.notation import glyphs
from exercises.notation.flowable import Drawn
from exercises.notation.fonts import SANS, SERIF, register_fonts
from exercises.notation.lanes_picture import lanes_parts
from exercises.notation.palette import INK, MUTED
from exercises.notation.pdf_paths import path_operators
from exercises.notation.picture import Picture
from exercises.notation.picture_pdf import draw
from exercises.notation.wheel import wheel_picture
from exercises.rhythm.figure import Figure
from exercises.rhythm.meter import Meter

_WHEEL = 88.0
_GAP = 16.0
_LOG_WIDTH = 132.0
_LANE_ROW = 17.0
_MOST_LANE_BARS = 2
_BOXES_IN_ROW = 7
_BOX = 15.0
# SMuFL 1.4: notes made for metronome marks, and their dot.
_BEAT_GLYPHS = {Fraction(1): "ECA5", Fraction(2): "ECA3", Fraction(3, 2): "ECA5"}
_SHORT_BEAT = "ECA7"
_DOT = "ECB7"


class PracticeRow(Drawn):
    """Wheel at the left, lanes in the middle, tempi and day boxes at the right."""

    def __init__(
        self, figure: Figure, start_bpm: int | None, goal_bpm: int | None, days: int
    ) -> None:
        super().__init__()
        self.figure = figure
        self.start_bpm = start_bpm
        self.goal_bpm = goal_bpm
        self.days = days
        self.lanes: Picture | None = None

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - reportlab's names
        """As wide as the page, as high as the highest of the three."""
        self.width = aW
        if self.figure.bars <= _MOST_LANE_BARS:
            room = aW - _WHEEL - _LOG_WIDTH - 2 * _GAP
            self.lanes = lanes_parts(self.figure, room, row=_LANE_ROW)
        lanes_height = self.lanes.height if self.lanes else 0.0
        self.height = max(self._wheel().height, lanes_height, self._log_height())
        return aW, self.height

    def _wheel(self) -> Picture:
        # The lanes beside it name the limbs; without them the wheel does so itself.
        return wheel_picture(self.figure, _WHEEL, with_words=True, with_legend=self.lanes is None)

    def _log_height(self) -> float:
        rows = -(-self.days // _BOXES_IN_ROW)
        return 46.0 + rows * (_BOX + 11.0)

    def draw(self) -> None:
        """Draw the three side by side, tops aligned."""
        register_fonts()
        canvas: Canvas = self.canv
        wheel = self._wheel()
        draw(wheel, canvas, 0, self.height - wheel.height)
        if self.lanes:
            draw(self.lanes, canvas, _WHEEL + _GAP, self.height - self.lanes.height - 4)
        self._draw_log(canvas, self.width - _LOG_WIDTH, self.height - 8)

    def _draw_log(self, canvas: Canvas, x: float, top: float) -> None:
        canvas.setFillColor(HexColor(INK))
        right = x + _LOG_WIDTH
        _tempo(canvas, self.figure.meter, "start at", self.start_bpm, x, top - 8)
        _tempo(canvas, self.figure.meter, "goal", self.goal_bpm, x + _LOG_WIDTH / 2 + 8, top - 8)
        level = top - 54
        canvas.setStrokeColor(HexColor(MUTED))
        canvas.setFillColor(HexColor(MUTED))
        step = (right - x) / _BOXES_IN_ROW
        for day in range(self.days):
            row, column = divmod(day, _BOXES_IN_ROW)
            left = x + column * step
            base = level - row * (_BOX + 11.0)
            canvas.setLineWidth(0.7)
            canvas.rect(left, base, _BOX, _BOX, stroke=1, fill=0)
            canvas.setFont(SANS, 6)
            canvas.drawCentredString(left + _BOX / 2, base + _BOX + 2.5, str(day + 1))
        if self.days:
            canvas.setFont(SANS, 6)
            below = level - (self._rows() - 1) * (_BOX + 11.0) - 9
            canvas.drawString(x, below, "tick each day; write the tempo you reached")

    def _rows(self) -> int:
        return -(-self.days // _BOXES_IN_ROW)


def _tempo(canvas: Canvas, meter: Meter, name: str, bpm: int | None, x: float, y: float) -> None:
    """A small heading, and under it the beat's note and the number (or a line to write it on)."""
    canvas.setFont(SANS, 6.5)
    canvas.setFillColor(HexColor(MUTED))
    canvas.drawString(x, y, name)
    canvas.setFillColor(HexColor(INK))
    end = _beat_note(canvas, meter, x + 1, y - 14.5)
    canvas.setFont(SERIF, 13)
    if bpm is not None:
        canvas.drawString(end + 3, y - 14.5, f"= {bpm}")
    else:
        canvas.drawString(end + 3, y - 14.5, "=")
        canvas.setLineWidth(0.5)
        canvas.setStrokeColor(HexColor(MUTED))
        canvas.line(end + 14, y - 15.5, end + 36, y - 15.5)


def _beat_note(canvas: Canvas, meter: Meter, x: float, y: float) -> float:
    """Draw the note that one beat is worth; returns where it ends."""
    scale = 0.0115
    beat = meter.beat_quarters
    codes = [_BEAT_GLYPHS.get(beat, _SHORT_BEAT)]
    if meter.is_compound:
        codes.append(_DOT)
    for code in codes:
        outline = path_operators(glyphs.outline(code))
        canvas.addLiteral(f"q {scale} 0 0 {scale} {x:.3f} {y:.3f} cm {outline} f Q")
        x += glyphs.advance(code) * scale + 1
    return x
