"""Figures in words, for screen readers."""

from __future__ import annotations

from hypothesis import given, settings

from exercises.rhythm.figure import Figure
from exercises.rhythm.spoken import words
from exercises.rhythm.typed import read_typed
from tests.strategies import figures


class TestWords:
    def test_says_who_strikes_what_and_when(self) -> None:
        figure = read_typed("2/4\nRH: xx xx\nLH: . X\nRF: x .f\n")

        assert words(figure) == (
            "1: right hand hi-hat and right foot bass drum; &: right hand hi-hat; "
            "2: right hand hi-hat and left hand accented snare; "
            "&: right hand hi-hat and right foot bass drum with a flam."
        )

    def test_says_three_at_once_with_one_and(self) -> None:
        figure = read_typed("1/4\nRH ride: x\nLH: g\nLF: s\n")

        assert words(figure) == (
            "1: right hand ride, left hand ghosted snare and left foot soft hi-hat foot."
        )

    def test_names_bars_and_silence(self) -> None:
        figure = read_typed("2/4\nRH: x . | . .\n")

        assert words(figure) == "Bar 1. 1: right hand hi-hat.\nBar 2. silent."

    def test_gives_a_place_without_a_syllable_as_a_part_of_the_beat(self) -> None:
        assert words(read_typed("1/4\nRH: .x......\n")).startswith("beat 1 and 1/8: right hand")

    @given(figures())
    @settings(max_examples=30)
    def test_has_a_line_for_every_bar_and_a_part_for_every_moment(self, figure: Figure) -> None:
        said = words(figure)

        assert len(said.split("\n")) == figure.bars
        assert said.count(": ") == len(list(figure.moments()))
