"""Engraved music in print: vectors, the same signs as in the page, split between lines."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from lxml import etree
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from exercises.notation.drawing import SVG
from exercises.notation.engraving import engraved_for
from exercises.notation.layout import layout
from exercises.notation.pdf_music import STAFF_POINTS, Music, draw_music
from exercises.notation.pdf_paths import path_operators
from exercises.notation.score_options import ScoreOptions
from exercises.rhythm.figure import Figure
from tests.exercises.notation.pieces import EIGHT_BARS, FLAMS, FUNK, PIECES, ROCK


def drawn(music: Music, width: float = 480) -> tuple[bytes, PdfReader]:
    """The page's operators, and the document, of some music drawn by itself."""
    out = BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=0)
    music.wrap(width, 800)
    music.drawOn(canvas, 40, 40)
    canvas.save()
    reader = PdfReader(BytesIO(out.getvalue()))
    return reader.pages[0].get_contents().get_data(), reader  # type: ignore[union-attr]


class TestPathOperators:
    @pytest.mark.parametrize(
        ("data", "operators"),
        [
            ("M1 2L3 4", "1 2 m 3 4 l"),
            ("M1 2h3v-1z", "1 2 m 4 2 l 4 1 l h"),
            ("M0 0c1 1 2 2 3 3s2 2 3 3", "0 0 m 1 1 2 2 3 3 c 4 4 5 5 6 6 c"),
            ("M0 0Q3 3 6 0", "0 0 m 2 2 4 2 6 0 c"),
            ("m1 1 2 2", "1 1 m 3 3 l"),
            ("M10-5.5L.5.25", "10 -5.5 m 0.5 0.25 l"),
        ],
    )
    def test_says_the_same_in_pdf(self, data: str, operators: str) -> None:
        assert path_operators(data) == operators

    def test_refuses_what_it_cannot_draw(self) -> None:
        with pytest.raises(ValueError, match="not drawn here"):
            path_operators("M0 0A1 1 0 0 0 1 1")


class TestDrawing:
    @pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.title)
    def test_draws_every_glyph_of_the_page(self, piece: Figure) -> None:
        music = Music(piece, ScoreOptions(bpm=90))

        operators, _ = drawn(music)

        assert music.engraved is not None
        uses = list(music.engraved.drawing.root.iter(f"{{{SVG}}}use"))
        placed = re.findall(rb"q [\d.]+ 0 0 -[\d.]+ [\d.e+-]+ [\d.e+-]+ cm", operators)
        # One more turns the whole drawing the right way up.
        assert len(placed) == len(uses) + 1

    def test_is_vectors_only(self) -> None:
        _, reader = drawn(Music(FUNK))

        assert list(reader.pages[0].images) == []

    def test_prints_counts_and_sticking_as_text(self) -> None:
        _, reader = drawn(Music(FLAMS, ScoreOptions(sticking=True)))

        assert "".join(reader.pages[0].extract_text().split()) == "RRLRLRRLL"

    def test_is_black_unless_colour_is_asked_for(self) -> None:
        black, _ = drawn(Music(ROCK))
        coloured, _ = drawn(Music(ROCK, is_coloured=True))

        # Okabe and Ito's vermilion, of the left hand: #D55E00.
        vermilion = b"0.835 0.369 0.000 rg"
        assert vermilion not in black
        assert coloured.count(vermilion) == 2

    def test_saves_and_restores_as_often(self) -> None:
        operators, _ = drawn(Music(FUNK, is_coloured=True))

        words = operators.split()
        assert words.count(b"q") == words.count(b"Q")

    def test_draw_music_puts_it_where_it_is_told(self) -> None:
        out = BytesIO()
        canvas = Canvas(out, pageCompression=0)
        engraved = engraved_for(ROCK, layout(ROCK, 400, STAFF_POINTS), ScoreOptions())

        draw_music(canvas, engraved, 77, 123)
        canvas.save()

        assert b"1 0 0 1 77 123 cm" in out.getvalue()


class TestSize:
    def test_keeps_the_staff_height_and_fits_the_width(self) -> None:
        for width in (300, 480, 700):
            music = Music(EIGHT_BARS)
            taken, _ = music.wrap(width, 800)

            assert taken <= width + 0.01
            assert music.engraved is not None
            assert music.engraved.layout.staff_height == STAFF_POINTS

    def test_splits_between_lines_and_loses_none(self) -> None:
        music = Music(EIGHT_BARS)
        _, height = music.wrap(480, 800)

        first, second = music.split(480, height * 0.6)

        assert first.wrap(480, 800)[1] + second.wrap(480, 800)[1] == pytest.approx(height)
        assert first.height <= height * 0.6
        names = [name for part in (first, second) for name in _names(part)]
        assert len(names) == len(set(names)) == len(EIGHT_BARS)

    def test_does_not_split_where_not_even_a_line_fits(self) -> None:
        assert Music(EIGHT_BARS).split(480, 10) == []


def _names(music: Music) -> list[str]:
    groups = [system.group for system in music.systems]
    return [g.get("id", "") for group in groups for g in _noteheads(group)]


def _noteheads(group: etree._Element) -> list[etree._Element]:
    return [g for g in group.iter(f"{{{SVG}}}g") if g.get("id")]
