"""Our measures of syncopation against published values and an independent library."""

from __future__ import annotations

import json
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from exercises.rhythm.figure import TICKS_PER_BEAT
from exercises.rhythm.meter import Meter
from exercises.rhythm.syncopation import distance_to_beats, metric_displacement, off_beat_starts

STRONG = {"reproduced", "computed"}
# F. Gómez, A. Melvin, D. Rappaport, G. Toussaint, "Mathematical measures of syncopation",
# BRIDGES 2005, figure 8: Keith's count and the weighted note-to-beat distance of six claves.
CLAVES = {
    "shiko": ("x...x.x...x.x...", 1, Fraction(6, 5)),
    "son": ("x..x..x...x.x...", 2, Fraction(14, 5)),
    "rumba": ("x..x...x..x.x...", 2, Fraction(18, 5)),
    "gahu": ("x..x..x...x...x.", 3, Fraction(18, 5)),
    "bossa-nova": ("x..x..x...x..x..", 3, Fraction(4)),
}
# H. C. Longuet-Higgins and C. S. Lee 1984, single bars of 4/4 as computed by C. Song, M. Pearce
# and C. Harte's SynPy (2015), which gives -1 where nothing is syncopated; ours gives 0.
DISPLACEMENTS = {
    "x..x..x...x.x...": 4,
    "x..x...x..x.x...": 6,
    "x..x..x...xx....": 6,
    "x..x..x...x...x.": 5,
    "x..x..x...x..x..": 6,
    "x...x...x...x...": 0,
    "..x...x...x...x.": 4,
    "....x.......x...": 1,
    ".x..............": 6,
}


def cells(row: str) -> list[bool]:
    return [cell == "x" for cell in row]


def onsets(row: str, per_beat: int) -> list[Fraction]:
    return [Fraction(step, per_beat) for step, struck in enumerate(cells(row)) if struck]


def ticks(row: str, per_beat: int) -> list[int]:
    return [int(onset * TICKS_PER_BEAT) for onset in onsets(row, per_beat)]


def entries(shared_checks: Path, prefix: str) -> Iterator[dict[str, Any]]:
    for entry in json.loads((shared_checks / "checks.json").read_text()):
        if entry["id"].startswith(prefix) and entry["status"] in STRONG:
            yield entry


@pytest.mark.parametrize("name", CLAVES)
def test_gomez_et_al_2005(name: str) -> None:
    row, count, distance = CLAVES[name]

    assert off_beat_starts(cells(row)) == count
    assert distance_to_beats(onsets(row, 4), Fraction(4)) == distance


@pytest.mark.parametrize("row", DISPLACEMENTS)
def test_longuet_higgins_and_lee_1984(row: str) -> None:
    assert metric_displacement(Meter(4, 4), ticks(row, 4), is_loop=False) == DISPLACEMENTS[row]


def test_all_displacements_of_the_shared_checks(shared_checks: Path) -> None:
    found = list(entries(shared_checks, "A5.lhl."))

    for entry in found:
        row = entry["input"].get("pattern16") or entry["input"]["pattern8"]
        meter = Meter.parse(entry["input"].get("meter", "4/4"))
        ours = metric_displacement(meter, ticks(row, 4), is_loop=False)
        assert ours == max(0, entry["expected"]), entry["id"]
    assert len(found) >= 12


def test_all_counts_of_the_shared_checks(shared_checks: Path) -> None:
    found = list(entries(shared_checks, "A5.gomez"))

    for entry in found:
        row = entry["input"].get("pattern16") or entry["input"]["pattern12"]
        expected = entry["expected"]
        per_beat = len(row) // 4
        assert distance_to_beats(onsets(row, per_beat), Fraction(4)) == Fraction(expected["WNBD"])
        if "keith_via_toussaint" in expected:
            assert off_beat_starts(cells(row)) == expected["keith_via_toussaint"], entry["id"]
    assert len(found) >= 12


ROWS = st.lists(st.booleans(), min_size=16, max_size=16).filter(any)


# amads closes the loop only for rows that begin with a stroke.
@given(ROWS.map(lambda row: [True, *row[1:]]).filter(lambda row: sum(row) > 1))
def test_keiths_count_as_the_library_amads_counts_it(struck: list[bool]) -> None:
    oracle = pytest.importorskip("amads.time.rhythm")

    assert off_beat_starts(struck) == oracle.keith_via_toussaint([int(cell) for cell in struck])


@given(ROWS)
def test_a_loop_is_syncopated_at_least_as_much_as_one_bar_by_itself(struck: list[bool]) -> None:
    row = [step * TICKS_PER_BEAT // 4 for step, cell in enumerate(struck) if cell]
    meter = Meter(4, 4)

    once = metric_displacement(meter, row, is_loop=False)

    assert metric_displacement(meter, row) >= once


@pytest.mark.parametrize("size", [0, 3, 12])
def test_keiths_count_refuses_other_cycles(size: int) -> None:
    with pytest.raises(ValueError, match="2, 4, 8"):
        off_beat_starts([True] * size)


def test_beats_are_never_syncopated_in_any_meter() -> None:
    for text in ("4/4", "3/4", "6/8", "7/8", "5/8", "12/8", "2/2", "7/16"):
        meter = Meter.parse(text)
        starts = [sum(meter.groups[:n], Fraction(0)) for n in range(len(meter.groups))]
        assert metric_displacement(meter, [int(start * TICKS_PER_BEAT) for start in starts]) == 0
