"""Pairs of figures where every teacher calls the second harder (common practice, no source)."""

from __future__ import annotations

import json
from pathlib import Path

from exercises.rhythm.grade import grade
from tests.exercises.rhythm.boxes import figure_of_check


def test_every_pair_is_ordered(shared_checks: Path) -> None:
    pairs = json.loads((shared_checks / "harder_than.json").read_text())["pairs"]
    wrong = []

    for pair in pairs:
        easier, harder = (
            grade(figure_of_check(pair[side]), pair[side]["bpm"]).total
            for side in ("easier", "harder")
        )
        if not easier < harder:
            wrong.append((pair["id"], pair["why"], easier, harder))

    assert len(pairs) == 12
    assert not wrong
