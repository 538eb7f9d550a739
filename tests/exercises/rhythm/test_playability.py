"""What cannot be played, and that the reason names limb and place."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from exercises.rhythm.errors import Refused
from exercises.rhythm.figure import Figure
from exercises.rhythm.kit import FIVE_PIECE, KITS, mirror
from exercises.rhythm.limbs import Limb
from exercises.rhythm.playability import check, refusal
from exercises.rhythm.surfaces import Surface
from tests.exercises.rhythm.boxes import Row, boxes
from tests.strategies import figures, sensible_figures

CASES: list[tuple[str, dict[str, Row], list[str]]] = [
    ("a hand on a pedal", {"RH": ("bass", "..x.")}, ["right hand", "bass drum", "beat 1 &"]),
    ("a hand on the foot's hi-hat", {"LH": ("hihat_foot", "x...")}, ["left hand", "beat 1"]),
    ("a foot on a drum", {"LF": ("snare", "....x...")}, ["left foot", "snare", "beat 2"]),
    ("a second bass pedal", {"LF": ("bass", "...x")}, ["left foot", "only one", "beat 1 a"]),
    ("the far pedal", {"RF": ("hihat_foot", "x...")}, ["right foot", "left foot", "beat 1"]),
    ("a piece that is not there", {"RH": ("china", ".x..")}, ["right hand", "china", "beat 1 e"]),
    (
        "two sticks on one snare",
        {"RH": ("snare", "....x..."), "LH": ("snare", "x...x...")},
        ["both hands", "snare", "beat 2"],
    ),
    (
        "a rim shot beside a cross-stick",
        {"RH": ("rim_shot", "x..."), "LH": ("cross_stick", "x...")},
        ["both hands", "beat 1"],
    ),
    (
        "shut and open at once",
        {"RH": ("hihat", "..o."), "LF": ("hihat_foot", "..x.")},
        ["left foot", "right hand", "beat 1 &"],
    ),
    (
        "shut and half-open at once",
        {"LH": ("hi_hat_half_open", "x..."), "LF": ("hihat_foot", "x...")},
        ["left foot", "left hand", "beat 1"],
    ),
    (
        "a grace stroke by a busy hand",
        {"RH": ("snare", "f..."), "LH": ("floor_tom", "x...")},
        ["left hand", "flam", "floor tom", "beat 1"],
    ),
    (
        "a drag by a busy hand",
        {"RH": ("snare", "x..."), "LH": ("snare", "d...")},
        ["right hand", "drag", "beat 1"],
    ),
    ("a flam with the foot", {"RF": ("bass", "f...")}, ["right foot", "flam", "beat 1"]),
]

FINE: list[tuple[str, dict[str, Row]]] = [
    ("nothing at all", {}),
    ("a flam", {"RH": ("snare", "f...")}),
    ("a flam written with both hands", {"RH": ("snare", "f..."), "LH": ("snare", "x...")}),
    ("both hands on the wide floor tom", {"RH": ("floor_tom", "x"), "LH": ("floor_tom", "x")}),
    ("both hands on two drums", {"RH": ("snare", "x"), "LH": ("high_tom", "x")}),
    ("an open hi-hat before the chick", {"RH": ("hihat", "o..."), "LF": ("hihat_foot", "..x.")}),
    ("a closed hi-hat with the chick", {"RH": ("hihat", "x"), "LF": ("hihat_foot", "x")}),
    (
        "all four",
        {"RH": ("ride", "x"), "LH": ("snare", "x"), "RF": ("bass", "x"), "LF": ("hihat_foot", "x")},
    ),
]


@pytest.mark.parametrize(("what", "limbs", "words"), CASES, ids=[what for what, *_ in CASES])
def test_is_refused_with_limb_and_place(what: str, limbs: dict[str, Row], words: list[str]) -> None:
    reason = refusal(boxes(limbs), FIVE_PIECE)

    assert reason is not None
    assert all(word in reason for word in words), reason
    with pytest.raises(Refused) as refused:
        check(boxes(limbs), FIVE_PIECE)
    assert str(refused.value) == reason


@pytest.mark.parametrize(("what", "limbs"), FINE, ids=[what for what, _ in FINE])
def test_is_not_refused(what: str, limbs: dict[str, Row]) -> None:
    assert refusal(boxes(limbs), FIVE_PIECE) is None
    check(boxes(limbs), FIVE_PIECE)


def test_two_bass_pedals_are_for_both_feet() -> None:
    figure = boxes({"RF": ("bass", "x.x."), "LF": ("bass", ".x.x")})

    assert refusal(figure, FIVE_PIECE) is not None
    assert refusal(figure, KITS["five_piece_two_pedals"]) is None


def test_the_bar_is_named_when_there_are_several() -> None:
    reason = refusal(boxes({"RF": ("snare", "." * 20 + "x" + "." * 11)}, bars=2), FIVE_PIECE)

    assert reason is not None
    assert "bar 2, beat 2" in reason


@settings(max_examples=60)
@given(sensible_figures())
def test_the_mirrored_kit_refuses_the_mirrored_figure(figure: Figure) -> None:
    here, there = refusal(figure, FIVE_PIECE), refusal(mirror(figure), FIVE_PIECE.mirrored())

    assert (here is None) == (there is None)


@settings(max_examples=60)
@given(figures())
def test_a_reason_names_a_limb_and_a_place(figure: Figure) -> None:
    reason = refusal(figure, FIVE_PIECE)

    if reason is not None:
        assert any(limb.spoken in reason for limb in Limb) or "both hands" in reason
        assert "beat" in reason or "count" in reason


@settings(max_examples=60)
@given(figures())
def test_what_is_playable_keeps_hands_off_pedals(figure: Figure) -> None:
    if refusal(figure, FIVE_PIECE) is None:
        assert all(stroke.limb.is_foot == stroke.surface.by_foot for stroke in figure.strokes)
        assert all(
            not {Surface.HI_HAT_FOOT, Surface.HI_HAT_OPEN} <= {s.surface for s in strokes}
            for _, strokes in figure.moments()
        )
