"""Even spreads and cross-rhythms against published tables.

Sources: Godfried Toussaint, "The Euclidean algorithm generates traditional musical rhythms",
BRIDGES 2005 (patterns printed there, compared up to rotation, because some are printed started at
another stroke); the PyPI package euclidean-rhythm 0.3.0 as another implementation; Joseph
Schillinger's resultants of two pulses (palindromes, ``m + n - gcd(m, n)`` strokes).
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from euclidean_rhythm import euclidean as other_euclidean

from exercises.rhythm.euclid import cross_rhythm, euclid, is_rotation, shown

STRONG = ("reproduced", "computed")


def entries(folder: Path, topic: str) -> list[dict[str, Any]]:
    everything = json.loads((folder / "checks.json").read_text(encoding="utf-8"))
    listed = everything if isinstance(everything, list) else everything["entries"]
    return [one for one in listed if one["topic"] == topic and one["status"] in STRONG]


class TestToussaint:
    def test_every_printed_pattern_up_to_rotation(self, shared_checks: Path) -> None:
        found = entries(shared_checks, "Euclidean rhythm")
        assert len(found) >= 16
        for one in found:
            given, expected = one["input"], one["expected"]

            cells = euclid(given["k"], given["n"])

            printed = tuple(cell == "x" for cell in expected["toussaint_printed"])
            assert is_rotation(cells, printed), one["id"]
            assert shown(cells) == expected["bjorklund_front_loaded"], one["id"]


class TestAnotherImplementation:
    @pytest.mark.parametrize("steps", range(2, 25))
    def test_agrees_up_to_rotation(self, steps: int) -> None:
        for strokes in range(1, steps + 1):
            theirs = tuple(map(bool, other_euclidean(pulses=strokes, steps=steps)))

            assert is_rotation(euclid(strokes, steps), theirs), (strokes, steps)


class TestSchillinger:
    def test_every_composite(self, shared_checks: Path) -> None:
        found = entries(shared_checks, "Polyrhythm composite")
        assert len(found) >= 7
        for one in found:
            given, expected = one["input"], one["expected"]

            grid, sounding = cross_rhythm(given["m"], given["n"])

            assert grid == expected["lcm_grid"], one["id"]
            assert list(sounding) == expected["onsets"], one["id"]
            ends = (*sounding[1:], grid)
            gaps = [end - start for start, end in zip(sounding, ends, strict=True)]
            assert gaps == expected["intervals"], one["id"]
