"""Times of the teacher's own: by the hour, against the other roads, and parking once a stop."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from typing import Any

import pytest

from lessons.forms import CorrectionForm
from lessons.models import PlaceCorrection
from lessons.planning.clashes import Visit, clashes
from lessons.planning.intervals import Interval
from lessons.planning.travel import HourTime, RoadBook, Stop, detours_that_save
from lessons.selectors import day_plan, road_book, stop_of
from tests.factories.lessons import LessonFactory, PlaceCorrectionFactory
from tests.factories.studio import PlaceFactory
from tests.lessons.conftest import DUBLIN

BASE = Stop(9, (51.9, -8.5), name="Copper Lane")
NEAR = Stop(1, (51.95, -8.5), name="Near door")
FAR = Stop(2, (51.99, -8.6), name="Far door")
FIVE_TO_SIX = {(9, 1): (HourTime(17 * 60, 18 * 60, 44),)}


class TestHours:
    def test_the_teachers_own_time_of_day_wins(self) -> None:
        """Edge case 17: the same pair takes longer at 17:00."""
        book = RoadBook(base=BASE, corrections={(9, 1): 12}, by_hour=FIVE_TO_SIX)

        assert book.between(BASE, NEAR, 16 * 60 + 59).minutes == 12
        assert book.between(BASE, NEAR, 17 * 60).minutes == 44
        assert book.between(BASE, NEAR, 17 * 60).source == "own"
        assert book.between(BASE, NEAR, 18 * 60).minutes == 12
        assert book.between(BASE, NEAR).minutes == 12

    def test_it_reaches_the_booking(self) -> None:
        """Edge case 17: a lesson at 17:30 clashes where the same one at 16:30 does not."""
        book = RoadBook(base=BASE, by_hour={(2, 1): (HourTime(17 * 60, 18 * 60, 50),)})

        def found(hour: int) -> tuple[Any, ...]:
            before = Interval.lasting(datetime(2026, 1, 5, hour - 1, 30, tzinfo=UTC), 30)
            after = Interval.lasting(datetime(2026, 1, 5, hour, 30, tzinfo=UTC), 30)
            return clashes(Visit(after, NEAR, "Aoife"), [Visit(before, FAR, "Tadhg")], book, DUBLIN)

        assert found(16) == ()
        (clash,) = found(17)
        assert clash.minutes_missing == 20
        assert "your own time" in clash.words

    def test_only_for_this_direction_unless_said(self) -> None:
        book = RoadBook(base=BASE, by_hour=FIVE_TO_SIX)

        assert book.between(NEAR, BASE, 17 * 60).source == "estimate"


@pytest.mark.django_db
class TestHourRows:
    def test_rows_become_the_book(self, studio: Any) -> None:
        home = PlaceFactory()
        PlaceCorrectionFactory(from_place=studio.base, to_place=home, minutes=12)
        PlaceCorrectionFactory(
            from_place=studio.base,
            to_place=home,
            minutes=44,
            from_time=time(17),
            until_time=time(18),
        )
        book, base, there = road_book(studio), stop_of(studio.base), stop_of(home)

        assert book.between(base, there, 17 * 60).minutes == 44
        assert book.between(there, base, 17 * 60).minutes == 44
        assert book.between(there, base, 12 * 60).minutes == 12

    def test_the_day_leaves_earlier_then(self, studio: Any) -> None:
        """Edge case 17: leave-by follows the hour of arrival."""
        home = PlaceFactory()
        PlaceCorrectionFactory(
            from_place=studio.base,
            to_place=home,
            minutes=44,
            from_time=time(17),
            until_time=time(18),
        )
        LessonFactory(place=home, starts_at=datetime(2026, 9, 8, 16, 30, tzinfo=UTC))
        (stop,) = day_plan(day=date(2026, 9, 8), studio=studio).stops

        assert stop.leg.leave_by == datetime(2026, 9, 8, 15, 46, tzinfo=UTC)

    @pytest.mark.parametrize(("hour", "back"), [(15, 44), (16, 12)])
    def test_the_way_back_goes_by_its_arrival_too(self, studio: Any, hour: int, back: int) -> None:
        """Edge case 17: over at 16:50 it arrives in the slow hour, over at 17:50 after it."""
        home = PlaceFactory()
        for begins, ends, minutes in ((None, None, 12), (time(17), time(18), 44)):
            PlaceCorrectionFactory(
                from_place=studio.base,
                to_place=home,
                minutes=minutes,
                from_time=begins,
                until_time=ends,
            )
        LessonFactory(place=home, starts_at=datetime(2026, 9, 8, hour, 20, tzinfo=UTC))
        road = day_plan(day=date(2026, 9, 8), studio=studio).road_home

        assert road is not None
        assert road.minutes == back

    def _form(self, studio: Any, home: Any, **more: str) -> CorrectionForm:
        data = {"from_place": studio.base_id, "to_place": home.pk, "minutes": "30"}
        return CorrectionForm(data | more)

    def test_the_form_asks_for_both_hours(self, studio: Any) -> None:
        home = PlaceFactory()
        assert "until_time" in self._form(studio, home, from_time="17:00").errors
        assert "from_time" in self._form(studio, home, until_time="17:00").errors
        backwards = self._form(studio, home, from_time="18:00", until_time="17:00")
        assert "until_time" in backwards.errors

    def test_the_form_refuses_hours_that_touch_others(self, studio: Any) -> None:
        home = PlaceFactory()
        good = self._form(studio, home, from_time="17:00", until_time="18:00")
        assert good.is_valid(), good.errors
        good.save()
        clashing = self._form(studio, home, from_time="17:30", until_time="19:00")

        assert "17:00 to 18:00" in str(clashing.errors["from_time"])
        assert self._form(studio, home, from_time="18:00", until_time="19:00").is_valid()
        assert PlaceCorrection.objects.get().until_time == time(18)


class TestDetours:
    def test_estimates_never_make_a_way_round_quicker(self) -> None:
        assert detours_that_save(RoadBook(base=BASE), [BASE, NEAR, FAR]) == ()

    def test_a_slip_in_a_time_of_ones_own_is_pointed_out(self) -> None:
        """Edge case 57: a correction can break the triangle inequality, so it is said."""
        book = RoadBook(base=BASE, corrections={(1, 2): 300})
        (detour,) = detours_that_save(book, [BASE, NEAR, FAR])

        assert (detour.start, detour.by_way_of, detour.end) == (NEAR, BASE, FAR)
        assert detour.minutes == 300
        assert detour.minutes_round < 60


def test_two_families_of_one_street_park_once_each() -> None:
    """Edge case 12: from the base to both doors and back, parking counts once per stop."""
    book = RoadBook(base=BASE)
    first, second = Stop(1, (51.95, -8.5)), Stop(2, (51.9501, -8.5))
    there, across = book.from_base(first), book.between(first, second)
    driving = book.model.driving_minutes(there.km or 0)

    assert there.minutes is not None
    assert there.minutes == pytest.approx(driving + book.model.parking_minutes, abs=1)
    assert across.minutes == book.model.parking_minutes + 1
    # Another lesson at the same door needs neither road nor parking.
    assert book.between(second, second).minutes == 0
