"""Codes: short, fit for a URL, read back to the same move, and nothing else is accepted."""

from __future__ import annotations

from urllib.parse import quote

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from exercises.rhythm.errors import RhythmError
from exercises.rhythm.library import CORES, LibraryFigure
from exercises.rhythm.moves import MOVE_KINDS, MOVES, Balance, from_code, menu, to_code
from exercises.rhythm.moves.values import Pattern

MENUS = [move for core in CORES for move in menu(core.figure, core.kit)]


class TestToCode:
    @pytest.mark.parametrize("core", CORES, ids=lambda core: core.slug)
    def test_reads_back_to_the_same_move(self, core: LibraryFigure) -> None:
        for move in menu(core.figure, core.kit):
            assert from_code(to_code(move)) == move

    def test_needs_no_escaping_and_is_short(self) -> None:
        for move in MENUS:
            code = to_code(move)
            assert quote(code, safe="") == code
            assert len(code) <= 80

    def test_tells_different_moves_apart(self) -> None:
        different = set(MENUS)

        assert len({to_code(move) for move in different}) == len(different)

    def test_writes_what_is_not_set_as_nought(self) -> None:
        code = "balance.0.soft.0.0"

        move = from_code(code)

        assert isinstance(move, Balance)
        assert move.right_hand is None
        assert to_code(move) == code


class TestFromCode:
    @pytest.mark.parametrize(
        "junk",
        [
            "",
            ".",
            "nonsense",
            "rest",
            "rest.XX",
            "rest.RF.LF",
            "rest.RF\n",
            "rest.RF ",
            "rest.rf",
            "ostinato.RH.ride.7.on",
            "ostinato.RH.ride.8",
            "spread.LH.snare.9.8.0",
            "spread.LH.snare.3.8.8",
            "spread.LH.snare.0.8.0",
            "spread.LH.snare.-3.8.0",
            "spread.LH.snare.٣.8.0",
            "spread.LH.snare.03.8.0",
            "spread.LH.snare.99999999999999999999.8.0",
            "bass.x--.RF",
            "bass.4----.RF",
            "bass.9x.RF",
            "bass.4.RF",
            "bass.4x.RH",
            "bass.4" + "x" * 65 + ".RF",
            "pedal.4x.snare.LF",
            "balance.0.0.0.0",
            "linear.RH~LH~RF~RF",
            "linear.RH~LH",
            "displace.LH~RH.8.later",
            "displace..8.later",
            "accents.RF.4x",
            "accents.LH~RH.4x",
            "round.RH.snare.1s",
            "open.RH.2x.ride",
            "line.RF.snare.2x",
            "thin.RH.3.2.drop",
            "thin.RH.0.2.drop",
            "swap.RH",
            "x" * 5000,
        ],
    )
    def test_refuses_junk_with_a_sentence(self, junk: str) -> None:
        with pytest.raises(RhythmError) as refusal:
            from_code(junk)

        assert len(str(refusal.value)) < 200

    @given(st.text(max_size=60))
    @example("swap")
    def test_reads_a_move_or_refuses(self, text: str) -> None:
        try:
            move = from_code(text)
        except RhythmError:
            return
        assert to_code(move) == text

    @given(
        st.sampled_from(sorted(MOVE_KINDS)),
        st.lists(
            st.text("RLHF0123456789x-~gXs", min_size=0, max_size=8)
            | st.sampled_from(["RH", "LH", "snare", "8", "on", "later", "4x--", "R", "hands"]),
            max_size=6,
        ),
    )
    def test_reads_a_move_or_refuses_near_misses(self, kind: str, parts: list[str]) -> None:
        code = ".".join((kind, *parts))
        try:
            move = from_code(code)
        except RhythmError:
            return
        assert from_code(to_code(move)) == move

    def test_is_not_fooled_by_something_that_is_no_text(self) -> None:
        with pytest.raises(RhythmError):
            from_code(None)  # type: ignore[arg-type]


class TestKinds:
    def test_every_kind_has_its_own_code_and_label(self) -> None:
        assert len(MOVE_KINDS) == len(MOVES)
        assert len({move.label for move in MOVES}) == len(MOVES)


class TestPatternWords:
    @pytest.mark.parametrize(
        ("code", "words"),
        [
            ("1x-x-", "on 1 and 3"),
            ("2x--xx---", "on 1, 2& and 3"),
            ("4x------x--x-----", "on 1, 2a and 3&"),
            ("3x-----x-x---", "on 1, 3 and 3 let"),
            ("2-x", "on the & of every beat"),
            ("4x-xx", "on the first, & and a of every beat"),
            ("1x", "on every beat"),
            ("4xxxx", "4 to the beat"),
            ("4x--", "on every third step, with 4 steps to the beat"),
            ("3x-", "on every second step, with 3 steps to the beat"),
        ],
    )
    def test_say_where_it_plays(self, code: str, words: str) -> None:
        assert Pattern.parse(code).spoken == words
