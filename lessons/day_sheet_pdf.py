"""The day on one leaf of paper: a string of doors, the road between them dotted.

Takes a frozen sheet and returns bytes; the same sheet gives the same bytes.
"""

from __future__ import annotations

import io
from functools import cache
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
    KeepTogether,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from lessons.day_sheet import DaySheet, SheetVisit, SheetWay
from studio.pdf_fonts import SANS, SANS_BOLD, SERIF, SERIF_BOLD, register_fonts

_PAGES = {"A4": A4, "Letter": LETTER}
_INK, _FAINT = HexColor("#1c1a16"), HexColor("#5c5548")
_LINE, _ACCENT = HexColor("#b9ad92"), HexColor("#8c2a1f")
_MARGIN, _TIME, _RING = 15 * mm, 25 * mm, 58 * mm
_BOX = 3.6 * mm


def day_sheet_pdf(sheet: DaySheet) -> bytes:
    """Return the sheet as a PDF on the studio's paper."""
    register_fonts()
    out = io.BytesIO()
    width, height = _PAGES[sheet.paper]
    template = BaseDocTemplate(
        out,
        pagesize=(width, height),
        title=sheet.title,
        author=sheet.studio_name,
        subject=f"Day sheet, {sheet.title}",
        creator=sheet.studio_name,
        lang="en",
        invariant=1,
    )
    frame = Frame(
        _MARGIN,
        _MARGIN + 6 * mm,
        width - 2 * _MARGIN,
        height - 2 * _MARGIN - 6 * mm,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )

    def foot(canvas: Canvas, document: Any) -> None:
        canvas.setFont(SANS, 7.6)
        canvas.setFillColor(_FAINT)
        canvas.drawString(_MARGIN, _MARGIN, sheet.foot)
        canvas.drawRightString(width - _MARGIN, _MARGIN, f"{sheet.title}, page {document.page}")

    template.addPageTemplates([PageTemplate("day", [frame], onPage=foot)])
    template.build(_story(sheet, width - 2 * _MARGIN))
    return out.getvalue()


@cache
def _style(name: str) -> ParagraphStyle:
    base = {"textColor": _INK, "fontName": SANS, "fontSize": 9.5, "leading": 12.6}
    own: dict[str, dict[str, object]] = {
        "text": {},
        "small": {"fontSize": 8.4, "leading": 11, "textColor": _FAINT},
        "studio": {"fontSize": 8.8, "leading": 12, "textColor": _FAINT},
        "title": {"fontName": SERIF, "fontSize": 21, "leading": 27},
        "time": {"fontName": SERIF_BOLD, "fontSize": 16, "leading": 19},
        "who": {"fontName": SERIF_BOLD, "fontSize": 12, "leading": 15.5},
        "own": {"fontName": SERIF, "fontSize": 12, "leading": 15.5},
        "leave": {"fontName": SANS_BOLD, "fontSize": 9.5, "leading": 12.6},
        "caution": {"textColor": _ACCENT},
    }
    return ParagraphStyle(name, **{**base, **own[name]})


def _story(sheet: DaySheet, width: float) -> list[Flowable]:
    story: list[Flowable] = [
        _said(sheet.studio_name, "studio"),
        _said(sheet.title, "title"),
        Spacer(1, 1.5 * mm),
        _said(sheet.summary, "text"),
    ]
    story += [_said(words, "caution") for words in sheet.cautions]
    story.append(Spacer(1, 5 * mm))
    way: SheetWay | None = None
    for entry in sheet.entries:
        if isinstance(entry, SheetWay):
            way = entry
            continue
        together: list[Flowable] = [_way(way, width)] if way else []
        story.append(KeepTogether([*together, _visit(entry, width)]))
        way = None
    if way is not None:
        story.append(_way(way, width))
    return story


def _way(way: SheetWay, width: float) -> Flowable:
    style = _style("caution") if way.is_tight else _style("small")
    left = _said(f"Leave {way.leave_by}", "leave") if way.leave_by else ""
    widths = [6 * mm, 27 * mm, width - 33 * mm]
    table = Table([["", left, Paragraph(escape(way.words), style)]], widths)
    table.setStyle(
        TableStyle(
            [
                ("LINEAFTER", (0, 0), (0, -1), 1.6, _LINE, 1, (0.1, 4)),
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("LEFTPADDING", (0, 0), (-1, -1), 3 * mm),
                ("RIGHTPADDING", (0, 0), (-1, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 2.2 * mm),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2 * mm),
            ]
        )
    )
    return table


def _visit(visit: SheetVisit, width: float) -> Flowable:
    who = [_said(visit.title, "who" if visit.people or not visit.kind else "own")]
    where = ", ".join(part for part in (visit.place, visit.address) if part)
    if visit.kind:
        who.append(_said(visit.kind, "small"))
    if where:
        who.append(_said(where, "text"))
    right: list[Flowable] = [_said(phone, "text") for phone in visit.phones]
    if visit.people:
        right += [
            Spacer(1, 1 * mm),
            *(_Marks(name, len(visit.people) > 1) for name in visit.people),
        ]
    time = [_said(visit.starts, "time"), _said(f"to {visit.ends}", "small")]
    table = Table([[time, who, right]], [_TIME, width - _TIME - _RING, _RING])
    table.setStyle(
        TableStyle(
            [
                ("BOX", (0, 0), (-1, -1), 0.6, _LINE),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 3 * mm),
                ("RIGHTPADDING", (0, 0), (-1, -1), 2 * mm),
                ("TOPPADDING", (0, 0), (-1, -1), 2.4 * mm),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 3 * mm),
            ]
        )
    )
    return table


def _said(words: str, style: str) -> Paragraph:
    return Paragraph(escape(words), _style(style))


class _Marks(Flowable):
    """Two boxes to tick with a pencil: there, did not come."""

    def __init__(self, name: str, is_named: bool) -> None:  # noqa: FBT001 - reportlab's flowable
        super().__init__()
        self.name = name if is_named else ""
        self.height = 6 * mm if not is_named else 10 * mm

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - reportlab's names
        """Take the width there is."""
        self.width = aW
        return aW, self.height

    def draw(self) -> None:
        """Draw the boxes and their words."""
        canvas = self.canv
        canvas.setFont(SANS, 8.4)
        canvas.setFillColor(_FAINT)
        if self.name:
            canvas.drawString(0, 6.4 * mm, self.name)
        canvas.setStrokeColor(_FAINT)
        canvas.setLineWidth(0.6)
        x = 0.0
        for words in ("there", "did not come"):
            canvas.rect(x, 1 * mm, _BOX, _BOX)
            canvas.drawString(x + _BOX + 1.4 * mm, 1.7 * mm, words)
            x += _BOX + 1.4 * mm + canvas.stringWidth(words, SANS, 8.4) + 5 * mm
