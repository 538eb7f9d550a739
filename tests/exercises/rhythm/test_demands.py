"""What lines ask of their limbs, stroke by stroke and summed up."""

from __future__ import annotations

import pytest
from hypothesis import given

from exercises.rhythm.demands import demands, pressure, touches
from exercises.rhythm.figure import TICKS_PER_BEAT, Figure
from exercises.rhythm.kit import FIVE_PIECE
from tests.strategies import sensible_figures


@given(sensible_figures())
def test_the_sum_says_what_the_strokes_say(figure: Figure) -> None:
    cycle = int(figure.length_beats * TICKS_PER_BEAT)
    for limb in figure.limbs:
        role = FIVE_PIECE.roles[limb]
        line = figure.line(limb)
        asked = demands(touches(line), cycle, role, FIVE_PIECE)

        found = pressure(line, cycle, role, FIVE_PIECE)

        staying = [one for one in asked if not one.is_journey]
        journeys = [one for one in asked if one.is_journey]
        assert found.staying == pytest.approx(max(one.seconds / one.ticks for one in staying))
        assert found.least_run_ticks == min(one.ticks for one in staying if one.strokes == 3)
        assert [share for share, _, _ in found.journeys] == pytest.approx(
            [one.seconds / one.ticks for one in journeys]
        )
        assert [(start, end) for _, start, end in found.journeys] == [
            (one.start.piece, one.end.piece) for one in journeys
        ]
