"""What each family of moves does, refuses and undoes."""

from __future__ import annotations

import pytest

from exercises.rhythm.errors import Refused, RhythmError
from exercises.rhythm.figure import Figure, Loudness, Ornament
from exercises.rhythm.kit import FIVE_PIECE, FIVE_PIECE_TWO_PEDALS, KITS
from exercises.rhythm.library import CORES
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.moves import (
    AddOstinato,
    ChangeFeel,
    ChangeRate,
    ChangeSubdivision,
    Cut,
    Direction,
    Displace,
    Feel,
    FillIn,
    Gaps,
    Linear,
    NoteValue,
    Ornaments,
    Place,
    Restick,
    Speed,
    SwapHands,
    from_code,
)
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed import read_typed

ROCK = "4/4\nRH hi-hat: xx xx xx xx\nLH snare: . X . X\nRF bass-drum: x . xx ."
SINGLES = "4/4\nRH snare: x.x. x.x. x.x. x.x.\nLH snare: .x.x .x.x .x.x .x.x"
every_core = pytest.mark.parametrize("core", CORES, ids=lambda core: core.slug)


def after(text: str, *codes: str) -> Figure:
    """The figure that a row of codes makes of a typed figure, each move tried on the full kit."""
    figure = read_typed(text)
    for code in codes:
        figure = from_code(code).apply(figure, FIVE_PIECE)
    return figure


def refused(text: str, code: str) -> str:
    """Why a move is refused."""
    with pytest.raises(Refused) as no:
        from_code(code).apply(read_typed(text), FIVE_PIECE)
    return str(no.value)


class TestOstinato:
    def test_off_the_beat_falls_between(self) -> None:
        figure = after("4/4\nRF: x x x x", "ostinato.RH.ride.4.off")

        assert figure == read_typed("4/4\nRH ride: .x .x .x .x\nRF: x x x x")

    def test_follows_the_meters_own_note_values(self) -> None:
        figure = after("6/8\nRF: x.. x..", "ostinato.RH.ride.8.on")

        assert figure == read_typed("6/8\nRH ride: xxx xxx\nRF: x.. x..")

    def test_runs_over_the_bar_line_in_odd_meters(self) -> None:
        figure = after("7/8\nRF: x. x. x.. | x. x. x..", "ostinato.RH.ride.4.on")

        assert len(figure.line(Limb.RH)) == 7

    def test_refuses_a_busy_limb(self) -> None:
        assert refused(ROCK, "ostinato.RH.ride.4.on") == "the right hand is already busy"

    def test_refuses_a_value_that_does_not_divide_the_beat(self) -> None:
        assert "do not divide the beat of 6/8" in refused("6/8\nRF: x x", "ostinato.RH.ride.8t.on")

    def test_changing_nothing_is_refused(self) -> None:
        assert "already so" in refused(ROCK, "ostinato.RH.hi_hat.8.on")
        assert "already so" in refused(ROCK, "subdivision.RH.8")

    @pytest.mark.parametrize("there", list(NoteValue))
    @pytest.mark.parametrize("back", list(NoteValue))
    def test_a_changed_subdivision_changes_back(self, there: NoteValue, back: NoteValue) -> None:
        core = read_typed("4/4\nRF: x x x x | x x x x | x x x x")
        start = AddOstinato(Limb.RH, Surface.RIDE, back).derive(core)
        if there is back:
            return

        changed = ChangeSubdivision(Limb.RH, there).derive(start)

        assert ChangeSubdivision(Limb.RH, back).derive(changed) == start

    def test_keeps_the_loudness_of_strokes_that_stay(self) -> None:
        figure = after("4/4\nRH ride: X x X x\nRF: x . x .", "subdivision.RH.8")

        assert figure == read_typed("4/4\nRH ride: XX xX XX xX\nRF: x . x .")

    def test_an_uneven_line_has_no_subdivision_to_change(self) -> None:
        assert "no even ostinato" in refused(ROCK, "subdivision.RF.8")

    def test_leaving_out_undoes_adding(self) -> None:
        core = read_typed("4/4\nRF: x . x .")
        added = AddOstinato(Limb.RH, Surface.RIDE, NoteValue.EIGHTH, Place.OFF).derive(core)

        assert from_code("rest.RH").derive(added) == core

    def test_somebody_goes_on_playing(self) -> None:
        assert "nothing would be left" in refused("4/4\nRF: x . x .", "rest.RF")

    def test_an_even_spread_starts_again_with_each_bar(self) -> None:
        figure = after("4/4\nRF: x x x x | x x x x", "spread.LH.snare.3.8.0")

        assert figure.line(Limb.LH) == read_typed("4/4\nLH: x. .x .. x. | x. .x .. x.").line(
            Limb.LH
        )

    def test_an_even_spread_needs_steps_that_can_be_written(self) -> None:
        assert "does not divide" in refused("4/4\nRF: x . . .", "spread.LH.snare.5.11.0")


