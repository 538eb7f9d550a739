"""Find a time: the same as looking at every date and start by itself, and quick."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from lessons.planning.find_once import find_once
from lessons.planning.find_time import Opening, TeachingDay, Wanted, find_times
from lessons.planning.openings import Busy, Fit, Misfit, Schedule, Ways, Window, placed

FIRST = date(2026, 9, 7)
ROADS = {(a, b): 4 + 3 * abs(a - b) for a in range(4) for b in range(4) if a != b}
WAYS = Ways(ROADS, base=0)


@st.composite
def schedules(draw: st.DrawFn) -> Schedule:
    """A day's stretches, none overlapping; the road between two may be too long, as in life."""
    busy, now = [], 13 * 60
    for key in range(1, draw(st.integers(0, 4)) + 1):
        now += draw(st.sampled_from([0, 5, 15, 30, 60]))
        length = draw(st.sampled_from([30, 45, 60]))
        place = draw(st.sampled_from([0, 1, 2, 3, None]))
        busy.append(Busy(now, now + length, place, f"lesson {key}", key))
        now += length
    return tuple(busy)


@st.composite
def terms(draw: st.DrawFn) -> dict[date, TeachingDay]:
    kinds = draw(st.lists(schedules(), min_size=1, max_size=3))
    hours = draw(st.sampled_from([((13 * 60, 20 * 60),), ((9 * 60, 12 * 60), (14 * 60, 19 * 60))]))
    most = draw(st.sampled_from([24 * 60, 150]))
    days = {}
    for number in range(draw(st.integers(1, 21))):
        schedule = draw(st.sampled_from(kinds))
        days[FIRST + timedelta(days=number)] = TeachingDay(schedule, hours, most)
    return days


@st.composite
def wishes(draw: st.DrawFn) -> Wanted:
    windows = []
    for _ in range(draw(st.integers(1, 3))):
        begins = draw(st.sampled_from([13 * 60, 15 * 60, 16 * 60 + 5]))
        every = draw(st.sampled_from([1, 1, 2]))
        windows.append(
            Window(
                draw(st.integers(0, 6)),
                begins,
                begins + draw(st.sampled_from([45, 120, 300])),
                every,
                FIRST + timedelta(days=draw(st.integers(0, 13))) if every > 1 else None,
                draw(st.booleans()),
            )
        )
    return Wanted(
        draw(st.sampled_from([30, 45])),
        draw(st.sampled_from([0, 1, 3])),
        tuple(windows),
        draw(st.sampled_from([24 * 60, 18 * 60])),
    )


def fits(day: Schedule, start: int, minutes: int, place: int | None) -> bool:
    """The naive way: against every stretch of the day, neighbours or not.

    A stretch without a place leaves the teacher where they were: its minutes are taken from the
    time between the two places round it.
    """
    end = start + minutes
    for busy in day:
        if busy.start < end and start < busy.end:
            return False
    before = [busy for busy in day if busy.end <= start and busy.place is not None]
    after = [busy for busy in day if busy.start >= end and busy.place is not None]
    if before:
        left = before[-1].end
        free = start - left - sum(b.end - b.start for b in day if left <= b.start < start)
        if free < WAYS.road(before[-1].place, place):
            return False
    if after:
        due = after[0].start
        free = due - end - sum(b.end - b.start for b in day if end <= b.start < due)
        return free >= WAYS.road(place, after[0].place)
    return True


@given(wishes(), terms(), st.sampled_from([5, 15]))
def test_agrees_with_looking_at_every_date_by_itself(
    wanted: Wanted, days: dict[date, TeachingDay], grid: int
) -> None:
    found = find_times(wanted, days, WAYS, grid=grid)

    expected: dict[tuple[int, int], tuple[list[date], list[date]]] = {}
    for day, teaching in sorted(days.items()):
        for start in range(0, 24 * 60, grid):
            end = start + wanted.minutes
            suits = end <= wanted.latest_end and any(
                window.is_open_on(day)
                and any(max(a, window.begins) <= start and end <= min(b, window.ends)
                        for a, b in teaching.hours)
                for window in wanted.windows
            )  # fmt: skip
            if not suits:
                continue
            free, blocked = expected.setdefault((day.weekday(), start), ([], []))
            taught = sum(busy.end - busy.start for busy in teaching.schedule)
            is_free = taught + wanted.minutes <= teaching.most_minutes and fits(
                teaching.schedule, start, wanted.minutes, wanted.place
            )
            (free if is_free else blocked).append(day)
    shown = {
        (one.weekday, one.start): (list(one.free), [day for day, _ in one.blocked])
        for one in (*found.openings, *found.partial)
    }
    assert shown == {key: value for key, value in expected.items() if value[0]}
    assert all(not one.blocked for one in found.openings)
    ranks = [_rank(one) for one in (*found.openings, *found.partial)]
    assert ranks == sorted(ranks)


def _rank(one: Opening) -> tuple[int, float, int, int]:
    return len(one.blocked), one.cost, one.weekday, one.start


