"""The rudiments against the published list, as far as it was read.

Percussive Arts Society, International Drum Rudiments (1984), as collected in the check values:
the 26 stickings that were read (12 of them at second hand) are compared from their beginning; the
three on which public lists disagree are not. For the other eleven there is nothing outside to
compare with but the count and the last hand of the rolls; they are *from memory*.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from exercises.rhythm.figure import Ornament
from exercises.rhythm.library import RUDIMENTS
from exercises.rhythm.limbs import Limb

STRONG = {"seen", "seen_secondary", "reproduced", "computed"}
GRACES = {Ornament.NONE: 0, Ornament.FLAM: 1, Ornament.DRAG: 2}


@pytest.fixture(scope="module")
def published(shared_checks: Path) -> list[dict[str, Any]]:
    every = json.loads((shared_checks / "checks.json").read_text())
    return [entry for entry in every if entry["id"].startswith("A2.rud.")]


def test_names_and_stickings_are_the_published_ones(published: list[dict[str, Any]]) -> None:
    compared = 0
    for entry in published:
        ours = RUDIMENTS[entry["input"]["no"] - 1]
        if entry["status"] not in STRONG:
            assert ours.is_disputed
            continue
        assert ours.title.lower() == entry["input"]["name"].lower()
        theirs = re.sub(r"\(.*\)", "", entry["expected"])
        words = re.findall(r"[rl]*[RL]", theirs)
        assert ours.sticking.split()[: len(words)] == words, ours.title
        compared += 1
    assert compared >= 26


def test_the_figures_play_their_stickings() -> None:
    """Every stroke of the figure is by the hand, and with the grace notes, that the words say."""
    for rudiment in RUDIMENTS:
        words = rudiment.sticking.split()
        assert words
        for number, stroke in enumerate(rudiment.figure.strokes):
            word = words[number % len(words)]
            assert stroke.limb is (Limb.RH if word[-1] == "R" else Limb.LH), rudiment.title
            assert GRACES.get(stroke.ornament, 0) == len(word) - 1, rudiment.title


def test_a_roll_of_n_strokes_has_n_strokes_and_ends_on_the_published_hand(
    shared_checks: Path,
) -> None:
    every = json.loads((shared_checks / "checks.json").read_text())
    (entry,) = [entry for entry in every if entry["id"] == "A2.inv.nstroke"]
    ends = dict(re.findall(r"(\d+) ?([RL])", entry["expected"]))
    named = {"five": 5, "six": 6, "seven": 7, "nine": 9, "ten": 10, "eleven": 11}
    named |= {"thirteen": 13, "fifteen": 15, "seventeen": 17}
    for word, count in named.items():
        (roll,) = [entry for entry in RUDIMENTS if entry.title.lower() == f"{word} stroke roll"]
        first = roll.sticking.replace(" ", "")[:count]
        assert len(roll.figure) % count == 0
        assert first[-1] == ends[str(count)]


# These begin with the same hand every time, or turn round by themselves when they are repeated.
ONE_HAND_LEADS = {1, 6, 8, 9, 11, 12, 14, 19, 27, 28}


def test_alternating_rudiments_come_round_on_the_other_hand() -> None:
    """The second half of the sticking is the first for the other hand, word by word."""
    mirrored = str.maketrans("RLrl", "LRlr")
    for rudiment in RUDIMENTS:
        words = rudiment.sticking.split()
        half = len(words) // 2
        turns = [word.translate(mirrored) for word in words[:half]] == words[half:]
        assert turns == (rudiment.number not in ONE_HAND_LEADS), rudiment.title