class TestDensity:
    def test_thinning_everything_away_is_refused(self) -> None:
        assert "nothing left" in refused(ROCK, "thin.LH.1.2.drop")

    def test_keeping_the_beats_of_eighths_is_the_subdivision_in_quarters(self) -> None:
        assert after(ROCK, "thin.RH.1.2.keep") == after(ROCK, "subdivision.RH.4")

    def test_fills_the_silences_of_all(self) -> None:
        figure = after("4/4\nRH: x x x x\nRF: .x .. .x ..", "fill.LH.snare.8.all.ghost")

        assert figure == read_typed("4/4\nRH: x x x x\nLH: .. .g .. .g\nRF: .x .. .x ..")

    def test_finds_nothing_to_fill(self) -> None:
        assert "already so" in refused(
            "4/4\nRH: xx xx xx xx\nRF: x . x .", "fill.LH.snare.8.all.ghost"
        )

    def test_fills_between_the_hands(self) -> None:
        figure = after("4/4\nRH: x x x x\nLH: . X . X", "fill.LH.snare.8.hands.ghost")

        assert figure == read_typed("4/4\nRH: x x x x\nLH: .g Xg .g Xg")

    def test_reads_only_the_limbs_whose_silences_count(self) -> None:
        fill = FillIn(Limb.RF, Surface.BASS_DRUM, NoteValue.EIGHTH, Gaps.HANDS)

        assert fill.reads(Limb.RF) == (Limb.RH, Limb.LH, Limb.RF)


class TestHands:
    @every_core
    def test_swapping_twice_is_no_change(self, core: object) -> None:
        figure = core.figure  # type: ignore[attr-defined]
        try:
            swapped = SwapHands().derive(figure)
        except Refused:
            return
        assert SwapHands().derive(swapped) == figure

    def test_singles_can_be_stuck_anew_and_back(self) -> None:
        paradiddles = after(SINGLES, "stick.RLRRLRLL.hands.R")

        assert paradiddles == read_typed(
            "4/4\nRH snare: x.xx .x.. x.xx .x..\nLH snare: .x.. x.xx .x.. x.xx"
        )
        assert from_code("stick.RL.hands.R").apply(paradiddles, FIVE_PIECE) == read_typed(SINGLES)

    def test_the_left_hand_may_lead(self) -> None:
        left_first = after(SINGLES, "stick.RL.hands.L")

        assert left_first == after(SINGLES, "swap")

    def test_refuses_hands_that_strike_together(self) -> None:
        assert "strike together" in refused(ROCK, "stick.RL.hands.R")

    def test_feet_need_two_pedals(self) -> None:
        figure = read_typed("4/4\nRF: xxxx xxxx xxxx xxxx")
        move = from_code("stick.RL.feet.R")

        assert isinstance(move, Restick)
        assert len(move.apply(figure, FIVE_PIECE_TWO_PEDALS).line(Limb.LF)) == 8
        with pytest.raises(Refused, match="pedal"):
            move.apply(figure, FIVE_PIECE)

    def test_feet_on_two_pedals_of_different_kinds_are_refused(self) -> None:
        assert "bass drum" in refused("4/4\nRF: x. x. x. x.\nLF: .x .x .x .x", "stick.RL.feet.R")


