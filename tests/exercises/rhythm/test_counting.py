"""Counting aloud (common practice, no source)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from exercises.rhythm.counting import place_words, syllable
from exercises.rhythm.meter import Meter


def counted(meter: str, steps: int, *, per_beat: int) -> str:
    return " ".join(syllable(Meter.parse(meter), Fraction(k, per_beat)) for k in range(steps))


class TestSyllable:
    @pytest.mark.parametrize(
        ("meter", "steps", "per_beat", "said"),
        [
            ("4/4", 4, 1, "1 2 3 4"),
            ("4/4", 8, 2, "1 & 2 & 3 & 4 &"),
            ("4/4", 8, 4, "1 e & a 2 e & a"),
            ("4/4", 6, 3, "1 trip let 2 trip let"),
            ("4/4", 6, 6, "1 ta trip & let ta"),
            ("4/4", 8, 8, "1 ta e ta & ta a ta"),
            ("4/4", 5, 5, "1 ta ta ta ta"),
            ("3/4", 5, 1, "1 2 3 1 2"),
            ("2/2", 8, 4, "1 e & a 2 e & a"),
            ("6/8", 6, 3, "1 2 3 4 5 6"),
            ("6/8", 6, 6, "1 & 2 & 3 &"),
            ("12/8", 12, 3, "1 2 3 4 5 6 7 8 9 10 11 12"),
            ("7/8", 8, 2, "1 2 3 4 5 6 7 1"),
            ("7/8", 4, 4, "1 & 2 &"),
        ],
    )
    def test_counts_as_teachers_do(self, meter: str, steps: int, per_beat: int, said: str) -> None:
        assert counted(meter, steps, per_beat=per_beat) == said


class TestPlaceWords:
    @pytest.mark.parametrize(
        ("meter", "onset", "bars", "said"),
        [
            ("4/4", Fraction(11, 4), 1, "beat 3 a"),
            ("4/4", Fraction(2), 1, "beat 3"),
            ("4/4", Fraction(2), 2, "bar 1, beat 3"),
            ("4/4", Fraction(13, 2), 1, "bar 2, beat 3 &"),
            ("4/4", Fraction(11, 8), 1, "beat 2 and 3/8"),
            ("6/8", Fraction(4, 3), 1, "count 5"),
            ("7/8", Fraction(13, 4), 1, "count 7 &"),
        ],
    )
    def test_names_bar_beat_and_syllable(
        self, meter: str, onset: Fraction, bars: int, said: str
    ) -> None:
        assert place_words(Meter.parse(meter), onset, bars=bars) == said

    def test_never_names_two_places_of_a_bar_alike(self) -> None:
        for meter in ("4/4", "6/8", "7/8", "5/16", "3/2"):
            parsed = Meter.parse(meter)
            onsets = {Fraction(k, 24) for k in range(int(parsed.bar_beats * 24))}

            assert len({place_words(parsed, onset) for onset in onsets}) == len(onsets)
