"""Two timetables of a week beside each other, as numbers."""

from __future__ import annotations

from lessons.planning.openings import Ways
from lessons.planning.week_lanes import Block, Drawn, week_figures, week_lanes

BASE, NEAR, FAR = 1, 2, 3
ROADS = {(BASE, NEAR): 10, (BASE, FAR): 20, (NEAR, FAR): 15}
WAYS = Ways(ROADS | {(there, here): road for (here, there), road in ROADS.items()}, BASE)


def block(start: int, place: int | None = NEAR, *, weekday: int = 0, minutes: int = 30) -> Block:
    return Block(weekday, start, minutes, place, f"at {start}", "stays")


class TestWeekLanes:
    def test_both_timetables_have_one_scale(self) -> None:
        lanes = week_lanes([block(15 * 60)], [block(21 * 60 + 15, weekday=2)], WAYS)

        assert [lane.weekday for lane in lanes] == [0, 2]
        # From 14:00 to 22:00, a line at each hour between.
        assert {lane.width for lane in lanes} == {8 * 60}
        assert lanes[0].hours == tuple(range(60, 480, 60))
        assert lanes[0].now.blocks == (Drawn(60, 30, "stays"),)
        assert lanes[0].then.blocks == ()

    def test_roads_lead_to_each_door_and_none_to_where_one_is(self) -> None:
        day = [block(15 * 60), block(15 * 60 + 30), block(16 * 60 + 30, FAR)]

        (lane,) = week_lanes(day, [], WAYS)

        assert lane.now.roads == (Drawn(50, 10, "road"), Drawn(135, 15, "road"))

    def test_a_road_longer_than_its_gap_is_drawn_as_long_as_the_gap(self) -> None:
        (lane,) = week_lanes([block(15 * 60), block(15 * 60 + 35, FAR)], [], WAYS)

        assert lane.now.roads[1] == Drawn(90, 5, "road")


class TestWeekFigures:
    def test_days_begin_and_end_at_the_base(self) -> None:
        figures = week_figures([block(15 * 60), block(16 * 60, FAR)], WAYS)

        assert (figures.lessons, figures.teaching) == (2, 60)
        assert figures.driving == 10 + 15 + 20
        assert figures.idle == 30 - 15

    def test_a_lesson_from_anywhere_costs_no_road(self) -> None:
        figures = week_figures([block(15 * 60), block(15 * 60 + 30, None)], WAYS)

        assert (figures.driving, figures.idle) == (20, 0)

    def test_a_day_may_begin_elsewhere(self) -> None:
        assert week_figures([block(15 * 60)], WAYS, {0: (NEAR, BASE)}).driving == 10

    def test_no_lessons_cost_nothing(self) -> None:
        assert week_figures([], WAYS).driving == 0
