"""The order of a day: never worse than trying every order, and within every promise."""

from __future__ import annotations

from itertools import permutations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.planning.day_times import (
    A_CHANGE_IS_WORTH,
    DayVisit,
    Roads,
    best_times,
    drive,
    is_kept,
)
from lessons.planning.reorder import NoOrder, best_order

PLACES = range(5)


@st.composite
def days(draw: st.DrawFn) -> tuple[list[DayVisit], Roads]:
    """Up to six visits at up to five places, some of them fixed, some without a place."""
    roads = {(a, b): draw(st.integers(1, 50)) for a in PLACES for b in PLACES if a != b}
    visits = []
    for key in range(draw(st.integers(1, 6))):
        opens = draw(st.integers(0, 100)) * 5
        latest = opens + draw(st.sampled_from([0, 15, 60, 200, 1000]))
        place = draw(st.sampled_from([*PLACES, None]))
        at = draw(st.integers(opens, latest))
        minutes = draw(st.sampled_from([15, 30, 45]))
        visits.append(DayVisit(key, minutes, place, at, opens, latest))
    starts_from = draw(st.sampled_from([0, 1, None]))
    ends_at = draw(st.sampled_from([0, 2, None]))
    grid = draw(st.sampled_from([1, 5]))
    return visits, Roads(roads, starts_from, ends_at, draw(st.integers(0, 200)), grid)


def by_brute_force(visits: list[DayVisit], day: Roads) -> int | None:
    """The least driving of all orders that keep every promise."""
    return min(
        (drive(order, day) for order in permutations(visits) if is_kept(order, day)), default=None
    )


class TestBestOrder:
    @given(days())
    def test_drives_as_little_as_any_order_can(self, day: tuple[list[DayVisit], Roads]) -> None:
        visits, roads = day
        least = by_brute_force(visits, roads)
        ends = {"starts_from": roads.starts_from, "ends_at": roads.ends_at}
        limits = {"begins": roads.begins, "grid": roads.grid}
        if least is None:
            with pytest.raises(NoOrder) as refused:
                best_order(visits, roads.minutes, **ends, **limits)
            assert refused.value.is_proven
            return

        found = best_order(visits, roads.minutes, **ends, **limits)

        assert found.is_proven
        assert found.driving == least
        assert sorted(found.keys) == [visit.key for visit in visits]
        over = None
        for timed in found.visits:
            assert timed.visit.opens <= timed.start <= timed.visit.latest
            assert (
                timed.visit.is_fixed
                or timed.start % roads.grid == 0
                or timed.start == timed.visit.at
            )
            assert over is None or timed.start == over + timed.road + timed.waiting
            assert timed.waiting >= 0
            over = timed.start + timed.visit.minutes

    @given(days())
    def test_is_the_same_whatever_order_it_is_told_in(
        self, day: tuple[list[DayVisit], Roads]
    ) -> None:
        visits, roads = day
        try:
            found = best_order(visits, roads.minutes, starts_from=roads.starts_from)
        except NoOrder:
            return
        assert best_order(visits[::-1], roads.minutes, starts_from=roads.starts_from) == found

    def test_a_day_that_cannot_be_driven_better_keeps_every_time(self) -> None:
        roads = {(a, b): 10 for a in PLACES for b in PLACES if a != b}
        visits = [DayVisit(n, 30, n, 900 + 50 * n, 800, 1200) for n in range(4)]

        assert best_order(visits, roads, starts_from=0, ends_at=0, grid=5).moved == ()

    def test_a_fixed_block_in_the_middle_and_a_family_that_cannot_move_stay(self) -> None:
        """Edge case 43: the others go round them."""
        far = {(0, 1): 5, (0, 2): 40, (0, 3): 42, (1, 2): 38, (1, 3): 40, (2, 3): 5}
        roads = far | {(b, a): minutes for (a, b), minutes in far.items()}
        block = DayVisit(1, 60, 2, at=720, opens=720, latest=720)
        family = DayVisit(2, 30, 1, at=900, opens=900, latest=900)
        near_block = DayVisit(3, 30, 3, at=1000, opens=540, latest=1100)
        near_family = DayVisit(4, 30, 1, at=600, opens=540, latest=1100)

        found = best_order(
            [block, family, near_block, near_family], roads, starts_from=0, ends_at=0, grid=5
        )

        starts = {timed.visit.key: timed.start for timed in found.visits}
        assert starts[1] == 720
        assert starts[2] == 900
        assert found.driving == 42 + 5 + 38 + 5
        assert set(found.keys[:2]) == {1, 3}
        assert found.moved[0].visit.key in (3, 4)

    def test_too_many_labels_are_said_to_prove_nothing(self) -> None:
        roads = {(a, b): 7 + (a * 7 + b * 13) % 11 for a in range(9) for b in range(9) if a != b}
        visits = [DayVisit(n, 30, n, 600 + 45 * n, 0, 1400) for n in range(9)]

        found = best_order(visits, roads, starts_from=0, ends_at=0, most_labels=5)

        assert not found.is_proven
        assert sorted(found.keys) == list(range(9))

    def test_an_empty_day_has_nothing_to_order(self) -> None:
        assert best_order([], {}).visits == ()

    def test_leaves_late_rather_than_waits_long_on_the_road(self) -> None:
        roads = {(0, 1): 10, (1, 0): 10, (0, 2): 10, (2, 0): 10, (1, 2): 10, (2, 1): 10}
        second = DayVisit(2, 30, 2, 700, 700, 700)

        late = best_order([DayVisit(1, 30, 1, 555, 540, 700), second], roads, starts_from=0)
        soon = best_order([DayVisit(1, 30, 1, 640, 540, 700), second], roads, starts_from=0)

        assert [timed.start for timed in late.visits] == [660, 700]
        assert late.visits[0].leave_by == 650
        # Twenty minutes of waiting are not worth asking a family for another time.
        assert soon.moved == ()


class TestBestTimes:
    @given(days())
    def test_no_other_times_of_that_order_wait_and_change_less(
        self, day: tuple[list[DayVisit], Roads]
    ) -> None:
        visits, roads = day
        order = visits[:3]
        if not is_kept(order, roads):
            return

        found = best_times(order, roads)

        best = _cost([timed.start for timed in found], order, roads)
        assert best is not None
        for starts in product(*(_some_starts(visit, roads) for visit in order)):
            other = _cost(list(starts), order, roads)
            assert other is None or best <= other


def _some_starts(visit: DayVisit, day: Roads) -> list[int]:
    """At most forty starts, so that the product stays small; the exact ones are among them."""
    starts = [
        start
        for start in range(visit.opens, visit.latest + 1)
        if start % day.grid == 0 or start in (visit.at, visit.opens if visit.is_fixed else -1)
    ]
    return starts if len(starts) <= 40 else starts[:: len(starts) // 40 + 1]


def _cost(starts: list[int], order: list[DayVisit], day: Roads) -> int | None:
    place, over, cost = day.starts_from, day.begins, 0
    for number, (start, visit) in enumerate(zip(starts, order, strict=True)):
        wait = start - over - day.road(place, visit.place)
        if wait < 0:
            return None
        cost += (wait if number else 0) + (0 if start == visit.at else A_CHANGE_IS_WORTH)
        over = start + visit.minutes
        place = place if visit.place is None else visit.place
    return cost
