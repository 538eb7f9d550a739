"""Even spreads and cross-rhythms."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from exercises.rhythm.errors import RhythmError
from exercises.rhythm.euclid import MOST_STEPS, cross_rhythm, euclid, is_rotation, rotated, shown

STEPS = st.integers(1, MOST_STEPS)


@st.composite
def strokes_and_steps(draw: st.DrawFn) -> tuple[int, int]:
    steps = draw(STEPS)
    return draw(st.integers(1, steps)), steps


class TestEuclid:
    @given(strokes_and_steps())
    def test_has_the_strokes_and_starts_with_one(self, numbers: tuple[int, int]) -> None:
        strokes, steps = numbers

        cells = euclid(strokes, steps)

        assert len(cells) == steps
        assert sum(cells) == strokes
        assert cells[0]

    @given(strokes_and_steps())
    def test_is_as_even_as_can_be(self, numbers: tuple[int, int]) -> None:
        """Every window of a given number of strokes spans one of two neighbouring lengths."""
        strokes, steps = numbers
        places = [step for step, cell in enumerate(euclid(strokes, steps)) if cell]

        for window in range(1, strokes + 1):
            spans = {
                (places[(n + window) % strokes] - place - 1) % steps + 1
                for n, place in enumerate(places)
            }
            assert max(spans) - min(spans) <= 1

    @given(strokes_and_steps(), st.integers(0, 200))
    def test_turns_round(self, numbers: tuple[int, int], turn: int) -> None:
        cells = euclid(*numbers)

        assert euclid(*numbers, turn=turn) == rotated(cells, turn)
        assert is_rotation(cells, rotated(cells, turn))

    def test_may_be_silent(self) -> None:
        assert shown(euclid(0, 4)) == "...."

    @pytest.mark.parametrize("numbers", [(5, 4), (-1, 4), (0, 0), (1, MOST_STEPS + 1)])
    def test_refuses_what_cannot_be(self, numbers: tuple[int, int]) -> None:
        with pytest.raises(RhythmError):
            euclid(*numbers)

    def test_knows_what_is_no_rotation(self) -> None:
        assert not is_rotation(euclid(3, 8), euclid(5, 8))
        assert not is_rotation(euclid(3, 8), euclid(3, 7))


class TestCrossRhythm:
    @given(st.integers(1, 16), st.integers(1, 16))
    def test_reads_the_same_backwards(self, one: int, other: int) -> None:
        grid, sounding = cross_rhythm(one, other)

        assert sounding[0] == 0
        assert {(grid - step) % grid for step in sounding} == set(sounding)
        assert cross_rhythm(other, one) == (grid, sounding)

    def test_refuses_a_pulse_without_strokes(self) -> None:
        with pytest.raises(RhythmError):
            cross_rhythm(0, 2)
