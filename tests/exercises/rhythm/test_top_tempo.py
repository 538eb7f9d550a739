"""The highest tempo, and the stroke that binds it."""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from exercises.rhythm.figure import TICKS_PER_BEAT, Figure, Ornament, Stroke
from exercises.rhythm.kit import FIVE_PIECE, KITS, Role, mirror
from exercises.rhythm.limbs import Limb
from exercises.rhythm.limits import (
    DOUBLE_SECONDS,
    MOST_BPM,
    SECONDS_PER_BIT,
    STROKES_PER_SECOND,
    journey_seconds,
    run_seconds,
)
from exercises.rhythm.playability import refusal
from exercises.rhythm.surfaces import Piece, Surface
from exercises.rhythm.top_tempo import top_tempo
from tests.exercises.rhythm.boxes import Row, boxes
from tests.strategies import sensible_figures


def top(limbs: dict[str, Row], **how: object) -> int:
    return top_tempo(boxes(limbs, **how), FIVE_PIECE).bpm  # type: ignore[arg-type]


def test_one_hand_in_sixteenths_stops_at_its_rate() -> None:
    found = top_tempo(boxes({"RH": ("hihat", "x" * 16)}), FIVE_PIECE)

    assert found.bpm == int(60 * STROKES_PER_SECOND[Role.STRONG_HAND].value / 4)
    assert found.binding.startswith("right hand, hi-hat kept up, beat ")


def test_the_weaker_hand_and_the_feet_stop_earlier() -> None:
    row = "x" * 16

    right, left = top({"RH": ("snare", row)}), top({"LH": ("snare", row)})
    bass, hat = top({"RF": ("bass", row)}), top({"LF": ("hihat_foot", row)})

    assert right > left > bass > hat


def test_a_double_may_be_faster_than_a_run() -> None:
    assert top({"RH": ("snare", "xx..xx..xx..xx..")}) > top({"RH": ("snare", "x" * 16)})


def test_travel_binds_and_is_named() -> None:
    figure = boxes({"LH": (["floor_tom", "hihat", "floor_tom", "hihat"], "...xx......xx...")})

    found = top_tempo(figure, FIVE_PIECE)

    assert found.binding == "left hand, floor tom to hi-hat, beat 2"
    assert found.bpm < top({"LH": ("hihat", "...xx......xx...")})


def test_the_step_from_the_last_stroke_to_the_first_counts() -> None:
    far = boxes({"RH": (["hihat", "hihat", "hihat", "floor_tom"], "x..............x")})

    found = top_tempo(far, FIVE_PIECE)

    assert found.binding == "right hand, floor tom to hi-hat, beat 1"


def test_the_bar_is_named_when_there_are_several() -> None:
    figure = boxes({"RF": ("bass", "x...............x..x.xxx........")}, bars=2)

    assert "bar 2, beat 2" in top_tempo(figure, FIVE_PIECE).binding


def test_grace_strokes_cost_the_hand_that_plays_them() -> None:
    plain: dict[str, Row] = {"RH": ("snare", "x.x.x.x."), "LH": ("floor_tom", ".x.x.x.x")}
    flammed: dict[str, Row] = {**plain, "RH": ("snare", "f.x.x.x.")}

    assert top(flammed) < top(plain)
    assert top_tempo(boxes(flammed), FIVE_PIECE).binding.startswith("left hand")


def test_a_drag_needs_longer_than_a_flam() -> None:
    def after_a_stroke(ornament: str) -> dict[str, Row]:
        return {"RH": ("snare", f"..{ornament}."), "LH": ("snare", "xx..")}

    assert top(after_a_stroke("d")) < top(after_a_stroke("f"))


def test_the_second_pedal_is_a_journey_away() -> None:
    figure = boxes({"LF": (["hihat_foot", "bass"], "...xx..." * 2)})
    kit = KITS["five_piece_two_pedals"]

    assert top_tempo(figure, kit).binding == "left foot, hi-hat foot to bass drum, beat 2"


