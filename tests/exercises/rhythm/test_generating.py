"""Core figures from numbers."""

from __future__ import annotations

from fractions import Fraction
from math import gcd

import pytest
from hypothesis import given
from hypothesis import strategies as st

from exercises.rhythm.errors import Refused
from exercises.rhythm.euclid import cross_rhythm, euclid
from exercises.rhythm.figure import TICKS_PER_BEAT, Loudness
from exercises.rhythm.generating import Stream, generated, streams_words
from exercises.rhythm.kit import FIVE_PIECE
from exercises.rhythm.limbs import Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.surfaces import Surface

THREE = Meter(3, 4)


def ride(strokes: int, steps: int, turn: int = 0) -> Stream:
    return Stream(Limb.RH, Surface.RIDE, strokes, steps, turn)


def snare(strokes: int, steps: int) -> Stream:
    return Stream(Limb.LH, Surface.SNARE, strokes, steps)


@given(st.integers(1, 16), st.integers(1, 16), st.sampled_from(["3/4", "4/4", "6/8", "5/4"]))
def test_two_pulses_are_the_cross_rhythm_or_refused(one: int, other: int, meter: str) -> None:
    """The steps that sound are Schillinger's resultant: ``one + other - gcd`` of them."""
    span = Meter.parse(meter).bar_beats
    fits = all((span / n * TICKS_PER_BEAT).denominator == 1 for n in (one, other))
    streams = [ride(one, one), snare(other, other)]
    if not fits:
        with pytest.raises(Refused, match="cannot be written"):
            generated(streams, Meter.parse(meter), FIVE_PIECE)
        return

    figure = generated(streams, Meter.parse(meter), FIVE_PIECE)

    grid, sounding = cross_rhythm(one, other)
    onsets = {stroke.onset for stroke in figure.strokes}
    assert onsets == {span * Fraction(step, grid) for step in sounding}
    assert len(onsets) == one + other - gcd(one, other)
    assert len(figure.line(Limb.RH)) == one
    assert len(figure.line(Limb.LH)) == other


@given(st.integers(1, 16), st.integers(0, 20))
def test_a_spread_falls_where_the_even_pattern_says(strokes: int, turn: int) -> None:
    figure = generated([ride(strokes, 16, turn)], Meter(4, 4), FIVE_PIECE)

    cells = euclid(strokes, 16, turn=turn)
    assert [stroke.onset * 4 for stroke in figure.strokes] == [
        place for place, struck in enumerate(cells) if struck
    ]


def test_the_first_stroke_can_be_accented() -> None:
    stream = Stream(Limb.RH, Surface.RIDE, 3, 8, turn=1, is_first_accented=True)

    loud = [s.loudness for s in generated([stream], Meter(4, 4), FIVE_PIECE).strokes]

    assert loud == [Loudness.ACCENT, Loudness.NORMAL, Loudness.NORMAL]


def test_titles_say_what_it_is() -> None:
    assert streams_words([ride(3, 3), snare(2, 2)]) == "3 against 2"
    assert streams_words([ride(8, 8), snare(5, 16)]) == "8, 5 in 16"


@pytest.mark.parametrize(
    ("streams", "words"),
    [
        ([], "nothing is struck"),
        ([ride(0, 4)], "nothing is struck"),
        ([ride(3, 3), ride(2, 2)], "one limb plays one stream"),
        ([ride(5, 4)], "no more strokes than steps"),
        ([ride(65, 65)], "1 to 64 steps"),
        ([ride(11, 11)], "11 equal steps cannot be written in 1 bar of 3/4"),
        ([Stream(Limb.RH, Surface.BASS_DRUM, 2, 2)], "a pedal is for a foot"),
    ],
)
def test_what_cannot_be_is_refused_in_words(streams: list[Stream], words: str) -> None:
    with pytest.raises(Refused, match=words):
        generated(streams, THREE, FIVE_PIECE)
