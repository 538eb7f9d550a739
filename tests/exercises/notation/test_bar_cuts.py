"""Bars that are too long for a phone's line go on two lines, none of their notes lost."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given, settings

from exercises.notation.bar_cuts import bar_cuts, parts_of
from exercises.notation.engraving import engrave
from exercises.notation.events import written
from exercises.notation.layout import screen_layout
from exercises.notation.musicxml_out import musicxml
from exercises.rhythm.figure import Figure
from exercises.rhythm.library import BY_SLUG, LIBRARY
from exercises.rhythm.record import default_prefix, stroke_id
from exercises.rhythm.typed import read_typed
from tests.strategies import figures

LEAST_STAFF_PX = 32
"""Four spaces of 8 CSS pixels: read from a drum throne. Common practice, no source."""


@pytest.mark.parametrize(
    ("width", "counting", "least"),
    [
        # A phone of 320 pixels leaves 280 for the music.
        (280, False, 30),
        (320, False, LEAST_STAFF_PX),
        (360, False, LEAST_STAFF_PX),
        (360, True, LEAST_STAFF_PX),
    ],
)
def test_no_figure_of_the_library_is_drawn_too_small_for_a_phone(
    width: int, counting: bool, least: int
) -> None:
    small = {
        entry.slug: round(layout.staff_height, 1)
        for entry in LIBRARY
        if (layout := screen_layout(entry.figure, width, counting=counting)).staff_height < least
    }

    assert small == {}


@settings(max_examples=60)
@given(figures())
def test_the_parts_hold_every_stroke_and_add_up_to_the_bar(figure: Figure) -> None:
    end = figure.meter.bar_beats * figure.meter.beat_quarters
    for bar, cut in zip(written(figure), bar_cuts(figure), strict=True):
        parts = parts_of(bar, cut, end)

        assert sum((length for _, length in parts), Fraction(0)) == end
        for voice in ("hands", "feet"):
            whole = [s for e in getattr(bar, voice) for s in e.strokes]
            cut_up = [s for part, _ in parts for e in getattr(part, voice) for s in e.strokes]
            assert cut_up == whole
            for part, length in parts:
                assert sum((e.length for e in getattr(part, voice)), Fraction(0)) == length


def test_a_cut_bar_is_drawn_whole() -> None:
    dense = BY_SLUG["pad-thirty-second-doubles"].figure

    drawn = engrave(dense, width=340, sticking=True)

    assert screen_layout(dense, 340).cuts_bars
    ids = set(re.findall(r'id="([^"]+)"', drawn))
    prefix = default_prefix(dense)
    assert {stroke_id(prefix, stroke) for stroke in dense.strokes} <= ids


def test_a_bar_is_cut_where_both_lines_hold_as_many_notes() -> None:
    """A bar whose roll fills one half of it is cut inside the roll, not at the middle."""
    rolled = read_typed("4/4\nRH: xxxx xxxx xxxx x\n")
    pushed = read_typed("4/4\nRH: x x xxxx xxxx\n")

    assert bar_cuts(rolled) == (Fraction(2),)
    assert bar_cuts(pushed) == (Fraction(3),)


def test_files_for_others_are_never_cut() -> None:
    dense = BY_SLUG["pad-thirty-second-doubles"].figure

    assert musicxml(dense).count(b"<measure ") == dense.bars


def test_a_bar_with_a_note_across_every_beat_stays_whole() -> None:
    cuts = {entry.slug: bar_cuts(entry.figure) for entry in LIBRARY}

    assert cuts["pad-thirty-second-doubles"] == (Fraction(2),)
    assert cuts["seven-eighths"][0] in (Fraction(1), Fraction(2))
