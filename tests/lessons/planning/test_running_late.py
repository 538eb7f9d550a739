"""The rest of a day, begun late."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.planning.clashes import Visit, all_clashes
from lessons.planning.intervals import Interval
from lessons.planning.running_late import LateDay, shift_rest
from lessons.planning.travel import RoadBook, Stop

DUBLIN = ZoneInfo("Europe/Dublin")
FOUR = datetime(2026, 9, 8, 15, tzinfo=UTC)
HERE, THERE = Stop(1, (51.9, -8.47), name="here"), Stop(2, (51.9, -8.40), name="there")
ROADS = RoadBook(corrections={(1, 2): 20, (2, 1): 20})


def visit(key: int, after: int, minutes: int = 30, stop: Stop = HERE) -> Visit:
    start = FOUR + timedelta(minutes=after)
    return Visit(Interval.lasting(start, minutes), stop, f"lesson {key}", key)


def late(
    *visits: Visit, minutes: int, fixed: frozenset[int] = frozenset(), first: int = 1
) -> LateDay:
    movable = {each.key or 0 for each in visits} - fixed
    return shift_rest(
        visits, first=first, minutes=minutes, roads=ROADS, movable=movable, zone=DUBLIN
    )


def moved(day: LateDay) -> list[tuple[int | None, int]]:
    return [(each.visit.key, each.minutes) for each in day.moved]


class TestShiftRest:
    def test_back_to_back_all_move(self) -> None:
        """Edge case 46: fifteen minutes late, the rest shifts."""
        assert moved(late(visit(1, 0), visit(2, 30), visit(3, 60), minutes=15)) == [
            (1, 15),
            (2, 15),
            (3, 15),
        ]

    def test_a_gap_is_used_up_first(self) -> None:
        day = late(visit(1, 0), visit(2, 40), visit(3, 100), minutes=15)

        assert moved(day) == [(1, 15), (2, 5)]
        assert [each.key for each in day.stays] == [3]

    def test_a_gap_that_the_road_needs_is_not_used_up(self) -> None:
        day = late(visit(1, 0), visit(2, 50, stop=THERE), minutes=15)

        assert moved(day) == [(1, 15), (2, 15)]

    def test_a_road_planned_too_short_stays_as_short(self) -> None:
        assert moved(late(visit(1, 0), visit(2, 40, stop=THERE), minutes=15))[1] == (2, 15)

    def test_what_cannot_move_is_named(self) -> None:
        """Edge case 46: a school's block in the way is said, with what to do."""
        day = late(visit(1, 0), visit(2, 35), minutes=15, fixed=frozenset({2}))

        assert moved(day) == [(1, 15)]
        assert day.in_the_way == (
            "lesson 2 at 16:35 cannot move, and after lesson 1 you would be there at 16:45. Call "
            "lesson 1 off, or make up the minutes.",
        )

    def test_what_came_before_is_left_alone(self) -> None:
        assert moved(late(visit(1, 0), visit(2, 30), minutes=10, first=2)) == [(2, 10)]

    @given(
        gaps=st.lists(
            st.tuples(st.integers(0, 60), st.sampled_from([15, 30, 45]), st.booleans()),
            min_size=1,
            max_size=7,
        ),
        minutes=st.integers(1, 90),
    )
    def test_nothing_overlaps_nor_starts_early_and_no_road_gets_shorter(
        self, gaps: list[tuple[int, int, bool]], minutes: int
    ) -> None:
        visits, at = [], 0
        for key, (gap, length, is_there) in enumerate(gaps, start=1):
            visits.append(visit(key, at + gap, length, THERE if is_there else HERE))
            at += gap + length

        day = late(*visits, minutes=minutes)

        then = [
            *(
                Visit(each.when, each.visit.stop, each.visit.label, each.visit.key)
                for each in day.moved
            ),
            *day.stays,
        ]
        missing = {
            (clash.kind, clash.other.key): clash.minutes_missing
            for clash in all_clashes(visits, ROADS, DUBLIN)
        }
        assert len(then) == len(visits)
        assert all(each.minutes > 0 for each in day.moved)
        for clash in all_clashes(then, ROADS, DUBLIN):
            assert clash.minutes_missing <= missing[clash.kind, clash.other.key]


@pytest.mark.parametrize("minutes", [1, 180])
def test_one_lesson_alone(minutes: int) -> None:
    assert moved(late(visit(1, 0), minutes=minutes)) == [(1, minutes)]
