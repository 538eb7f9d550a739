"""The library's core figures."""

from __future__ import annotations

import re

import pytest

from exercises.rhythm.grade import grade
from exercises.rhythm.kit import FIVE_PIECE, KITS
from exercises.rhythm.library import (
    BY_SLUG,
    CORES,
    LIBRARY,
    RUDIMENTS,
    LibraryFigure,
    cores_training,
)
from exercises.rhythm.limbs import Limb
from exercises.rhythm.playability import refusal
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.top_tempo import top_tempo
from exercises.rhythm.typed import read_typed, write_typed

every_core = pytest.mark.parametrize("core", LIBRARY, ids=lambda core: core.slug)


class TestEveryCore:
    @every_core
    def test_can_be_played_on_its_kit(self, core: LibraryFigure) -> None:
        assert core.kit is KITS[core.kit_key]
        assert refusal(core.figure, core.kit) is None
        if core.kit_key == "five_piece":
            assert refusal(core.figure, FIVE_PIECE) is None

    @every_core
    def test_can_be_played_well_above_its_tempo(self, core: LibraryFigure) -> None:
        assert 40 <= core.bpm <= 160
        assert top_tempo(core.figure, core.kit).bpm >= core.bpm * 1.1

    @every_core
    def test_is_within_a_students_reach(self, core: LibraryFigure) -> None:
        assert 1 < grade(core.figure, core.bpm, core.kit).total < 9.5

    @every_core
    def test_is_described(self, core: LibraryFigure) -> None:
        assert re.fullmatch(r"[a-z]+(-[a-z0-9]+)*", core.slug)
        assert core.title == core.figure.title != ""
        assert core.style
        assert core.trains
        assert BY_SLUG[core.slug] is core

    @every_core
    def test_survives_being_typed_out(self, core: LibraryFigure) -> None:
        assert read_typed(write_typed(core.figure)) == core.figure


class TestLibrary:
    def test_has_no_figure_twice(self) -> None:
        assert len({entry.figure for entry in LIBRARY}) == len(LIBRARY)
        assert len({entry.slug for entry in LIBRARY}) == len(LIBRARY)
        assert len({entry.title for entry in LIBRARY}) == len(LIBRARY)
        assert len(CORES) >= 80
        assert [entry.number for entry in RUDIMENTS] == list(range(1, 41))

    def test_climbs_from_first_steps_to_the_hardest(self) -> None:
        grades = [grade(core.figure, core.bpm, core.kit).total for core in CORES]

        assert min(grades) < 1.5
        assert max(grades) > 8

    def test_says_what_it_trains_in_few_words(self) -> None:
        assert len({what for entry in LIBRARY for what in entry.trains}) <= 45

    def test_covers_the_trade(self) -> None:
        styles = {core.style for core in CORES}
        meters = {str(core.figure.meter) for core in CORES}

        assert styles >= {
            "rock", "funk", "jazz", "shuffle", "bossa nova", "samba", "country", "linear",
            "odd meters", "foot independence", "weaker hand leads", "pad work",
        }  # fmt: skip
        assert meters >= {"2/4", "3/4", "4/4", "5/4", "6/8", "7/8", "12/8"}

    def test_linear_ones_are_linear(self) -> None:
        for core in cores_training("linear"):
            onsets = [stroke.onset for stroke in core.figure.strokes]
            assert len(set(onsets)) == len(onsets)

    def test_the_weaker_hand_leads_where_it_says_so(self) -> None:
        for core in CORES:
            if core.style == "weaker hand leads":
                assert core.figure.line(Limb.LH)[0].onset == 0

    def test_pad_work_needs_only_a_pad(self) -> None:
        for core in CORES:
            surfaces = {stroke.surface for stroke in core.figure.strokes}
            assert (surfaces == {Surface.PAD}) == (core.kit_key == "pad")
