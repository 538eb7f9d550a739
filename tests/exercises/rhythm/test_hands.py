"""When the notes alone do not tell which hand plays."""

from __future__ import annotations

import pytest

from exercises.rhythm.hands import needs_sticking
from exercises.rhythm.library import BY_SLUG
from exercises.rhythm.typed import read_typed


@pytest.mark.parametrize(
    ("typed", "needed"),
    [
        ("4/4\nRH snare: x.xx .x.. x.xx .x..\nLH snare: .x.. x.xx .x.. x.xx", True),
        ("4/4\nRH hi-hat: x.x. x.x. x.x. x.x.\nLH snare: .... x... .... x...", False),
        ("4/4\nRH snare: x.x. x.x. x.x. x.x.", False),
    ],
)
def test_only_hands_that_share_a_place_on_the_staff(typed: str, needed: bool) -> None:
    assert needs_sticking(read_typed(typed)) is needed


def test_a_paradiddle_of_the_library_has_its_letters_and_a_rock_beat_has_not() -> None:
    assert needs_sticking(BY_SLUG["pad-paradiddle"].figure)
    assert not needs_sticking(BY_SLUG["rock-first-beat"].figure)