class TestOrchestration:
    def test_both_hands_count_strokes_together(self) -> None:
        figure = after(SINGLES, "round.RH~LH.snare~high_tom.4s")

        beats = {(int(s.onset), s.surface) for s in figure.strokes}
        assert beats == {
            (0, Surface.SNARE),
            (1, Surface.HIGH_TOM),
            (2, Surface.SNARE),
            (3, Surface.HIGH_TOM),
        }

    @pytest.mark.parametrize(
        ("every", "stops"),
        [("1b", "shsh"), ("2b", "sshh"), ("half", "sshh"), ("1s", "shsh"), ("2s", "sshh")],
    )
    def test_moves_on_as_often_as_told(self, every: str, stops: str) -> None:
        figure = after("4/4\nRH snare: x x x x", f"round.RH.snare~high_tom.{every}")

        assert "".join(s.surface.value[0] for s in figure.strokes) == stops

    def test_a_whole_bar_on_each(self) -> None:
        figure = after("4/4\nRH snare: x x x x | x x x x", "round.RH.snare~high_tom.bar")

        assert [s.surface for s in figure.strokes[3:5]] == [Surface.SNARE, Surface.HIGH_TOM]

    def test_accents_need_to_be_there(self) -> None:
        assert "no accents" in refused("4/4\nLH: . x . x", "accents-to.LH.high_tom")

    def test_a_foot_that_shuts_the_hi_hat_is_named(self) -> None:
        reason = refused("4/4\nRH hi-hat: xx xx xx xx\nLF: . x . x", "open.RH.1-x-x.hi_hat_open")

        assert "left foot" in reason

    def test_nothing_to_open(self) -> None:
        assert "no closed hi-hat" in refused("4/4\nRH ride: x x x x", "open.RH.1x.hi_hat_open")


class TestLoudness:
    def test_accents_move_and_ghosts_stay(self) -> None:
        figure = after("4/4\nLH snare: Xg xg Xg xg", "accents.LH.1-x-x")

        assert figure == read_typed("4/4\nLH snare: xg Xg xg Xg")

    def test_balance_sets_the_limbs_it_names(self) -> None:
        figure = after(ROCK, "balance.soft.0.accent.0")

        assert {s.loudness for s in figure.line(Limb.RH)} == {Loudness.SOFT}
        assert {s.loudness for s in figure.line(Limb.RF)} == {Loudness.ACCENT}
        assert figure.line(Limb.LH) == read_typed(ROCK).line(Limb.LH)


class TestTiming:
    @every_core
    @pytest.mark.parametrize("value", list(NoteValue))
    def test_later_and_earlier_undo_each_other(self, core: object, value: NoteValue) -> None:
        figure = core.figure  # type: ignore[attr-defined]
        try:
            later = Displace(LIMBS, value, Direction.LATER).derive(figure)
        except Refused:
            return
        assert Displace(LIMBS, value, Direction.EARLIER).derive(later) == figure

    @every_core
    @pytest.mark.parametrize("cut", list(Cut))
    def test_the_feel_changes_back(self, core: object, cut: Cut) -> None:
        figure = core.figure  # type: ignore[attr-defined]
        try:
            triplets = ChangeFeel(Feel.TRIPLET, cut).derive(figure)
        except Refused:
            return
        assert ChangeFeel(Feel.STRAIGHT, cut).derive(triplets) == figure

    @every_core
    def test_half_the_rate_and_double_again(self, core: object) -> None:
        figure = core.figure  # type: ignore[attr-defined]
        slower = ChangeRate(Speed.HALF).derive(figure)

        assert slower.bars == figure.bars * 2
        assert ChangeRate(Speed.DOUBLE).derive(slower) == figure

    def test_double_the_rate_of_one_bar_is_played_twice(self) -> None:
        figure = after("4/4\nRF: x . x .", "rate.double")

        assert figure == read_typed("4/4\nRF: x x x x")

    def test_sixteenths_have_no_eighths_feel(self) -> None:
        assert "more than eighths" in refused(SINGLES, "feel.triplet.8")

    def test_a_compound_beat_has_its_feel(self) -> None:
        assert "cut in three" in refused("6/8\nRH: xxx xxx", "feel.triplet.8")

    def test_too_many_bars_are_refused(self) -> None:
        bars = " | ".join(["x x x x"] * 8)

        assert "16 bars" in refused(f"4/4\nRH: {bars}", "rate.half")

    def test_an_odd_bar_cannot_be_halved_beyond_ticks(self) -> None:
        assert "too fine" in refused("4/4\nRH: xxxxxxxx xxxxxxxx x x", "rate.double")