@given(schedules(), st.integers(100, 240), st.sampled_from([0, 1, 3]))
def test_what_a_lesson_adds_is_the_day_with_it_less_the_day_without(
    day: Schedule, quarter: int, place: int
) -> None:
    start = quarter * 5
    result = placed(day, start, 30, place, WAYS)
    if isinstance(result, Misfit):
        assert result.words
        return

    def driving(stretches: Schedule) -> int:
        places = [0, *(b.place for b in stretches if b.place is not None), 0]
        return sum(WAYS.road(a, b) for a, b in pairwise(places))

    with_it = tuple(sorted((*day, Busy(start, start + 30, place, "new"))))
    assert isinstance(result, Fit)
    assert result.added_driving == driving(with_it) - driving(day)


@given(wishes(), terms(), st.sampled_from([5, 15]))
def test_once_is_each_free_date_of_the_weekly_search(
    wanted: Wanted, days: dict[date, TeachingDay], grid: int
) -> None:
    weekly = find_times(wanted, days, WAYS, grid=grid)
    once = find_once(wanted, days, WAYS, grid=grid)

    free = {(day, one.start) for one in (*weekly.openings, *weekly.partial) for day in one.free}
    assert {(one.day, one.start) for one in once.openings} == free
    assert [(one.cost, one.day, one.start) for one in once.openings] == sorted(
        (one.cost, one.day, one.start) for one in once.openings
    )
    assert once.reasons == weekly.reasons


class TestEdgeCases:
    def test_only_odd_weeks(self) -> None:
        """Edge case 38: Wednesdays 15:30 to 17:00, every second week from the first."""
        window = Window(2, 930, 1020, every_weeks=2, anchor=date(2026, 9, 9))
        days = {
            date(2026, 9, 9) + timedelta(weeks=n): TeachingDay((), ((780, 1200),)) for n in range(8)
        }

        found = find_times(Wanted(30, 1, (window,)), days, WAYS)

        assert found.openings[0].free == tuple(
            date(2026, 9, 9) + timedelta(weeks=n) for n in (0, 2, 4, 6)
        )
        assert {one.start for one in found.openings} == {930, 945, 960, 975, 990}

    def test_no_time_fits_and_what_would_have_to_give(self) -> None:
        """Edge case 39: another lesson that could move a quarter of an hour is named."""
        day = (Busy(945, 975, 1, "Aoife", 7),)
        days = {FIRST + timedelta(weeks=n): TeachingDay(day, ((900, 1020),)) for n in range(4)}

        found = find_times(Wanted(45, 1, (Window(0, 930, 975),)), days, WAYS)

        assert found.openings == ()
        assert dict(found.reasons) == {"taken": 4}
        assert [(r.label, r.start, r.shift) for r in found.repairs] == [("Aoife", 930, 30)]

    def test_the_hour_by_which_a_child_is_home(self) -> None:
        """Edge case 40: the least driving would be late on a Friday."""
        late = (Busy(1185, 1230, 1, "Dervla", 3),)
        days = {FIRST + timedelta(days=4): TeachingDay(late, ((900, 1320),))}
        windows = (Window(4, 900, 1320),)

        grown_up = find_times(Wanted(30, 1, windows), days, WAYS)
        child = find_times(Wanted(30, 1, windows, latest_end=1140), days, WAYS)

        assert grown_up.openings[0].start in (1155, 1230)
        assert all(one.start + 30 <= 1140 for one in child.openings)

    def test_free_in_most_weeks_with_the_clashing_date_listed(self) -> None:
        """Edge case 47: 19 of 20, and why not on the twentieth."""
        days = {FIRST + timedelta(weeks=n): TeachingDay((), ((900, 960),)) for n in range(20)}
        odd_one = FIRST + timedelta(weeks=7)
        days[odd_one] = TeachingDay((Busy(900, 960, 2, "Staś", 4),), ((900, 960),))

        found = find_times(Wanted(60, 1, (Window(0, 900, 960),)), days, WAYS)

        (near,) = found.partial
        assert len(near.free) == 19
        assert [(day, misfit.words) for day, misfit in near.blocked] == [(odd_one, "Staś is then")]

    def test_equal_answers_come_in_a_fixed_order(self) -> None:
        """Edge case 55: by weekday, then start."""
        days = {FIRST + timedelta(days=n): TeachingDay((), ((900, 990),)) for n in (2, 0, 1)}
        windows = tuple(Window(weekday, 900, 990) for weekday in (2, 1, 0))

        found = find_times(Wanted(60, 0, windows), days, WAYS, grid=15)

        order = [(one.weekday, one.start) for one in found.openings]
        assert order == sorted(order)
        assert find_times(Wanted(60, 0, windows[::-1]), days, WAYS, grid=15) == found

    def test_a_full_day_is_full(self) -> None:
        """Edge case 42: at most so many minutes of teaching a day."""
        days = {FIRST: TeachingDay((Busy(900, 1200, 1, "school", 1),), ((800, 1320),), 320)}

        found = find_times(Wanted(30, 1, (Window(0, 800, 1320),)), days, WAYS)

        assert found.openings == ()
        assert {kind for kind, _ in found.reasons} == {"full"}
