"""Practice sheets for this studio's paper, and files handed out under a figure's name."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import cast

from django.http import FileResponse
from django.utils.text import slugify

from exercises.notation.sheet import Paper, SheetItem, practice_sheet
from exercises.selectors.ladders import ShownStep
from studio.models import Studio

PDF_TYPE = "application/pdf"
SCORE_TYPE = "application/vnd.recordare.musicxml+xml"
MIDI_TYPE = "audio/midi"


def sheet_pdf(
    items: Sequence[SheetItem], *, title: str, studio: Studio, student: str = ""
) -> bytes:
    """Print a practice sheet on the studio's paper, under its name."""
    return practice_sheet(
        items,
        paper=cast(Paper, studio.paper),
        title=title,
        studio_name=studio.name,
        student=student,
    )


def steps_sheet(
    steps: Sequence[ShownStep], *, title: str, goal_bpm: int, studio: Studio
) -> FileResponse:
    """Hand out the steps of a ladder or a spread as one printed sheet."""
    items = [
        SheetItem(
            step.figure,
            title=step.figure.title,
            moves=(step.change,) if step.change else (),
            goal_bpm=goal_bpm,
            grade=step.shown_grade,
        )
        for step in steps
    ]
    return handed_out(sheet_pdf(items, title=title, studio=studio), title, "pdf", PDF_TYPE)


def handed_out(content: bytes, title: str, ending: str, content_type: str) -> FileResponse:
    """Answer with a file to keep, named after the figure as far as file names can be."""
    stem = slugify(title, allow_unicode=True)[:80] or "figure"
    return FileResponse(
        BytesIO(content), as_attachment=True, filename=f"{stem}.{ending}", content_type=content_type
    )
