"""The printed invoice: a leaf from a receipt book, in black ink and hairlines.

Takes a frozen document and returns bytes; the same document gives the same bytes.
"""

from __future__ import annotations

import io
from typing import Any

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

from billing.document import InvoiceDocument
from billing.pdf_parts import story
from billing.pdf_style import ACCENT, FAINT, INK, LINE, MARGIN, STUB
from studio.pdf_fonts import SANS, SERIF_BOLD, register_fonts

_PAGES = {"A4": A4, "Letter": LETTER}


def invoice_pdf(document: InvoiceDocument) -> bytes:
    """Return the invoice or credit note as a PDF."""
    register_fonts()
    out = io.BytesIO()
    size = _PAGES[document.paper]
    template = BaseDocTemplate(
        out,
        pagesize=size,
        title=document.title,
        author=document.seller.name,
        subject=document.studio_name,
        creator=document.studio_name,
        lang="en",
        invariant=1,
    )
    width, height = size
    left = MARGIN + STUB
    frame_width = width - left - MARGIN
    head, foot = 16 * mm, 17 * mm
    box = (left, foot, frame_width, height - MARGIN - foot)
    later = (left, foot, frame_width, height - MARGIN - foot - head)
    no_padding = {"leftPadding": 0, "rightPadding": 0, "topPadding": 0, "bottomPadding": 0}
    template.addPageTemplates(
        [
            PageTemplate("first", [Frame(*box, **no_padding)], autoNextPageTemplate="later"),
            PageTemplate("later", [Frame(*later, **no_padding)]),
        ]
    )
    template.build(story(document, frame_width), canvasmaker=_canvas_for(document))
    return out.getvalue()


def _canvas_for(document: InvoiceDocument) -> type[Canvas]:
    class LeafCanvas(Canvas):
        """Keeps the pages back until their number is known, then numbers them."""

        def __init__(self, *args: Any, **kwargs: Any) -> None:
            super().__init__(*args, **kwargs)
            self._kept: list[dict[str, Any]] = []

        def showPage(self) -> None:  # noqa: N802 - reportlab's name
            self._kept.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            for number, page in enumerate(self._kept, start=1):
                self.__dict__.update(page)
                _draw_leaf(self, document, number, len(self._kept))
                super().showPage()
            super().save()

    return LeafCanvas


def _draw_leaf(canvas: Canvas, document: InvoiceDocument, number: int, of: int) -> None:
    """Draw what makes the page a leaf: the torn edge, the double rule, the foot."""
    width, height = canvas._pagesize
    left, right = MARGIN + STUB, width - MARGIN
    canvas.saveState()
    canvas.setStrokeColor(LINE)
    canvas.setLineWidth(0.9)
    canvas.setLineCap(1)
    canvas.setDash(0.01, 4.2)
    canvas.line(MARGIN, 10 * mm, MARGIN, height - 10 * mm)
    canvas.setDash()
    canvas.setLineCap(0)
    if number > 1:
        top = height - MARGIN
        canvas.setFillColor(INK)
        canvas.setFont(SERIF_BOLD, 10.5)
        canvas.drawString(left, top - 8, document.studio_name[:60])
        canvas.setFont(SANS, 8.5)
        canvas.drawRightString(right, top - 8, f"{document.title}, continued")
        _double_rule(canvas, left, right, top - 14)
    canvas.setStrokeColor(LINE)
    canvas.setLineWidth(0.5)
    canvas.line(left, 14 * mm, right, 14 * mm)
    canvas.setFillColor(FAINT)
    canvas.setFont(SANS, 7.5)
    canvas.drawString(left, 10 * mm, f"{document.title} · {document.seller.name}"[:110])
    canvas.drawRightString(right, 10 * mm, f"Page {number} of {of}")
    if not document.number:
        canvas.translate(width / 2, height / 2)
        canvas.rotate(38)
        canvas.setFillColor(LINE)
        canvas.setFillAlpha(0.35)
        canvas.setFont(SERIF_BOLD, 96)
        canvas.drawCentredString(0, -30, "Draft")
    canvas.restoreState()


def _double_rule(canvas: Canvas, left: float, right: float, y: float) -> None:
    canvas.setStrokeColor(ACCENT)
    canvas.setLineWidth(0.9)
    canvas.line(left, y, right, y)
    canvas.setLineWidth(0.4)
    canvas.line(left, y - 2, right, y - 2)
