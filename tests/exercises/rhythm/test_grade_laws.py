"""The laws of the grade, over generated figures (RHYTHM laws; common practice, no source)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import TICKS_PER_BEAT, Figure, Loudness, Stroke
from exercises.rhythm.grade import Grade, grade
from exercises.rhythm.kit import FIVE_PIECE, KITS, Kit, mirror
from exercises.rhythm.limbs import LIMBS, Limb
from tests.exercises.rhythm.ostinatos import (
    QUARTERS_EIGHTHS_SIXTEENTHS,
    usual_surfaces,
    with_ostinato,
)
from tests.strategies import figures, sensible_figures, tempos

LIMB = st.sampled_from(LIMBS)
SPACINGS = st.sampled_from(
    [Fraction(1, n) for n in (1, 2, 3, 4, 6)] + [Fraction(2), Fraction(2, 3), Fraction(3, 4)]
)


def repeated(figure: Figure, times: int) -> Figure:
    """The figure written out several times."""
    strokes = [
        Stroke(s.onset + figure.length_beats * n, s.limb, s.surface, s.loudness, s.ornament)
        for n in range(times)
        for s in figure.strokes
    ]
    return Figure.of(figure.meter, figure.bars * times, strokes)


def started_later(figure: Figure, bars: int) -> Figure:
    """The figure started some whole bars later in its loop."""
    shift = figure.meter.bar_beats * bars
    strokes = [
        Stroke((s.onset - shift) % figure.length_beats, s.limb, s.surface, s.loudness, s.ornament)
        for s in figure.strokes
    ]
    return Figure.of(figure.meter, figure.bars, strokes)


def points(given: Grade) -> tuple[int, ...]:
    return given.thousandths


class TestTheSum:
    @settings(max_examples=50)
    @given(figures(), tempos())
    def test_is_nothing_but_its_parts_and_stays_on_the_scale(
        self, figure: Figure, bpm: int
    ) -> None:
        found = grade(figure, bpm)

        assert all(part.points >= 0 for part in found.parts)
        assert round(1000 * found.total) == sum(round(1000 * part.points) for part in found.parts)
        assert 1 <= found.total <= 10

    @settings(max_examples=50)
    @given(figures(), tempos())
    def test_holds_in_the_numbers_that_are_shown(self, figure: Figure, bpm: int) -> None:
        found = grade(figure, bpm)

        tenths = [Fraction(part.shown) for part in found.parts]

        assert sum(tenths) == Fraction(found.shown)
        assert abs(Fraction(found.shown) - Fraction(sum(found.thousandths), 1000)) <= Fraction(
            1, 20
        )
        assert all(
            abs(shown - Fraction(exact, 1000)) < Fraction(1, 10)
            for shown, exact in zip(tenths, found.thousandths, strict=True)
        )

    @settings(max_examples=50)
    @given(figures(), tempos())
    def test_explains_every_part(self, figure: Figure, bpm: int) -> None:
        found = grade(figure, bpm)

        assert len({part.key for part in found.parts}) == len(found.parts) == 9
        assert all(part.words and part.label for part in found.parts)

    @pytest.mark.parametrize("bpm", [0, -1, float("nan")])
    def test_refuses_a_tempo_that_is_none(self, bpm: float) -> None:
        with pytest.raises(RhythmError, match="above zero"):
            grade(Figure.of("4/4", 1, []), bpm)

    def test_gives_the_least_to_a_figure_in_which_nothing_happens(self) -> None:
        assert grade(Figure.of("4/4", 1, []), 90).total == 1

    def test_ends_at_ten_however_much_is_asked(self) -> None:
        full = Figure.of("4/4", 1, [])
        for limb in LIMBS:
            full = with_ostinato(full, limb, usual_surfaces(limb, FIVE_PIECE)[0], Fraction(1, 8))

        assert grade(full, 400).shown == "10.0"


class TestTheOrder:
    @settings(max_examples=80)
    @given(
        figures(),
        LIMB,
        SPACINGS,
        st.booleans(),
        st.sampled_from(Loudness),
        tempos(),
        st.data(),
    )
    def test_a_limb_that_joins_with_an_ostinato_lowers_nothing(
        self,
        figure: Figure,
        limb: Limb,
        spacing: Fraction,
        is_late: bool,
        loudness: Loudness,
        bpm: int,
        data: st.DataObject,
    ) -> None:
        without = figure.replacing({limb: ()})
        surface = data.draw(st.sampled_from(usual_surfaces(limb, FIVE_PIECE)))
        start = spacing / 2 if is_late else Fraction(0)

        joined = with_ostinato(without, limb, surface, spacing, start=start, loudness=loudness)

        assert grade(joined, bpm).total >= grade(without, bpm).total

    @settings(max_examples=80)
    @given(sensible_figures(), LIMB, st.booleans(), tempos())
    def test_a_denser_ostinato_lowers_nothing(
        self, figure: Figure, limb: Limb, is_late: bool, bpm: int
    ) -> None:
        surface = usual_surfaces(limb, FIVE_PIECE)[0]
        spacings = [value / figure.meter.beat_quarters for value in QUARTERS_EIGHTHS_SIXTEENTHS]
        starts = [spacing / 2 if is_late else Fraction(0) for spacing in spacings]
        assume(all(TICKS_PER_BEAT % start.denominator == 0 for start in starts))

        totals = [
            grade(with_ostinato(figure, limb, surface, spacing, start=start), bpm).total
            for spacing, start in zip(spacings, starts, strict=True)
        ]

        assert totals == sorted(totals)

    @settings(max_examples=50)
    @given(figures(), tempos(), tempos())
    def test_faster_lowers_nothing(self, figure: Figure, one: int, other: int) -> None:
        slower, faster = sorted((one, other))

        assert grade(figure, slower).total <= grade(figure, faster).total


class TestWhatChangesNothing:
    @settings(max_examples=50)
    @given(figures(), tempos(), st.sampled_from(sorted(KITS)))
    def test_the_other_handed_player_on_the_mirrored_kit(
        self, figure: Figure, bpm: int, name: str
    ) -> None:
        kit: Kit = KITS[name]

        assert points(grade(figure, bpm, kit)) == points(grade(mirror(figure), bpm, kit.mirrored()))

    @settings(max_examples=50)
    @given(figures(), tempos(), st.integers(2, 4))
    def test_writing_it_out_several_times(self, figure: Figure, bpm: int, times: int) -> None:
        assert points(grade(repeated(figure, times), bpm)) == points(grade(figure, bpm))

    @settings(max_examples=50)
    @given(figures(max_bars=4), tempos(), st.integers(1, 3))
    def test_starting_whole_bars_later(self, figure: Figure, bpm: int, bars: int) -> None:
        assert points(grade(started_later(figure, bars), bpm)) == points(grade(figure, bpm))

    @settings(max_examples=50)
    @given(figures(), tempos())
    def test_its_title(self, figure: Figure, bpm: int) -> None:
        assert grade(figure.titled("Another"), bpm) == grade(figure, bpm)
