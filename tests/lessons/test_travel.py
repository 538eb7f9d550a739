"""The road: a metric, monotone in distance, honest about what is not known."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.planning.travel import NO_ROAD, UNKNOWN, RoadBook, RoadModel, SpeedBand, Stop

MODEL = RoadModel()
kilometres = st.floats(0, 300, allow_nan=False)
# A county's worth of doors: two degrees round Cork.
doors = st.tuples(st.floats(51.0, 53.0), st.floats(-9.5, -7.5))


def _stop(key: int, position: tuple[float, float] | None = None, **more: object) -> Stop:
    return Stop(key, position, **more)  # type: ignore[arg-type]


class TestRoadModel:
    @given(kilometres, kilometres)
    def test_a_longer_road_is_never_quicker(self, a: float, b: float) -> None:
        """Edge case 57: speed bands are cumulative."""
        short, long = sorted((a, b))

        assert MODEL.driving_minutes(short) <= MODEL.driving_minutes(long)
        assert MODEL.whole_minutes(short) <= MODEL.whole_minutes(long)

    @given(kilometres, kilometres)
    def test_a_road_in_two_parts_is_never_quicker(self, a: float, b: float) -> None:
        whole = MODEL.whole_minutes(a + b)

        assert whole <= MODEL.whole_minutes(a) + MODEL.whole_minutes(b)

    def test_just_beyond_a_band_is_not_quicker_than_just_before(self) -> None:
        """A speed chosen by the total would make 2.1 km quicker than 1.9 km."""
        assert MODEL.driving_minutes(2.1) > MODEL.driving_minutes(1.9)

    def test_reckons_by_hand(self) -> None:
        """2 km at 20, 8 km at 40, 5 km at 60 km/h, 3 to park: 6 + 12 + 5 + 3 minutes."""
        model = RoadModel(
            speeds=(SpeedBand(2, 20), SpeedBand(10, 40), SpeedBand(math.inf, 60)),
            parking_minutes=3,
        )

        assert model.whole_minutes(15) == 26
        assert model.whole_minutes(15.01) == 27
        assert model.km_in(26) == pytest.approx(15)

    @given(st.integers(0, 600))
    def test_kilometres_from_minutes_undo_minutes_from_kilometres(self, minutes: int) -> None:
        km = MODEL.km_in(minutes)

        assert MODEL.whole_minutes(km) == max(minutes, MODEL.parking_minutes)

    @pytest.mark.parametrize(
        "change",
        [
            {"circuity": 0.9},
            {"circuity": math.nan},
            {"parking_minutes": -1},
            {"speeds": ()},
            {"speeds": (SpeedBand(10, 50),)},
            {"speeds": (SpeedBand(2, 50), SpeedBand(math.inf, 40))},
            {"speeds": (SpeedBand(2, 20), SpeedBand(2, 30), SpeedBand(math.inf, 40))},
            {"speeds": (SpeedBand(math.inf, 0),)},
        ],
    )
    def test_refuses_numbers_that_make_no_sense(self, change: dict[str, object]) -> None:
        with pytest.raises(ValueError, match=r"roads|speed|distances"):
            replace(MODEL, **change)  # type: ignore[arg-type]


class TestRoadBook:
    @given(doors, doors, doors)
    def test_a_detour_saves_nothing(
        self, a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]
    ) -> None:
        """The triangle inequality, in whole minutes and in kilometres."""
        book = RoadBook()
        first, second, third = _stop(1, a), _stop(2, b), _stop(3, c)
        straight = book.between(first, third)
        legs = [book.between(first, second), book.between(second, third)]

        assert straight.minutes is not None
        assert straight.minutes <= sum(leg.minutes or 0 for leg in legs)
        assert (straight.km or 0) <= sum(leg.km or 0 for leg in legs) + 1e-6

    @given(doors, doors)
    def test_there_and_back_take_the_same(
        self, a: tuple[float, float], b: tuple[float, float]
    ) -> None:
        book = RoadBook()

        assert book.between(_stop(1, a), _stop(2, b)) == book.between(_stop(2, b), _stop(1, a))

    def test_the_same_place_needs_no_road(self) -> None:
        """Edge case 11: siblings back to back in one home."""
        home = _stop(1, (51.9, -8.5))

        assert RoadBook().between(home, home) == NO_ROAD

    def test_two_doors_of_one_street_cost_the_parking(self) -> None:
        """Edge case 12."""
        road = RoadBook().between(_stop(1, (51.9, -8.5)), _stop(2, (51.9001, -8.5)))

        assert road.minutes == MODEL.parking_minutes + 1
        assert road.km is not None
        assert road.km < 0.02

    def test_no_position_is_unknown_and_never_0(self) -> None:
        """Edge case 54."""
        book = RoadBook(base=_stop(9, (51.9, -8.5)))

        assert book.between(_stop(1), _stop(2, (51.9, -8.5))) == UNKNOWN
        assert UNKNOWN.km is None
        assert UNKNOWN.minutes is None
        assert book.km_for_band(_stop(1)) == (None, "unknown")

    def test_a_place_known_only_by_minutes_is_reached_by_way_of_the_base(self) -> None:
        """Edge case 18."""
        base = _stop(9, (51.9, -8.5))
        hill = _stop(1, minutes_from_base=25)
        other = _stop(2, (51.95, -8.5))
        book = RoadBook(base=base)

        assert book.from_base(hill).minutes == 25
        assert book.from_base(hill).source == "own"
        assert book.between(hill, other).minutes == 25 + (book.from_base(other).minutes or 0)
        assert book.between(hill, other).source == "estimate"
        km, source = book.km_for_band(hill)
        assert source == "own"
        assert km == pytest.approx(MODEL.km_in(25))

    def test_the_teachers_own_time_wins_over_everything(self) -> None:
        """Edge case 17, but for the time of day."""
        base, home = _stop(9, (51.9, -8.5)), _stop(1, (51.95, -8.5), minutes_from_base=40)
        book = RoadBook(base=base, corrections={(9, 1): 12})

        assert book.between(base, home).minutes == 12
        assert book.between(base, home).source == "own"
        assert book.between(home, base).minutes == 40

    def test_online_is_given_at_the_base(self) -> None:
        base, home = _stop(9, (51.9, -8.5)), _stop(1, (51.95, -8.5))
        online = _stop(5, is_online=True)
        book = RoadBook(base=base)

        assert book.between(home, online) == book.between(home, base)
        assert book.from_base(online) == NO_ROAD
        assert RoadBook().between(home, online) == NO_ROAD

    def test_without_a_base_only_own_minutes_are_known(self) -> None:
        assert RoadBook().from_base(_stop(1, (51.9, -8.5))) == UNKNOWN
        assert RoadBook().from_base(_stop(1, minutes_from_base=7)).minutes == 7
        assert RoadBook().to_base(_stop(1)) == UNKNOWN
