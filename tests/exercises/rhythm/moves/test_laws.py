"""What is true of every move on every figure."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from exercises.rhythm.errors import Refused
from exercises.rhythm.figure import Figure, Line
from exercises.rhythm.kit import FIVE_PIECE, FIVE_PIECE_TWO_PEDALS
from exercises.rhythm.library import CORES, LibraryFigure
from exercises.rhythm.limbs import LIMBS
from exercises.rhythm.moves import ChangeRate, Frame, Move, from_code, menu, to_code
from exercises.rhythm.moves.base import Lines
from exercises.rhythm.playability import refusal
from tests.strategies import sensible_figures

every_core = pytest.mark.parametrize("core", CORES, ids=lambda core: core.slug)


def applied(move: Move, figure: Figure) -> Figure | str:
    """What the move makes of the figure, or why it is refused."""
    try:
        return move.apply(figure, FIVE_PIECE)
    except Refused as no:
        return str(no)


def check_laws(move: Move, figure: Figure) -> None:
    result = applied(move, figure)
    assert applied(move, figure) == result
    if isinstance(result, str):
        assert result
        return
    assert refusal(result, FIVE_PIECE) is None
    assert result != figure
    assert result.meter == figure.meter
    assert result.title == figure.title
    if not isinstance(move, ChangeRate):
        assert result.bars == figure.bars
    for limb in LIMBS:
        if limb not in move.limbs:
            assert result.line(limb) == figure.line(limb)
    assert from_code(to_code(move)).apply(figure, FIVE_PIECE) == result


def only(lines: Lines, kept: tuple[int, ...]) -> Lines:
    a, b, c, d = (line if rank in kept else () for rank, line in enumerate(lines))
    return (a, b, c, d)


def outcome(move: Move, rank: int, lines: Lines, frame: Frame) -> Line | str:
    try:
        return move.line_after(LIMBS[rank], lines, frame)
    except Refused as no:
        return str(no)


def check_reads(move: Move, figure: Figure) -> None:
    """A line afterwards depends on nothing but the lines that the move says it reads."""
    frame = Frame(figure.meter, figure.bars)
    for limb in move.limbs:
        rank = LIMBS.index(limb)
        kept = tuple(LIMBS.index(one) for one in move.reads(limb))
        assert outcome(move, rank, figure.lines, frame) == outcome(
            move, rank, only(figure.lines, kept), frame
        )


class TestEveryMoveOfTheMenu:
    @every_core
    def test_keeps_the_laws_on_the_library(self, core: LibraryFigure) -> None:
        for move in menu(core.figure, FIVE_PIECE_TWO_PEDALS):
            check_laws(move, core.figure)
            check_reads(move, core.figure)

    @given(figure=sensible_figures(max_strokes=12), data=st.data())
    def test_keeps_the_laws_on_any_figure(self, figure: Figure, data: st.DataObject) -> None:
        moves = menu(figure, FIVE_PIECE)

        for move in data.draw(st.lists(st.sampled_from(moves), max_size=6)):
            check_laws(move, figure)
            check_reads(move, figure)

    @given(
        figure=sensible_figures(max_strokes=12),
        core=st.sampled_from(CORES),
        data=st.data(),
    )
    def test_keeps_the_laws_where_it_was_not_meant_for(
        self, figure: Figure, core: LibraryFigure, data: st.DataObject
    ) -> None:
        for move in data.draw(st.lists(st.sampled_from(menu(core.figure, FIVE_PIECE)), max_size=6)):
            check_laws(move, figure)
            check_reads(move, figure)

    @every_core
    def test_says_what_it_does_in_plain_english(self, core: LibraryFigure) -> None:
        for move in menu(core.figure, core.kit):
            assert move.words == move.words.strip()
            assert 4 <= len(move.words) <= 160
            assert "_" not in move.words


class TestMenu:
    @every_core
    def test_is_finite_without_doubles_and_in_one_order(self, core: LibraryFigure) -> None:
        moves = menu(core.figure, core.kit)

        assert 40 <= len(moves) <= 200
        assert len(set(moves)) == len(moves)
        assert menu(core.figure, core.kit) == moves

    @every_core
    def test_mostly_leads_somewhere(self, core: LibraryFigure) -> None:
        moves = menu(core.figure, core.kit)
        good = 0
        for move in moves:
            try:
                move.apply(core.figure, core.kit)
            except Refused:
                continue
            good += 1

        assert good >= len(moves) * 0.6

    @given(figure=sensible_figures(max_strokes=8))
    def test_offers_something_from_anywhere(self, figure: Figure) -> None:
        assert menu(figure, FIVE_PIECE)

    def test_offers_every_kind_of_move_somewhere(self) -> None:
        offered = {move.kind for core in CORES for move in menu(core.figure, FIVE_PIECE_TWO_PEDALS)}

        # These two are made to measure, for ladders; no list could hold them all.
        assert offered >= {
            "ostinato", "time", "spread", "subdivision", "bass", "pedal", "fill", "thin", "rest",
            "on", "round", "accents", "accents-to", "balance", "swap", "stick", "open", "ornament",
            "displace", "feel", "rate", "linear",
        }  # fmt: skip

    def test_mirrors_on_a_left_handed_kit(self) -> None:
        core = CORES[0].figure
        left_handed = FIVE_PIECE.mirrored()

        offered = {move.words for move in menu(core, left_handed)}

        assert any(words.startswith("left foot: bass drum") for words in offered)
        assert not any(words.startswith("right foot: bass drum") for words in offered)
