"""Engraving: cold, from the cache, and in a PDF."""

from __future__ import annotations

import io

from django.core.cache import caches
from reportlab.pdfgen.canvas import Canvas

from exercises.engraving_cache import NotationOptions, notation_svg
from exercises.notation.book import Book, practice_book
from exercises.notation.engraving import engrave
from exercises.notation.sheet import SheetItem, practice_sheet
from exercises.rhythm.library import CORES, LIBRARY
from tests.bench.streams import score_of
from tests.bench.timing import heading, line, timed


def run() -> None:
    """Measure engraving of two-bar figures."""
    heading("Engraving (two bars)")
    two_bars = [core.figure for core in CORES if core.figure.bars == 2]
    figure = two_bars[0]
    cold = timed(lambda: engrave(figure, width=760), runs=40)
    line("cold: MusicXML, Verovio, clean SVG (<= 40)", cold.milliseconds())
    caches["engraving"].clear()
    notation_svg(figure, NotationOptions())
    cached = timed(lambda: notation_svg(figure, NotationOptions()), runs=400)
    line(
        "from the cache (<= 1)",
        f"{cached.milliseconds()}   {cold.median / cached.median:6.0f} x faster",
    )

    from music21.musicxml.m21ToXml import GeneralObjectExporter

    stream = timed(lambda: GeneralObjectExporter(score_of(figure)).parse(), runs=15)
    line("baseline: music21 builds and writes MusicXML", stream.milliseconds())

    one = timed(lambda: practice_sheet([SheetItem(figure)], title="One"), runs=15)
    items = [SheetItem(two_bars[number % len(two_bars)]) for number in range(21)]
    many = timed(lambda: practice_sheet(items, title="Many"), runs=3)
    empty = timed(_bare_page, runs=30)
    each = (many.median - one.median) / 20 * 1000
    line("a practice sheet of one exercise (PDF)", one.milliseconds())
    line("each further exercise: music, wheel, boxes (<= 30)", f"{each:8.2f} ms")
    line("baseline: a bare reportlab page", empty.milliseconds())
    items = tuple(SheetItem(entry.figure, title=entry.title) for entry in LIBRARY[:40])
    book = timed(lambda: practice_book(Book(items, "Forty", "Studio")), runs=3)
    line("a practice book of 40 exercises", book.milliseconds())


def _bare_page() -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out)
    canvas.drawString(72, 720, "Nothing at all")
    canvas.showPage()
    canvas.save()
    return out.getvalue()
