"""The laws of the grade over every core figure of the library, none left out."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from exercises.rhythm.figure import TICKS_PER_BEAT
from exercises.rhythm.grade import grade
from exercises.rhythm.kit import mirror
from exercises.rhythm.library import LIBRARY, LibraryFigure
from exercises.rhythm.limbs import LIMBS
from exercises.rhythm.playability import refusal
from exercises.rhythm.top_tempo import top_tempo
from tests.exercises.rhythm.ostinatos import (
    QUARTERS_EIGHTHS_SIXTEENTHS,
    usual_surfaces,
    with_ostinato,
)
from tests.exercises.rhythm.test_grade_laws import repeated, started_later

every_core = pytest.mark.parametrize("core", LIBRARY, ids=lambda core: core.slug)


@every_core
class TestEveryCore:
    def test_can_be_played_at_its_own_tempo(self, core: LibraryFigure) -> None:
        assert refusal(core.figure, core.kit) is None
        assert top_tempo(core.figure, core.kit).bpm >= core.bpm

    def test_adds_up_on_the_scale(self, core: LibraryFigure) -> None:
        found = grade(core.figure, core.bpm, core.kit)

        assert 1 <= found.total < 10
        assert round(1000 * found.total) == sum(found.thousandths)
        assert sum(Fraction(part.shown) for part in found.parts) == Fraction(found.shown)

    def test_gets_no_easier_with_a_denser_ostinato(self, core: LibraryFigure) -> None:
        quarters = core.figure.meter.beat_quarters
        for limb in LIMBS:
            without = core.figure.replacing({limb: ()})
            for surface in usual_surfaces(limb, core.kit)[:2]:
                for bpm in (30, core.bpm, 180):
                    totals = [grade(without, bpm, core.kit).total]
                    for value in QUARTERS_EIGHTHS_SIXTEENTHS:
                        figure = with_ostinato(core.figure, limb, surface, value / quarters)
                        totals.append(grade(figure, bpm, core.kit).total)

                    assert totals == sorted(totals), f"{limb.spoken} {surface.spoken} at {bpm}"

    def test_gets_no_easier_with_a_denser_ostinato_off_the_beat(self, core: LibraryFigure) -> None:
        quarters = core.figure.meter.beat_quarters
        for limb in LIMBS:
            surface = usual_surfaces(limb, core.kit)[0]
            totals = [grade(core.figure.replacing({limb: ()}), core.bpm, core.kit).total]
            for value in QUARTERS_EIGHTHS_SIXTEENTHS:
                spacing = value / quarters
                assert TICKS_PER_BEAT % (spacing / 2).denominator == 0
                figure = with_ostinato(core.figure, limb, surface, spacing, start=spacing / 2)
                totals.append(grade(figure, core.bpm, core.kit).total)

            assert totals == sorted(totals), limb.spoken

    def test_gets_no_easier_faster(self, core: LibraryFigure) -> None:
        totals = [grade(core.figure, bpm, core.kit).total for bpm in range(20, 300, 7)]

        assert all(slower <= faster for slower, faster in pairwise(totals))

    def test_is_as_hard_for_the_other_handed_player(self, core: LibraryFigure) -> None:
        here = grade(core.figure, core.bpm, core.kit)
        there = grade(mirror(core.figure), core.bpm, core.kit.mirrored())

        assert here == there
        assert (
            top_tempo(core.figure, core.kit).bpm
            == top_tempo(mirror(core.figure), core.kit.mirrored()).bpm
        )

    def test_is_as_hard_written_twice_or_started_later(self, core: LibraryFigure) -> None:
        here = grade(core.figure, core.bpm, core.kit)

        assert grade(repeated(core.figure, 2), core.bpm, core.kit) == here
        for bars in range(1, core.figure.bars):
            assert grade(started_later(core.figure, bars), core.bpm, core.kit) == here
