"""Which of two figures every teacher calls the harder (common practice, no source)."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from exercises.rhythm.grade import grade
from tests.exercises.rhythm.boxes import Row, boxes

ROCK: dict[str, Row] = {
    "RF": ("bass", "x.......x......."),
    "LH": ("snare", "....x.......x..."),
    "RH": ("hihat", "x.x.x.x.x.x.x.x."),
}
SINGLES: dict[str, Row] = {"RH": ("snare", "x.x.x.x.x.x.x.x."), "LH": ("snare", ".x.x.x.x.x.x.x.x")}
ALTERNATE: dict[str, Row] = {
    "RF": ("bass", "x...x...x...x..."),
    "LH": ("snare", "..x...x...x...x."),
}

Side = Mapping[str, Row]

HARDER: list[tuple[str, Side, Side]] = [
    (
        "the weaker hand keeps the ostinato",
        ROCK,
        {
            "RF": ROCK["RF"],
            "RH": ("snare", "....x.......x..."),
            "LH": ("hihat", "x.x.x.x.x.x.x.x."),
        },
    ),
    (
        "the ostinato moves off the beat",
        {**ROCK, "RH": ("hihat", "x...x...x...x...")},
        {**ROCK, "RH": ("hihat", "..x...x...x...x.")},
    ),
    (
        "the hi-hat foot keeps the offbeats, not the beats",
        {**ROCK, "RH": ("ride", ROCK["RH"][1]), "LF": ("hihat_foot", "x...x...x...x...")},
        {**ROCK, "RH": ("ride", ROCK["RH"][1]), "LF": ("hihat_foot", "..x...x...x...x.")},
    ),
    (
        "the backbeat is accented over an even hat",
        ROCK,
        {**ROCK, "LH": ("snare", "....X.......X...")},
    ),
    (
        "the hand goes from hat to ride and back",
        ROCK,
        {**ROCK, "RH": (["hihat", "ride"], ROCK["RH"][1])},
    ),
    ("drags before the backbeats", ROCK, {**ROCK, "LH": ("snare", "....d.......d...")}),
    (
        "drags after flams",
        {**ROCK, "LH": ("snare", "....f.......f...")},
        {**ROCK, "LH": ("snare", "....d.......d...")},
    ),
    (
        "accents move through the single strokes",
        SINGLES,
        {"RH": ("snare", "X.x.x.X.x.x.X.x."), "LH": ("snare", ".x.X.x.x.X.x.x.X")},
    ),
    (
        "doubles in the bass drum",
        {**ROCK, "RF": ("bass", "x...x...x...x...")},
        {**ROCK, "RF": ("bass", "xx..xx..xx..xx..")},
    ),
    (
        "the backbeat is displaced by a sixteenth",
        ROCK,
        {**ROCK, "LH": ("snare", ".....x.......x..")},
    ),
    (
        "hand and foot alternate instead of striking together",
        {"RF": ("bass", "x...x...x...x..."), "LH": ("snare", "x...x...x...x...")},
        ALTERNATE,
    ),
    (
        "a clave over the bass drum instead of quarters",
        {"RF": ("bass", "x.......x......."), "LH": ("cross_stick", "x...x...x...x...")},
        {"RF": ("bass", "x.......x......."), "LH": ("cross_stick", "x..x..x...x.x...")},
    ),
    (
        "the bass drum plays the clave too",
        {"RH": ("ride", "x.x.x.x.x.x.x.x."), "LH": ("cross_stick", "x..x..x...x.x...")},
        {
            "RH": ("ride", "x.x.x.x.x.x.x.x."),
            "LH": ("cross_stick", "x..x..x...x.x..."),
            "RF": ("bass", "x..x..x...x.x..."),
        },
    ),
    (
        "single strokes with the feet after the hands",
        SINGLES,
        {"RF": ("bass", "x.x.x.x.x.x.x.x."), "LF": ("bass", ".x.x.x.x.x.x.x.x")},
    ),
]


@pytest.mark.parametrize(("why", "easier", "harder"), HARDER, ids=[why for why, *_ in HARDER])
@pytest.mark.parametrize("bpm", [60, 90])
def test_the_harder_figure_grades_higher(why: str, easier: Side, harder: Side, bpm: int) -> None:
    assert grade(boxes(easier), bpm).total < grade(boxes(harder), bpm).total


def test_a_two_bar_pattern_grades_above_its_first_bar() -> None:
    first = boxes(ROCK)
    both = boxes(
        {
            "RF": ("bass", "x.......x......." + "x.........x....."),
            "LH": ("snare", "....x.......x..." * 2),
            "RH": ("hihat", "x.x.x.x.x.x.x.x." * 2),
        },
        bars=2,
    )

    assert grade(first, 90).total < grade(both, 90).total


def test_three_over_four_grades_above_two_over_four() -> None:
    def two_feet(row: str) -> dict[str, Row]:
        return {"RF": ("bass", "x..x..x..x.."), "RH": ("snare", row)}

    nested = boxes(two_feet("x.....x....."), grid=3)
    across = boxes(two_feet("x...x...x..."), grid=3)

    assert grade(nested, 90).total < grade(across, 90).total
