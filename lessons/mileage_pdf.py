"""The mileage log on paper: a page of a driver's book.

Takes a log and returns bytes; the same log gives the same bytes.
"""

from __future__ import annotations

import io
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from lessons.mileage_csv import CAUTION
from lessons.selectors.mileage import DrivenDay, MileageLog
from studio.pdf_fonts import SANS, SANS_BOLD, SERIF, register_fonts

_PAGES = {"A4": A4, "Letter": LETTER}
_INK, _FAINT, _LINE = HexColor("#1c1a16"), HexColor("#5c5548"), HexColor("#b9ad92")
_MARGIN = 15 * mm


def mileage_pdf(log: MileageLog, *, studio_name: str, driver: str, paper: str) -> bytes:
    """Return the log as a PDF on the studio's paper."""
    register_fonts()
    out = io.BytesIO()
    width, height = _PAGES[paper]
    title = f"Mileage log, {log.period.words}"
    template = BaseDocTemplate(
        out,
        pagesize=(width, height),
        title=title,
        author=studio_name,
        subject=title,
        creator=studio_name,
        lang="en",
        invariant=1,
    )
    inner = width - 2 * _MARGIN
    no_padding = {"leftPadding": 0, "rightPadding": 0, "topPadding": 0, "bottomPadding": 0}
    frame = Frame(_MARGIN, _MARGIN + 7 * mm, inner, height - 2 * _MARGIN - 7 * mm, **no_padding)

    def foot(canvas: Canvas, document: Any) -> None:
        canvas.setFont(SANS, 7.6)
        canvas.setFillColor(_FAINT)
        canvas.drawString(_MARGIN, _MARGIN, studio_name[:70])
        canvas.drawRightString(width - _MARGIN, _MARGIN, f"{title}, page {document.page}")

    template.addPageTemplates([PageTemplate("log", [frame], onPage=foot)])
    template.build(_story(log, studio_name, driver, inner))
    return out.getvalue()


def _style(font: str = SANS, size: float = 9, **more: Any) -> ParagraphStyle:
    return ParagraphStyle(
        f"{font}{size}", fontName=font, fontSize=size, leading=size * 1.32, textColor=_INK, **more
    )


def _story(log: MileageLog, studio_name: str, driver: str, width: float) -> list[Flowable]:
    said = [part for part in (studio_name, driver) if part]
    story: list[Flowable] = [
        Paragraph(escape(", ".join(said)), _style(size=8.8)),
        Paragraph(escape(f"Mileage log, {log.period.words}"), _style(SERIF, 21)),
        Spacer(1, 2 * mm),
        Paragraph(escape(sum_words(log)), _style(SANS_BOLD, 10)),
        Spacer(1, 1.5 * mm),
        Paragraph(escape(CAUTION), _style(size=8.4)),
        Spacer(1, 4 * mm),
    ]
    if not log.days:
        return [*story, Paragraph("Nobody was driven to.", _style())]
    return [*story, _table(log, width)]


def sum_words(log: MileageLog) -> str:
    """Return the sum in a sentence."""
    days = "1 day" if len(log.days) == 1 else f"{len(log.days)} days"
    words = f"{log.km:.1f} km on {days}"
    if log.unknown:
        roads = "1 road" if log.unknown == 1 else f"{log.unknown} roads"
        words += f", and {roads} whose distance is not known"
    return f"{words}."


def _table(log: MileageLog, width: float) -> Flowable:
    heads = ["Date", "From", "To", "For", "km", "rests on"]
    rows: list[list[Any]] = [heads]
    rules: list[tuple[Any, ...]] = []
    for day in log.days:
        rules.append(("LINEABOVE", (0, len(rows)), (-1, len(rows)), 0.6, _LINE))
        rows += _day_rows(day)
    share = [0.15, 0.25, 0.25, 0.11, 0.09, 0.15]
    table = Table(rows, [width * part for part in share], repeatRows=1)
    table.setStyle(
        TableStyle(
            [
                ("FONT", (0, 0), (-1, 0), SANS, 8),
                ("FONT", (0, 1), (-1, -1), SANS, 8.6),
                ("TEXTCOLOR", (0, 0), (-1, 0), _FAINT),
                ("TEXTCOLOR", (0, 1), (-1, -1), _INK),
                ("ALIGN", (4, 0), (4, -1), "RIGHT"),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (0, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 1.2 * mm),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1.2 * mm),
                *rules,
            ]
        )
    )
    return table


def _day_rows(day: DrivenDay) -> list[list[Any]]:
    cell = _style(size=8.6)
    rows: list[list[Any]] = []
    for number, leg in enumerate(day.legs):
        rows.append(
            [
                f"{day.day:%a %-d %b %Y}" if number == 0 else "",
                Paragraph(escape(leg.start), cell),
                Paragraph(escape(leg.end), cell),
                leg.purpose,
                "unknown" if leg.km is None else f"{leg.km:.1f}",
                Paragraph(escape(leg.source_words), _style(size=7.6)),
            ]
        )
    return rows
