"""Played time put onto a grid."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exercises.notation.quantise import snap
from exercises.rhythm.meter import Meter
from tests.strategies import meters

FOUR = Meter(4, 4)


def snapped(*positions: float, meter: Meter = FOUR) -> list[Fraction]:
    exact = [Fraction(position).limit_denominator(10_000) for position in positions]
    return snap(exact, range(len(exact)), meter)


class TestSnap:
    @pytest.mark.parametrize(
        ("played", "meant"),
        [
            ((0.02, 0.52), ("0", "1/2")),
            ((0.01, 0.34, 0.65), ("0", "1/3", "2/3")),
            ((0.01, 0.24, 0.53, 0.76), ("0", "1/4", "1/2", "3/4")),
            ((0.01, 0.69), ("0", "2/3")),
            ((0.0, 0.76), ("0", "3/4")),
            ((0.0, 0.17, 0.34, 0.5, 0.66, 0.84), ("0", "1/6", "1/3", "1/2", "2/3", "5/6")),
            ((0.0, 0.13, 0.25, 0.37), ("0", "1/8", "1/4", "3/8")),
            ((0.97,), ("1",)),
            ((3.98,), ("4",)),
            ((-0.03,), ("0",)),
        ],
    )
    def test_takes_the_plainest_grid_that_fits(
        self, played: tuple[float, ...], meant: tuple[str, ...]
    ) -> None:
        assert snapped(*played) == [Fraction(text) for text in meant]

    def test_keeps_strokes_on_one_piece_apart_but_not_on_two(self) -> None:
        close = [Fraction(2, 100), Fraction(9, 100)]

        assert len(set(snap(close, ["snare", "snare"], FOUR))) == 2
        assert len(set(snap(close, ["snare", "crash"], FOUR))) == 1

    def test_thinks_in_threes_in_compound_meters(self) -> None:
        assert snapped(0.3, 0.69, meter=Meter(12, 8)) == [Fraction(1, 3), Fraction(2, 3)]

    def test_never_puts_a_stroke_into_the_half_beat_that_an_odd_bar_lacks(self) -> None:
        assert snapped(3.24, 3.48, meter=Meter(7, 8)) == [Fraction(13, 4), Fraction(7, 2)]

    @settings(max_examples=40)
    @given(meters(), st.lists(st.fractions(-1, 16, max_denominator=10_000), max_size=20))
    def test_moves_nothing_by_more_than_half_a_beat_and_lands_on_ticks(
        self, meter: Meter, positions: list[Fraction]
    ) -> None:
        onsets = snap(positions, range(len(positions)), meter)

        for position, onset in zip(positions, onsets, strict=True):
            assert abs(onset - position) <= Fraction(1, 2)
            assert 840 % onset.denominator == 0

    @given(
        meters().filter(lambda meter: meter.bar_beats.denominator == 1),
        st.sampled_from([1, 2, 3, 4]),
        st.integers(0, 40),
    )
    @settings(max_examples=40)
    def test_leaves_what_is_on_a_plain_grid_where_it_is(
        self, meter: Meter, grid: int, steps: int
    ) -> None:
        positions = [Fraction(step, grid) for step in range(steps)]

        assert snap(positions, range(steps), meter) == positions
