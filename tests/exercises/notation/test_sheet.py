"""The practice sheet as a reader of PDF sees it."""

from __future__ import annotations

from fractions import Fraction
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from exercises.notation.fonts import SERIF, markup, runs
from exercises.notation.legend import entries
from exercises.notation.sheet import DEFAULT_CAUTIONS, SheetItem, practice_sheet
from exercises.rhythm.figure import Figure, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Surface
from tests.exercises.notation.pieces import EIGHT_BARS, FLAMS, FUNK, OPEN_HATS, PIECES, ROCK

STUDIO = "Copper Lane Drum Room"


def printed(*items: SheetItem, **options: Any) -> PdfReader:
    data = practice_sheet(items, title="For the week", studio_name=STUDIO, **options)
    return PdfReader(BytesIO(data))


def words(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


class TestPaper:
    @pytest.mark.parametrize(
        ("paper", "millimetres"),
        [("A4", (210, 297)), ("Letter", (215.9, 279.4))],
    )
    def test_size(self, paper: str, millimetres: tuple[float, float]) -> None:
        """A4 by ISO 216; Letter, 8.5 by 11 inches, by ANSI Y14.1."""
        box = printed(SheetItem(ROCK), paper=paper).pages[0].mediabox

        size = (float(box.width) / 72 * 25.4, float(box.height) / 72 * 25.4)
        assert size == pytest.approx(millimetres, abs=0.1)

    def test_refuses_another_paper(self) -> None:
        with pytest.raises(ValueError, match="A4 or Letter"):
            printed(SheetItem(ROCK), paper="A5")

    def test_same_sheet_same_bytes(self) -> None:
        first, second = (practice_sheet([SheetItem(FUNK)], title="x") for _ in range(2))

        assert first == second


class TestWords:
    def test_says_what_to_do(self) -> None:
        item = SheetItem(
            FUNK,
            title="Harbour walk",
            moves=("the left hand adds ghost strokes", "The bass drum moves to the a of 1."),
            note="Keep the hi-hat even.",
            start_bpm=70,
            goal_bpm=96,
            grade="5.4",
        )

        told = words(printed(item, student="Zoë"))

        assert "1. Harbour walk" in told
        assert "grade 5.4" in told
        moves = "The left hand adds ghost strokes. The bass drum moves to the a of 1."
        assert moves in told
        assert "Keep the hi-hat even." in told
        assert "= 70" in told
        assert "= 96" in told
        assert "for Zoë" in told
        assert STUDIO in told

    def test_cautions_stand_on_every_page(self) -> None:
        reader = printed(*[SheetItem(ROCK)] * 5)

        assert len(reader.pages) > 1
        for page in reader.pages:
            text = " ".join(page.extract_text().split())
            assert DEFAULT_CAUTIONS in text
            assert STUDIO in text

    def test_numbers_a_box_for_each_day(self) -> None:
        two_weeks = words(printed(SheetItem(FUNK, days=14)))
        none = words(printed(SheetItem(FUNK, days=0)))

        assert "8 9 10 11 12 13 14" in two_weeks
        assert "tick each day" in two_weeks
        assert "tick each day" not in none

    def test_takes_the_figures_title_when_given_no_other(self) -> None:
        assert "1. Harbour walk" in words(printed(SheetItem(FUNK)))

    def test_prints_markup_as_it_is_written(self) -> None:
        item = SheetItem(ROCK, title="A < B & <b>C</b>", moves=("<i>swap</i> & go",), note="1 < 2")

        told = words(printed(item))

        assert "A < B & <b>C</b>" in told
        assert "<i>swap</i> & go." in told
        assert "1 < 2" in told


class TestScripts:
    @pytest.mark.parametrize(
        "name",
        [
            "Łukasz Żółć-Dąbrowski",
            "Αλεξάνδρα Παπαδοπούλου",
            "Ní Bhriain Ó Súilleabháin",
            "Ḃríd Ṡeán",
            "Țăranu Ștefan",
            "Ővári Űző",
            "Šárka Řeháková Ďuriš",
            "Þórður Æsir Øystein Åse",
            "Ğülşen İnci",
            "Жанна Їжакевич",
        ],
    )
    def test_prints_names_of_europe(self, name: str) -> None:
        told = words(printed(SheetItem(ROCK, title=name, note=name, moves=(name,)), student=name))

        # Where two typefaces meet, extraction may see a space.
        assert "".join(told.split()).count("".join(name.split())) >= 4

    def test_embeds_its_fonts(self) -> None:
        reader = printed(SheetItem(ROCK, title="Łódź"))

        fonts = reader.pages[0]["/Resources"]["/Font"]  # type: ignore[index]
        described = [font.get_object() for font in fonts.values()]
        embedded = [
            font["/BaseFont"]
            for font in described
            if "/FontDescriptor" in font and "/FontFile2" in font["/FontDescriptor"]
        ]
        assert len(embedded) >= 3

    def test_what_no_font_has_becomes_a_question_mark(self) -> None:
        assert "".join(part for _, part in runs("a\U0001f941b", SERIF)) == "a?b"

    def test_marks_stand_in_letters(self) -> None:
        assert markup("a<ț", SERIF) == 'a&lt;<font name="SheetWideSerif">ț</font>'


class TestPages:
    def test_keeps_short_exercises_whole(self) -> None:
        reader = printed(*[SheetItem(f, title=f"No. {i}") for i, f in enumerate(PIECES[:7])])

        for page in reader.pages:
            text = page.extract_text()
            assert text.count("No. ") == text.count("tick each day")

    def test_breaks_long_music_between_its_lines(self) -> None:
        reader = printed(*[SheetItem(EIGHT_BARS, title=f"Long {i}") for i in range(3)])

        told = words(reader)
        assert all(f"Long {i}" in told for i in range(3))
        assert told.count("tick each day") == 3

    def test_survives_a_title_and_a_note_without_end(self) -> None:
        item = SheetItem(ROCK, title="word " * 400, note="note " * 1200, moves=("move " * 200,))

        assert words(printed(item)).count("note") == 1200

    def test_prints_a_sheet_without_exercises(self) -> None:
        assert "For the week" in words(printed())


class TestKey:
    def test_names_each_sign_once_from_the_top_of_the_staff_down(self) -> None:
        names = [entry.name for entry in entries([FUNK, FUNK, OPEN_HATS])]

        assert names == [
            *("hi-hat", "half-open hi-hat", "open hi-hat", "snare", "bass drum"),
            *("ghost stroke", "accent"),
        ]

    def test_explains_graces_only_where_there_are_any(self) -> None:
        assert [e.name for e in entries([FLAMS])][-2:] == ["flam", "drag"]
        assert "flam" not in [e.name for e in entries([ROCK])]

    @pytest.mark.parametrize("surface", list(Surface))
    def test_draws_every_surface(self, surface: Surface) -> None:
        limb = Limb.LF if surface.by_foot else Limb.RH
        figure = Figure.of("4/4", 1, [Stroke(Fraction(0), limb, surface)])

        assert surface.spoken in words(printed(SheetItem(figure)))
