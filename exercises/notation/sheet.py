"""The practice sheet: exercises set like a page of a practice book, as PDF on A4 or Letter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from typing import Literal

from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    PageTemplate,
    Paragraph,
    Spacer,
)

from exercises.notation.fonts import (
    SANS,
    SANS_BOLD,
    SERIF,
    SERIF_ITALIC,
    markup,
    register_fonts,
)
from exercises.notation.legend import Legend
from exercises.notation.palette import FAINT, INK, MUTED
from exercises.notation.pdf_music import Music
from exercises.notation.practice_row import PracticeRow
from exercises.notation.score_options import ScoreOptions
from exercises.notation.sheet_heading import Heading, ItemHeading
from exercises.rhythm.figure import Figure
from exercises.rhythm.hands import needs_sticking

Paper = Literal["A4", "Letter"]

PAPERS: dict[Paper, tuple[float, float]] = {"A4": A4, "Letter": LETTER}

DEFAULT_CAUTIONS = (
    "Protect your hearing: wear ear protection at the kit and keep the volume down. "
    "Pain, numbness or tingling means stop and rest; see a clinician before you go on if it "
    "comes back. Warm up slowly, and take a break every twenty minutes."
)

_SIDE = 48.0
_TOP = 44.0
_FOOT = 62.0
_RULE = HexColor(FAINT)


@dataclass(frozen=True, slots=True)
class SheetItem:
    """One exercise on the sheet.

    ``moves`` are sentences that say how the figure came from its core; ``note`` is the teacher's
    own word to the student. Tempi count the meter's beat. ``days`` is the number of boxes to tick;
    0 leaves them out. ``sticking`` None writes R and L where the notes do not tell the hands apart.
    """

    figure: Figure
    title: str = ""
    moves: tuple[str, ...] = ()
    note: str = ""
    start_bpm: int | None = None
    goal_bpm: int | None = None
    days: int = 7
    sticking: bool | None = None
    counting: bool = False
    grade: str = ""


@dataclass(frozen=True, slots=True)
class SheetPaper:
    """What stands round the exercises on every page."""

    paper: Paper
    title: str
    studio_name: str
    cautions: str
    student: str = ""


def practice_sheet(
    items: Sequence[SheetItem],
    *,
    paper: Paper = "A4",
    title: str = "",
    studio_name: str = "",
    cautions: str = DEFAULT_CAUTIONS,
    student: str = "",
    left_handed_view: bool = False,
    is_coloured: bool = False,
) -> bytes:
    """Print a practice sheet; the same input gives the same bytes.

    Each exercise stays together on a page where it can; long music breaks between its lines.
    ``is_coloured`` prints noteheads in their limb's colour. Any European script prints.

    :raises ValueError: for a paper other than A4 and Letter
    :raises EngravingError: when a figure cannot be engraved
    """
    if paper not in PAPERS:
        raise ValueError(f"a sheet is printed on A4 or Letter, not {paper}")
    register_fonts()
    page = SheetPaper(paper, title, studio_name, cautions, student)
    out = BytesIO()
    document = _document(out, page)
    story: list[Flowable] = [Heading(title, studio_name, student), Spacer(0, 10)]
    for number, item in enumerate(items, start=1):
        story.extend(
            exercise_flowables(
                number, item, left_handed_view=left_handed_view, is_coloured=is_coloured
            )
        )
    if items:
        story.append(_key([item.figure for item in items]))
    document.build(story)
    return out.getvalue()


def _document(out: BytesIO, page: SheetPaper) -> BaseDocTemplate:
    width, height = PAPERS[page.paper]
    document = BaseDocTemplate(
        out,
        pagesize=(width, height),
        invariant=1,
        title=page.title,
        author=page.studio_name,
        subject="practice sheet",
        lang="en-IE",
    )
    frame = Frame(
        _SIDE,
        _FOOT,
        width - 2 * _SIDE,
        height - _TOP - _FOOT,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    template = PageTemplate("page", [frame], onPage=partial(page_foot, page=page))
    document.addPageTemplates([template])
    return document


def exercise_flowables(
    number: int,
    item: SheetItem,
    *,
    left_handed_view: bool = False,
    is_coloured: bool = False,
    before: Flowable | None = None,
) -> list[Flowable]:
    """Heading, moves, music and practice row of one exercise; ``before`` stays with the heading."""
    options = ScoreOptions(
        sticking=needs_sticking(item.figure) if item.sticking is None else item.sticking,
        counting=item.counting or item.figure.bars > 2,
        left_handed_view=left_handed_view,
    )
    music = Music(item.figure, options, is_coloured=is_coloured)
    opening: list[Flowable] = [] if before is None else [before]
    opening.append(ItemHeading(number, item.title or item.figure.title, item.grade))
    if item.moves:
        opening.append(Paragraph(_sentences(item.moves), _MOVES))
    if item.note:
        opening.append(Paragraph(markup(item.note, SERIF_ITALIC), _NOTE))
    opening.append(Spacer(0, 4))
    closing: list[Flowable] = [
        Spacer(0, 4),
        PracticeRow(item.figure, item.start_bpm, item.goal_bpm, item.days),
    ]
    if item.figure.bars <= 4:
        return [KeepTogether([*opening, music, *closing]), Spacer(0, 12)]
    # Longer music may break between its lines, but never right under its heading.
    return [
        CondPageBreak(180),
        *opening,
        music,
        KeepTogether(closing),
        Spacer(0, 12),
    ]


def _sentences(moves: Sequence[str]) -> str:
    """Moves as one paragraph of sentences, whatever case and stops they came with."""
    sentences = [move.strip().rstrip(".") for move in moves if move.strip()]
    return " ".join(markup(f"{s[:1].upper()}{s[1:]}.", SERIF) for s in sentences)


def _key(figures: Sequence[Figure]) -> Flowable:
    return KeepTogether(
        [
            Paragraph("Key", _KEY_TITLE),
            Spacer(0, 2),
            Legend(figures),
        ]
    )


def page_foot(canvas: Canvas, document: BaseDocTemplate, *, page: SheetPaper) -> None:
    """Cautions, the studio's name and the page number at the foot of every page."""
    width, _ = PAPERS[page.paper]
    canvas.saveState()
    canvas.setStrokeColor(_RULE)
    canvas.setLineWidth(0.6)
    canvas.line(_SIDE, _FOOT - 10, width - _SIDE, _FOOT - 10)
    cautions = Paragraph(markup(page.cautions, SANS), _CAUTIONS)
    room = width - 2 * _SIDE - 150
    _, height = cautions.wrap(room, _FOOT)
    cautions.drawOn(canvas, _SIDE, _FOOT - 15 - height)
    name = Paragraph(f"{markup(page.studio_name, SERIF)}<br/>page {document.page}", _FOOT_NAME)
    _, height = name.wrap(140, _FOOT)
    name.drawOn(canvas, width - _SIDE - 140, _FOOT - 15 - height)
    canvas.restoreState()


_MOVES = ParagraphStyle(
    "moves", fontName=SERIF, fontSize=10.5, leading=13.5, textColor=HexColor(INK)
)
_NOTE = ParagraphStyle(
    "note", fontName=SERIF_ITALIC, fontSize=10.5, leading=13.5, textColor=HexColor(MUTED)
)
_KEY_TITLE = ParagraphStyle(
    "key", fontName=SANS_BOLD, fontSize=7.5, leading=10, textColor=HexColor(MUTED)
)
_CAUTIONS = ParagraphStyle(
    "cautions", fontName=SANS, fontSize=6.6, leading=8.6, textColor=HexColor(MUTED)
)
_FOOT_NAME = ParagraphStyle(
    "foot", fontName=SERIF, fontSize=9, leading=11, alignment=2, textColor=HexColor(INK)
)
