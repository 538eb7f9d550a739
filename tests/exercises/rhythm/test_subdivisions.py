"""Into how many parts the beats are cut."""

from __future__ import annotations

import pytest
from hypothesis import given

from exercises.rhythm.figure import Figure
from exercises.rhythm.library import LIBRARY
from exercises.rhythm.subdivisions import spoken_subdivision, subdivisions
from exercises.rhythm.typed import read_typed
from tests.strategies import figures


@pytest.mark.parametrize(
    ("typed", "parts"),
    [
        ("4/4\nRH: x x x x", (1,)),
        ("4/4\nRH: xx xx x.x xx\nRF: x .x x.. x", (2, 3)),
        ("4/4\nRH: x.x. xxxx xx xx\nLH: . xxxxxx xxxxxxxx .", (2, 12, 8)),
        ("6/8\nRH: xxx x.x", (3,)),
        ("6/8\nRH: xxxxxx xx", (2, 6)),
        ("7/8\nRH: xx xx xxx", (1, 2)),
        ("4/4\nRH: .... .... .... ....", ()),
    ],
)
def test_each_beat_has_the_fewest_parts_that_hold_it(typed: str, parts: tuple[int, ...]) -> None:
    assert subdivisions(read_typed(typed)) == tuple(sorted(parts))


@given(figures())
def test_every_stroke_lies_on_some_part(figure: Figure) -> None:
    found = subdivisions(figure)

    assert bool(found) == bool(len(figure))
    for stroke in figure.strokes:
        assert any((stroke.onset * parts).denominator == 1 for parts in found)


def test_the_library_has_every_subdivision() -> None:
    used = {parts for entry in LIBRARY for parts in subdivisions(entry.figure)}

    assert used >= {1, 2, 3, 4, 6, 8}


def test_they_have_names() -> None:
    assert spoken_subdivision(3, is_compound=False) == "triplets"
    assert spoken_subdivision(3, is_compound=True) == "eighths"
    assert spoken_subdivision(7, is_compound=False) == "7 to the beat"
