"""Figures in words, for screen readers."""

from __future__ import annotations

import re

from hypothesis import given, settings

from exercises.rhythm.figure import Figure, Loudness, Ornament
from exercises.rhythm.library import LIBRARY
from exercises.rhythm.spoken import stroke_words, words
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

        bars = said.split("\n")
        assert len(bars) == figure.bars
        told = 0
        for bar in bars:
            same = re.search(r"the same as bar (\d+)", bar)
            told += (bars[int(same[1]) - 1] if same else bar).count(": ")
        assert told == len(list(figure.moments()))

    def test_says_a_repeated_bar_once(self) -> None:
        said = words(read_typed("1/4\nRH: xx | x. | xx | .. | ..\n")).split("\n")

        assert said[2:] == ["Bar 3. the same as bar 1.", "Bar 4. silent.", "Bar 5. silent."]

    def test_says_whatever_changes_how_a_stroke_sounds(self) -> None:
        """Every loudness, ornament and surface of the library changes what is said."""
        strokes = {stroke for entry in LIBRARY for stroke in entry.figure.strokes}
        ways = {(s.limb, s.surface, s.loudness, s.ornament) for s in strokes}

        assert len({stroke_words(stroke) for stroke in strokes}) == len(ways)
        assert {ornament for *_, ornament in ways} == set(Ornament)
        assert {loudness for _, _, loudness, _ in ways} == set(Loudness)

    def test_is_short_enough_to_listen_to(self) -> None:
        """Two hundred words for one bar take over a minute; our densest bars stay under that."""
        longest = max(
            len(line.split()) for entry in LIBRARY for line in words(entry.figure).split("\n")
        )

        assert longest < 200
