"""More pairs of which every teacher calls the second the harder (common practice, no source)."""

from __future__ import annotations

import pytest

from exercises.rhythm.grade import grade
from exercises.rhythm.kit import FIVE_PIECE_TWO_PEDALS
from exercises.rhythm.typed import read_typed

HAT = "RH hi-hat: xx xx xx xx\n"
BACK = "LH snare: . x . x\n"
FOOT = "RF bass-drum: x . x .\n"

PAIRS: list[tuple[str, str, str]] = [
    ("the bass drum is pushed off the beat", HAT + BACK + FOOT, HAT + BACK + "RF: x. .. .x ..\n"),
    (
        "a sixteenth pair in the bass drum",
        HAT + BACK + "RF: x . x. ..\n",
        HAT + BACK + "RF: x... .... x..x ....\n",
    ),
    (
        "quick pairs in the bass drum instead of eighths",
        HAT + BACK + "RF: xx .. xx ..\n",
        HAT + BACK + "RF: ..xx .... ..xx ....\n",
    ),
    (
        "ghosts between the backbeats",
        HAT + BACK + FOOT,
        HAT + "LH: .... x.g. .g.. x.g.\n" + FOOT,
    ),
    ("flams on the backbeats", HAT + BACK + FOOT, "RH: xx .x xx .x\nLH: . f . f\n" + FOOT),
    ("a buzz on the backbeats", HAT + BACK + FOOT, HAT + "LH: . b . b\n" + FOOT),
    (
        "the hi-hat foot joins on two and four",
        HAT + BACK + FOOT,
        "RH ride: xx xx xx xx\n" + BACK + FOOT + "LF: . x . x\n",
    ),
    (
        "triplets in the hand over straight feet",
        "RH: xx xx xx xx\nRF: xx xx xx xx\n",
        "RH: xxx xxx xxx xxx\nRF: xx xx xx xx\n",
    ),
    (
        "the hand goes round three drums",
        "RH snare: xx xx xx xx\n" + FOOT,
        "RH snare: xx .. .. xx\nRH high-tom: .. xx .. ..\nRH floor-tom: .. .. xx ..\n" + FOOT,
    ),
    (
        "the hat opens off the beat and the foot shuts it",
        "RH: xx xx xx xx\nRF: x . x .\n",
        "RH hi-hat: xx x. xx x.\nRH hi-hat-open: .. .x .. .x\nRF: x . x .\nLF: x . x .\n",
    ),
    (
        "sixteenths with two pedals instead of eighths",
        "RH ride: x x x x\nRF: x x x x\nLF bass-drum: .x .x .x .x\n",
        "RH ride: x x x x\nRF: x.x. x.x. x.x. x.x.\nLF bass-drum: .x.x .x.x .x.x .x.x\n",
    ),
    (
        "the backbeat comes a sixteenth late",
        HAT + BACK + FOOT,
        HAT + "LH: .... .x.. .... .x..\n" + FOOT,
    ),
    (
        "the left foot on the offbeats, not on two and four",
        "RH ride: x x x x\nLH: . x . x\nRF: x . x .\nLF: . x . x\n",
        "RH ride: x x x x\nLH: . x . x\nRF: x . x .\nLF: .x .x .x .x\n",
    ),
    (
        "linear sixteenths instead of linear eighths",
        "RH: x. .x .. x.\nLH: .. x. .x ..\nRF: .x .. x. .x\n",
        "RH: x..x ..x. .x.. x..x\nLH: .x.. x..x ..x. .x..\nRF: ..x. .x.. x..x ..x.\n",
    ),
    (
        "three in the hand across four in the foot instead of four",
        "RH ride: x x x x\nRF: x x x x\n",
        "RH ride: x.. .x. ..x ...\nRF: x x x x\n",
    ),
    (
        "the phrase takes two bars before it repeats",
        HAT + BACK + "RF: x. .. x. ..\n",
        "RH: xx xx xx xx | xx xx xx xx\nLH: . x . x | . x . x\nRF: x. .. x. .. | x. .x x. xx\n",
    ),
    (
        "the left hand has the hat",
        HAT + BACK + FOOT,
        "LH hi-hat: xx xx xx xx\nRH snare: . x . x\n" + FOOT,
    ),
    (
        "both hands in sixteenths instead of one in eighths",
        HAT + "LH: . x . x\n",
        "RH: x.x. x.x. x.x. x.x.\nLH hi-hat: .x.x .x.x .x.x .x.x\n",
    ),
    ("accents off the beat", HAT + BACK, "RH: xX xX xX xX\n" + BACK),
    (
        "paradiddles between hat and snare with the foot instead of singles",
        "RH: x.x. x.x. x.x. x.x.\nLH: .x.x .x.x .x.x .x.x\n" + FOOT,
        "RH: x.xx .x.. x.xx .x..\nLH: .x.. x.xx .x.. x.xx\n" + FOOT,
    ),
    (
        "sextuplets instead of triplets",
        "RH snare: x.x .x. x.x .x.\nLH: .x. x.x .x. x.x\n",
        "RH snare: x.x.x. x.x.x. x.x.x. x.x.x.\nLH: .x.x.x .x.x.x .x.x.x .x.x.x\n",
    ),
    (
        "the snare leaves two and four for the ands",
        HAT + BACK + FOOT,
        HAT + "LH: .. .x .. .x\n" + FOOT,
    ),
    (
        "the beat changes its subdivision",
        "RH: xx xx xx xx\nRF: x . x .\n",
        "RH: xx xxx xx xxx\nRF: x . x .\n",
    ),
    (
        "four limbs instead of three",
        HAT + BACK + FOOT,
        "RH ride: xx xx xx xx\nLH: . x . x\nRF: x . x .\nLF: x x x x\n",
    ),
    (
        "a drag in front of each backbeat",
        "RH: xx .x xx .x\nLH: . x . x\n" + FOOT,
        "RH: xx .x xx .x\nLH: . d . d\n" + FOOT,
    ),
]


def points(typed: str, bpm: int = 84) -> float:
    return grade(read_typed(f"4/4\n{typed}"), bpm, FIVE_PIECE_TWO_PEDALS).total


@pytest.mark.parametrize(("words", "easier", "harder"), PAIRS, ids=[pair[0] for pair in PAIRS])
def test_the_second_is_the_harder(words: str, easier: str, harder: str) -> None:
    assert points(harder) > points(easier), words


@pytest.mark.parametrize("typed", [pair[2] for pair in PAIRS])
def test_faster_is_harder(typed: str) -> None:
    assert points(typed, 100) > points(typed, 70)