class TestRoundTheKit:
    @pytest.mark.parametrize("every", ["1s", "1b", "half"])
    def test_an_idle_hand_may_go_along_but_not_alone(self, every: str) -> None:
        text = "4/4\nLH snare: x x x x"
        code = f"round.RH~LH.snare~floor_tom.{every}"
        move = from_code(code)

        assert set(move.reads(Limb.RH)) == {Limb.RH, Limb.LH}
        assert {s.surface for s in move.apply(read_typed(text), FIVE_PIECE).line(Limb.LH)} == {
            Surface.SNARE,
            Surface.FLOOR_TOM,
        }
        assert "nothing to take" in refused("4/4\nRF: x x x x", code)


class TestOrnaments:
    def test_flams_come_and_go(self) -> None:
        text = "4/4\nLH snare: . X . X\nRF: x . x ."
        flams = after(text, "ornament.LH.flam.accents")

        assert {s.ornament for s in flams.line(Limb.LH)} == {Ornament.FLAM}
        undo = Ornaments((Limb.LH,), Ornament.NONE)
        assert undo.apply(flams, FIVE_PIECE) == read_typed(text)

    def test_cymbals_are_left_alone(self) -> None:
        assert "no drum stroke" in refused("4/4\nRH ride: X x X x", "ornament.RH.flam.accents")

    def test_the_other_hand_has_to_be_free(self) -> None:
        assert "same moment" in refused(ROCK, "ornament.LH.flam.accents")

    def test_a_buzz_needs_one_hand_only(self) -> None:
        buzzed = after(ROCK, "ornament.LH.buzz.accents")

        assert {s.ornament for s in buzzed.line(Limb.LH)} == {Ornament.BUZZ}
        assert from_code("ornament.LH.buzz.accents").words == "left hand: buzzes on the accents"

    def test_a_buzz_needs_a_drum(self) -> None:
        assert "no drum stroke" in refused("4/4\nRH ride: X x X x", "ornament.RH.buzz.accents")


class TestLinear:
    @every_core
    def test_no_two_limbs_together_afterwards(self, core: object) -> None:
        figure = core.figure  # type: ignore[attr-defined]
        order = (Limb.LH, Limb.RF, Limb.RH, Limb.LF)
        try:
            linear = Linear(order).derive(figure)
        except Refused:
            linear = figure
        onsets = [s.onset for s in linear.strokes]

        assert len(set(onsets)) == len(onsets)
        assert set(onsets) == {s.onset for s in figure.strokes}

    def test_the_order_names_every_limb(self) -> None:
        with pytest.raises(RhythmError):
            Linear((Limb.RH, Limb.RH, Limb.RF, Limb.LF))


class TestKits:
    def test_a_pad_has_no_kit_to_travel(self) -> None:
        figure = read_typed("4/4\nRH pad: x.x. x.x. x x\nLH pad: .x.x .x.x . .")

        with pytest.raises(Refused, match="not on this kit"):
            from_code("on.RH.ride").apply(figure, KITS["pad"])
