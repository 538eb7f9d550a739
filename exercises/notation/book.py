"""The practice book: title page, contents, key, and the exercises, each with boxes to fill in.

Set in two passes, because the contents name pages that are only known once everything is set. Each
exercise is an entry of the PDF's outline and of the contents, both of which lead to it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from io import BytesIO

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    NextPageTemplate,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
)
from reportlab.platypus.tableofcontents import TableOfContents

from exercises.notation.flowable import Drawn
from exercises.notation.fonts import SANS, SERIF, SERIF_ITALIC, markup, register_fonts
from exercises.notation.legend import Legend
from exercises.notation.palette import FAINT, INK, MUTED
from exercises.notation.sheet import (
    DEFAULT_CAUTIONS,
    PAPERS,
    Paper,
    SheetItem,
    SheetPaper,
    exercise_flowables,
    page_foot,
)
from exercises.notation.sheet_heading import draw_text, fitted

MOST_EXERCISES = 120
_SIDE, _TOP, _FOOT = 48.0, 44.0, 62.0

Told = Callable[[int, int, str], None]
"""Hears how far the printing is: done, of how many, and what is being done."""


@dataclass(frozen=True, slots=True)
class Book:
    """What a practice book is made of. ``foreword`` is the teacher's own word to the reader."""

    items: tuple[SheetItem, ...]
    title: str
    studio_name: str
    student: str = ""
    foreword: str = ""
    paper: Paper = "A4"
    cautions: str = DEFAULT_CAUTIONS
    left_handed_view: bool = False


def practice_book(book: Book, *, told: Told | None = None) -> bytes:
    """Print a practice book as PDF; the same input gives the same bytes.

    :param told: called as the pages are set; whatever it raises ends the printing
    :raises ValueError: for no exercises, or more than ``MOST_EXERCISES``
    :raises EngravingError: when a figure cannot be engraved
    """
    if not 1 <= len(book.items) <= MOST_EXERCISES:
        raise ValueError(f"a book holds 1 to {MOST_EXERCISES} exercises, not {len(book.items)}")
    register_fonts()
    out = BytesIO()
    document = _BookDocument(out, book, told or _unheard)
    document.multiBuild(list(_story(book, document)))
    return out.getvalue()


def _unheard(done: int, total: int, words: str) -> None:
    """Nobody asked how far it is."""


class _BookDocument(BaseDocTemplate):  # type: ignore[misc] # reportlab has no types
    """Sends each exercise to the contents and the outline as it is set."""

    def __init__(self, out: BytesIO, book: Book, told: Told) -> None:
        width, height = PAPERS[book.paper]
        super().__init__(
            out,
            pagesize=(width, height),
            invariant=1,
            title=book.title,
            author=book.studio_name,
            subject="practice book",
            lang="en-IE",
        )
        self.book, self.told = book, told
        self.placed = 0
        frame = Frame(_SIDE, _FOOT, width - 2 * _SIDE, height - _TOP - _FOOT, 0, 0, 0, 0, id="page")
        page = SheetPaper(book.paper, book.title, book.studio_name, book.cautions, book.student)
        self.addPageTemplates(
            [
                PageTemplate("title", [frame]),
                PageTemplate("page", [frame], onPage=partial(page_foot, page=page)),
            ]
        )

    def afterFlowable(self, flowable: Flowable) -> None:  # noqa: N802 - reportlab's name
        """Note where an exercise came to stand."""
        anchor: _Anchor | None = flowable if isinstance(flowable, _Anchor) else None
        if anchor is None:
            return
        self.canv.bookmarkPage(anchor.key)
        self.canv.addOutlineEntry(anchor.title, anchor.key, level=0)
        entry = f"{anchor.number}. {markup(anchor.title, SERIF)}"
        self.notify("TOCEntry", (0, entry, self.page, anchor.key))
        self.placed += 1
        total = len(self.book.items)
        # The pages are set twice; once every number is known, the second time is quick.
        self.told(min(self.placed, 2 * total), 2 * total, f"setting {anchor.title}")


class _Anchor(Flowable):  # type: ignore[misc] # reportlab has no types
    """A place in the book without any size."""

    def __init__(self, number: int, title: str) -> None:
        super().__init__()
        self.number, self.title = number, title
        self.key = f"exercise-{number}"
        self.width = self.height = 0.0

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - reportlab's names
        """Take no room."""
        return 0.0, 0.0

    def draw(self) -> None:
        """Draw nothing."""


class _TitlePage(Drawn):
    """The book's name in the middle of a page, studio above, whom it is for below."""

    def __init__(self, book: Book) -> None:
        super().__init__()
        self.book = book

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - reportlab's names
        """As much of the page as there is, less the foreword's room."""
        self.width, self.height = aW, aH * 0.55
        return aW, self.height

    def draw(self) -> None:
        """Draw it."""
        canvas: Canvas = self.canv
        book = self.book
        canvas.setFillColor(HexColor(MUTED))
        draw_text(canvas, book.studio_name, SANS, 10, 0, self.height - 14)
        middle = self.height * 0.42
        canvas.setFillColor(HexColor(INK))
        title, size = fitted(canvas, book.title, SERIF, 38, self.width)
        draw_text(canvas, title, SERIF, size, 0, middle)
        canvas.setStrokeColor(HexColor(FAINT))
        for drop, thickness in ((18, 0.5), (21, 1.6)):
            canvas.setLineWidth(thickness)
            canvas.line(0, middle - drop, self.width, middle - drop)
        canvas.setFillColor(HexColor(MUTED))
        count = len(book.items)
        said = f"{count} exercise{'' if count == 1 else 's'}"
        draw_text(canvas, said, SANS, 10, 0, middle - 40)
        if book.student:
            draw_text(canvas, f"for {book.student}", SERIF_ITALIC, 16, 0, middle - 66)


def _story(book: Book, document: _BookDocument) -> Iterator[Flowable]:
    yield _TitlePage(book)
    if book.foreword:
        yield Paragraph(markup(book.foreword, SERIF), _FOREWORD)
        yield Spacer(0, 14)
    yield Paragraph(markup(book.cautions, SANS), _CAUTIONS)
    yield NextPageTemplate("page")
    yield PageBreak()
    yield Paragraph("Contents", _HEADING)
    contents = TableOfContents()
    contents.levelStyles = [_ENTRY]
    contents.dotsMinLevel = 0
    yield contents
    yield Spacer(0, 18)
    yield Paragraph("How it is written", _HEADING)
    yield Legend([item.figure for item in book.items])
    yield PageBreak()
    for number, item in enumerate(book.items, start=1):
        anchor = _Anchor(number, item.title or item.figure.title or f"Exercise {number}")
        yield from exercise_flowables(
            number, item, left_handed_view=book.left_handed_view, before=anchor
        )


_HEADING = ParagraphStyle(
    "heading", fontName=SERIF, fontSize=20, leading=28, textColor=HexColor(INK), spaceAfter=6
)
_ENTRY = ParagraphStyle("entry", fontName=SERIF, fontSize=11, leading=17, textColor=HexColor(INK))
_FOREWORD = ParagraphStyle(
    "foreword", fontName=SERIF, fontSize=12, leading=17, textColor=HexColor(INK)
)
_CAUTIONS = ParagraphStyle(
    "book-cautions", fontName=SANS, fontSize=8.5, leading=12, textColor=HexColor(MUTED)
)
