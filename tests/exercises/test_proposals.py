"""Proposed tempos, and the small pictures of practice."""

from __future__ import annotations

from datetime import date
from xml.etree import ElementTree as ET

from hypothesis import given
from hypothesis import strategies as st

from exercises.pictures import curve_words, part_bar, tempo_curve
from exercises.proposals import tempos_proposed

BPMS = st.integers(20, 400)


class TestTemposProposed:
    def test_starts_lower_the_harder_it_is(self) -> None:
        easy = tempos_proposed(written_bpm=100, grade=2.0, top_bpm=200)
        hard = tempos_proposed(written_bpm=100, grade=7.0, top_bpm=200)

        assert easy.goal_bpm == hard.goal_bpm == 100
        assert easy.start_bpm > hard.start_bpm

    def test_keeps_room_below_the_top_tempo(self) -> None:
        proposal = tempos_proposed(written_bpm=120, grade=5.0, top_bpm=100)

        assert proposal.goal_bpm == 84
        assert "top tempo of 100" in proposal.why

    def test_starts_where_the_student_was_clean(self) -> None:
        proposal = tempos_proposed(written_bpm=96, grade=5.0, top_bpm=200, clean_bpm=72)

        assert (proposal.start_bpm, proposal.goal_bpm) == (72, 96)

    def test_goes_a_little_further_once_the_written_tempo_is_clean(self) -> None:
        proposal = tempos_proposed(written_bpm=96, grade=5.0, top_bpm=200, clean_bpm=96)

        assert (proposal.start_bpm, proposal.goal_bpm) == (96, 104)

    @given(BPMS, st.floats(1, 10), st.integers(1, 400), st.none() | BPMS)
    def test_is_always_what_an_assignment_takes(
        self, written: int, grade: float, top: int, clean: int | None
    ) -> None:
        proposal = tempos_proposed(written_bpm=written, grade=grade, top_bpm=top, clean_bpm=clean)

        assert 20 <= proposal.start_bpm <= proposal.goal_bpm <= 400


class TestTempoCurve:
    @given(
        st.dictionaries(
            st.dates(date(2026, 1, 1), date(2026, 12, 31)), BPMS, min_size=1, max_size=40
        ),
        BPMS,
    )
    def test_stays_inside_its_picture(self, days: dict[date, int], goal: int) -> None:
        points = sorted(days.items())

        picture = ET.fromstring(tempo_curve(points, goal))  # our own drawing

        dots = list(picture.iter("circle"))
        assert len(dots) == len(points)
        assert all(0 <= float(dot.get("cx", "")) <= 320 for dot in dots)
        assert all(0 <= float(dot.get("cy", "")) <= 120 for dot in dots)

    def test_rises_with_the_tempo(self) -> None:
        points = [(date(2026, 9, 7), 60), (date(2026, 9, 9), 70)]

        picture = ET.fromstring(tempo_curve(points, 84))

        first, last = (float(dot.get("cy", "")) for dot in picture.iter("circle"))
        assert last < first
        assert curve_words(points, 84) == (
            "From 60 on 7 September to 70 on 9 September, 2 days; the goal of 84 is still ahead."
        )
        assert picture.get("aria-label") == curve_words(points, 84)

    def test_says_when_the_goal_was_reached(self) -> None:
        assert "84 is reached" in curve_words([(date(2026, 9, 7), 90)], 84)


def test_a_bar_is_as_long_as_its_share() -> None:
    fill = list(ET.fromstring(part_bar(1.5, 3.0)).iter("rect"))[1]

    assert fill.get("width") == "50.0"
