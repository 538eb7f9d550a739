"""What stands in the way of a lesson, and what only seems to."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from lessons.planning.clashes import Visit, all_clashes, clashes
from lessons.planning.intervals import Interval
from lessons.planning.travel import RoadBook, Stop

DUBLIN = ZoneInfo("Europe/Dublin")
NOON = datetime(2026, 9, 8, 11, tzinfo=UTC)
BASE = Stop(9, (51.897, -8.47))
NEAR, FAR = Stop(1, (51.90, -8.48)), Stop(2, (51.99, -8.60))
ROADS = RoadBook(base=BASE)


def _visit(start: int, minutes: int, stop: Stop, label: str = "Aoife") -> Visit:
    return Visit(Interval.lasting(NOON + timedelta(minutes=start), minutes), stop, label, start)


def test_back_to_back_in_one_place_is_fine() -> None:
    """Edge case 9: no gap in the same place is fine."""
    assert (
        clashes(_visit(30, 30, NEAR), [_visit(0, 30, NEAR), _visit(60, 30, NEAR)], ROADS, DUBLIN)
        == ()
    )


def test_back_to_back_in_two_places_is_refused_with_the_minutes_missing() -> None:
    """Edge case 9: no gap between two places is refused, with the minutes."""
    road = ROADS.between(NEAR, FAR).minutes
    (found,) = clashes(_visit(30, 30, FAR), [_visit(0, 30, NEAR)], ROADS, DUBLIN)

    assert found.kind == "road"
    assert found.minutes_missing == road
    assert found.words == (
        f"the road from Aoife, 12:00-12:30 takes {road} minutes (estimate) and there is no time "
        f"between: {road} minutes missing"
    )
    assert found.can_be_overruled


def test_the_lesson_after_counts_as_well() -> None:
    found = clashes(_visit(0, 30, FAR), [_visit(40, 30, NEAR)], ROADS, DUBLIN)

    assert [clash.kind for clash in found] == ["road"]
    assert "to Aoife, 12:40-13:10" in found[0].words
    assert "there are 10 minutes" in found[0].words


def test_exactly_the_road_is_enough() -> None:
    road = ROADS.between(NEAR, FAR).minutes
    assert road is not None

    assert clashes(_visit(30 + road, 30, FAR), [_visit(0, 30, NEAR)], ROADS, DUBLIN) == ()
    assert (
        clashes(_visit(29 + road, 30, FAR), [_visit(0, 30, NEAR)], ROADS, DUBLIN)[0].minutes_missing
        == 1
    )


def test_an_overlap_cannot_be_overruled() -> None:
    (found,) = clashes(_visit(15, 30, NEAR), [_visit(0, 30, NEAR)], ROADS, DUBLIN)

    assert found.kind == "overlap"
    assert found.words == "overlaps Aoife, 12:00-12:30 by 15 minutes"
    assert not found.can_be_overruled


def test_a_lesson_inside_a_longer_one_overlaps() -> None:
    found = clashes(_visit(10, 5, NEAR), [_visit(0, 60, NEAR)], ROADS, DUBLIN)

    assert [(clash.kind, clash.minutes_missing) for clash in found] == [("overlap", 5)]


def test_an_unknown_road_is_pointed_out_only_when_time_is_short() -> None:
    nowhere = Stop(7)

    assert (
        clashes(_visit(45, 30, nowhere), [_visit(0, 30, NEAR)], ROADS, DUBLIN)[0].kind
        == "road_unknown"
    )
    assert clashes(_visit(90, 30, nowhere), [_visit(0, 30, NEAR)], ROADS, DUBLIN) == ()


def test_the_first_lesson_far_from_base_is_no_clash() -> None:
    """Edge case 10."""
    assert clashes(_visit(0, 30, FAR), [], ROADS, DUBLIN) == ()


def test_the_checker_finds_what_is_wrong_with_a_whole_calendar() -> None:
    good = [_visit(0, 30, NEAR), _visit(30, 30, NEAR), _visit(120, 30, FAR)]
    bad = [*good, _visit(50, 30, NEAR, "Tadhg")]

    assert all_clashes(good, ROADS, DUBLIN) == ()
    assert {clash.kind for clash in all_clashes(bad, ROADS, DUBLIN)} == {"overlap"}


def test_intervals_are_half_open_and_aware() -> None:
    first, second = Interval.lasting(NOON, 30), Interval.lasting(NOON + timedelta(minutes=30), 30)

    assert not first.overlaps(second)
    assert first.contains(NOON)
    assert not first.contains(first.end)
    with pytest.raises(ValueError, match="end after"):
        Interval(NOON, NOON)
    with pytest.raises(ValueError, match="aware"):
        Interval(NOON.replace(tzinfo=None), NOON.replace(tzinfo=None) + timedelta(1))