def test_nothing_binds_an_empty_figure() -> None:
    found = top_tempo(Figure.of("4/4", 1, []), FIVE_PIECE)

    assert found.bpm == MOST_BPM
    assert str(MOST_BPM) in found.binding


class TestLimits:
    @pytest.mark.parametrize("limits", [STROKES_PER_SECOND, DOUBLE_SECONDS, SECONDS_PER_BIT])
    def test_say_where_they_come_from(self, limits: dict[Role, object]) -> None:
        assert set(limits) == set(Role)
        assert all(getattr(limit, "source", "") for limit in limits.values())

    def test_are_stricter_for_the_weaker_hand_and_the_feet(self) -> None:
        in_order = list(Role)
        assert in_order[:2] == [Role.STRONG_HAND, Role.WEAK_HAND]
        for limits, sign in ((STROKES_PER_SECOND, -1), (DOUBLE_SECONDS, 1), (SECONDS_PER_BIT, 1)):
            values = [sign * limits[role].value for role in in_order]
            assert values == sorted(values)
            assert len(set(values)) == len(values)

    def test_grow_with_distance(self) -> None:
        snare, hat = FIVE_PIECE.where(Piece.SNARE), FIVE_PIECE.where(Piece.HI_HAT)
        far = FIVE_PIECE.where(Piece.RIDE)
        role = Role.STRONG_HAND

        assert journey_seconds(role, snare, snare) == run_seconds(role)
        assert run_seconds(role) < journey_seconds(role, snare, hat)
        assert journey_seconds(role, snare, hat) < journey_seconds(role, hat, far)


@settings(max_examples=60)
@given(sensible_figures())
def test_is_the_same_for_the_other_handed_player(figure: Figure) -> None:
    here = top_tempo(figure, FIVE_PIECE)
    there = top_tempo(mirror(figure), FIVE_PIECE.mirrored())

    assert here.bpm == there.bpm
    for limb in Limb:
        if here.binding.startswith(limb.spoken):
            assert there.binding == limb.other_side.spoken + here.binding[len(limb.spoken) :]


@settings(max_examples=60)
@given(sensible_figures(max_bars=1), st.sampled_from(list(Limb)))
def test_leaving_a_limb_out_never_slows_it(figure: Figure, limb: Limb) -> None:
    assume(refusal(figure, FIVE_PIECE) is None)
    without = figure.replacing({limb: ()})

    assert top_tempo(without, FIVE_PIECE).bpm >= top_tempo(figure, FIVE_PIECE).bpm


@settings(max_examples=40)
@given(sensible_figures(max_bars=1, max_strokes=12))
def test_is_half_as_high_for_the_figure_twice_as_dense(figure: Figure) -> None:
    denser = [
        Stroke(onset, s.limb, s.surface, s.loudness, s.ornament)
        for s in figure.strokes
        for onset in (s.onset / 2, (s.onset + figure.length_beats) / 2)
        if TICKS_PER_BEAT % onset.denominator == 0
    ]
    assume(len(denser) == 2 * len(figure))
    assume(all(s.ornament is not Ornament.DRAG for s in figure.strokes))
    slow = top_tempo(Figure.of(figure.meter, 1, denser), FIVE_PIECE).bpm
    quick = top_tempo(figure, FIVE_PIECE).bpm

    assert slow <= quick
    if quick < MOST_BPM:
        assert slow in (quick // 2, quick // 2 + quick % 2)


def test_surfaces_of_one_piece_are_no_journey() -> None:
    figure = boxes({"RH": (["hihat", "hi_hat_half_open"], "x.x.x.x.")})

    assert " to " not in top_tempo(figure, FIVE_PIECE).binding
    assert figure.line(Limb.RH)[2].surface is Surface.HI_HAT_HALF_OPEN
