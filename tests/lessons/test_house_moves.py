"""Families that move house, and children with two homes."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

import pytest

from lessons.models import HouseMove, Lesson, LessonStatus, Series, StudentWishes
from lessons.planning.clashes import all_clashes
from lessons.selectors import lesson_facts, road_book, road_to, visits_between
from lessons.selectors.homes import home_on, house_plan
from lessons.selectors.mileage import Period, mileage
from lessons.services.booking import LessonClash, OutsideRadius, PlanChanged, series_book
from lessons.services.desk import lesson_mark
from lessons.services.house_moves import (
    HomeInUse,
    MoveDone,
    MoveToCome,
    house_move,
    house_move_take_back,
    house_moves_due,
    other_home_add,
    other_home_remove,
)
from studio.models import Family, Place
from tests.factories.lessons import TravelBandFactory
from tests.factories.studio import PlaceFactory, StudentFactory
from tests.lessons.conftest import DUBLIN, NOW, text_of, wish_for

MOVING = date(2026, 9, 28)


def _new(**more: Any) -> Place:
    """A home north of town, not written down yet."""
    values = {
        "kind": "home",
        "name": "Lynch, Hill Road",
        "latitude": Decimal("51.940000"),
        "longitude": Decimal("-8.470000"),
    }
    return Place(**(values | more))


def _days(place: Place) -> list[date]:
    lessons = Lesson.objects.filter(place=place).order_by("starts_at")
    return [lesson.starts_at.astimezone(DUBLIN).date() for lesson in lessons]


def _move(family: Family, teacher: Any, **more: Any) -> HouseMove:
    return house_move(
        **({"family": family, "new": _new(), "from_date": MOVING, "by": teacher, "now": NOW} | more)
    )


@pytest.fixture
def booked(teacher: Any, tadhg: Any) -> Series:
    """Six Tuesdays at the far door, 8 September to 13 October."""
    return series_book(wish=wish_for(tadhg), by=teacher, now=NOW)


@pytest.mark.django_db
class TestHouseMove:
    def test_the_future_goes_there_and_the_past_stays(
        self, teacher: Any, tadhg: Any, booked: Series
    ) -> None:
        """Edge case 14: from that date on distance, band, price and road change."""
        TravelBandFactory(up_to_km="10.0", surcharge="3.00")
        TravelBandFactory(up_to_km="40.0", surcharge="9.00")
        first = booked.lessons.order_by("starts_at")[0]
        lesson_mark(lesson=first, attendance={tadhg.pk: "present"}, by=teacher, now=first.ends_at)
        old = tadhg.family.home
        move = _move(tadhg.family, teacher)
        facts = lesson_facts(
            family=tadhg.family, first_date=date(2026, 9, 1), last_date=date(2026, 10, 31)
        )

        assert _days(old) == [date(2026, 9, day) for day in (8, 15, 22)]
        assert _days(move.to_place) == [date(2026, 9, 29), date(2026, 10, 6), date(2026, 10, 13)]
        assert [fact.surcharge for fact in facts] == [Decimal(9)] * 3 + [Decimal(3)] * 3
        assert facts[0].place_name == "Far door"
        assert road_to(old).road.minutes != road_to(move.to_place).road.minutes

    def test_the_series_is_split_at_the_day(self, teacher: Any, tadhg: Any, booked: Series) -> None:
        """Edge case 14: the rhythm goes on in a series of its own."""
        move = _move(tadhg.family, teacher)
        before, after = Series.objects.order_by("pk")

        assert (before.place, before.stopped_from_date) == (tadhg.family.home, MOVING)
        assert (after.place, after.split_from) == (move.to_place, before)
        assert after.first_date == date(2026, 9, 29)
        assert list(after.students.all()) == [tadhg]
        assert (before.lessons.count(), after.lessons.count()) == (3, 3)
        assert set(after.lessons.values_list("revision", flat=True)) == {1}
        assert set(before.lessons.values_list("revision", flat=True)) == {0}

    def test_a_second_week_rhythm_is_kept(self, teacher: Any, tadhg: Any) -> None:
        series_book(wish=wish_for(tadhg, every_weeks=2), by=teacher, now=NOW)
        move = _move(tadhg.family, teacher)

        assert _days(move.to_place) == [date(2026, 10, 6)]
        assert Series.objects.get(place=move.to_place).first_date == date(2026, 10, 6)

    def test_a_series_without_a_past_goes_along_whole(
        self, teacher: Any, tadhg: Any, booked: Series
    ) -> None:
        move = _move(tadhg.family, teacher, from_date=date(2026, 9, 2))
        (series,) = Series.objects.all()

        assert series.place == move.to_place
        assert series.stopped_from_date is None

    def test_the_home_changes_on_the_day_and_once(
        self, teacher: Any, tadhg: Any, booked: Series
    ) -> None:
        """Edge case 14: until the day, what is booked at home goes to the old one."""
        family, old = tadhg.family, tadhg.family.home
        StudentWishes.objects.create(student=tadhg, place=old)
        move = _move(family, teacher)
        family.refresh_from_db()
        assert family.home == old
        assert home_on(family, MOVING - timedelta(days=1)) == old
        assert home_on(family, MOVING) == move.to_place
        # Booked by an old page in the meantime, far beyond the day.
        late = Lesson.objects.create(
            place=old,
            starts_at=datetime(2026, 10, 20, 15, tzinfo=UTC),
            ends_at=datetime(2026, 10, 20, 16, tzinfo=UTC),
            minutes=60,
        )

        assert house_moves_due(now=datetime(2026, 9, 27, 20, tzinfo=UTC)) == 0
        assert house_moves_due(now=datetime(2026, 9, 27, 23, 30, tzinfo=UTC)) == 1
        assert house_moves_due(now=datetime(2026, 9, 28, 9, tzinfo=UTC)) == 0
        family.refresh_from_db()
        late.refresh_from_db()
        assert family.home == late.place == move.to_place
        assert not family.other_homes.exists()
        assert StudentWishes.objects.get().place == move.to_place

    def test_a_move_of_today_is_done_at_once(
        self, teacher: Any, tadhg: Any, booked: Series
    ) -> None:
        move = _move(tadhg.family, teacher, from_date=date(2026, 9, 1))
        tadhg.family.refresh_from_db()

        assert move.done_at == NOW
        assert tadhg.family.home == move.to_place

    def test_a_road_that_becomes_too_long_is_a_clash(
        self, teacher: Any, aoife: Any, tadhg: Any, booked: Series, studio: Any
    ) -> None:
        """Edge case 14: re-checked; every clashing date is named and nothing is moved."""
        near = wish_for(aoife, at=time(15), first=date(2026, 9, 8))
        series_book(wish=near, by=teacher, now=NOW)
        far_away = _new(latitude=Decimal("52.300000"))
        plan = house_plan(old=tadhg.family.home, new=far_away, from_date=MOVING, studio=studio)
        assert [found.occurrence.day for found in plan.in_the_way] == _days(tadhg.family.home)[3:]
        assert "Aoife Moran" in plan.groups[0].words

        with pytest.raises(LessonClash):
            _move(tadhg.family, teacher, new=far_away)
        assert HouseMove.objects.count() == 0
        assert len(_days(tadhg.family.home)) == 6

        move = _move(
            tadhg.family,
            teacher,
            new=_new(latitude=Decimal("52.300000")),
            road_reason="Aoife comes early",
        )
        reasons = move.to_place.lessons.values_list("road_overruled_reason", flat=True)
        assert set(reasons) == {"Aoife comes early"}

    def test_what_was_seen_is_what_is_done(
        self, teacher: Any, tadhg: Any, booked: Series, studio: Any
    ) -> None:
        plan = house_plan(old=tadhg.family.home, new=_new(), from_date=MOVING, studio=studio)
        Lesson.objects.filter(pk=plan.lessons[0].pk).delete()

        with pytest.raises(PlanChanged):
            _move(tadhg.family, teacher, seal=plan.seal)
        again = house_plan(old=tadhg.family.home, new=_new(), from_date=MOVING, studio=studio)
        assert _move(tadhg.family, teacher, seal=again.seal).to_place.lessons.count() == 2

    def test_is_taken_back_before_the_day_and_not_after(
        self, teacher: Any, tadhg: Any, booked: Series
    ) -> None:
        old = tadhg.family.home
        move = _move(tadhg.family, teacher)

        assert house_move_take_back(move=move, by=teacher, now=NOW) == 3
        assert len(_days(old)) == 6
        assert set(Series.objects.values_list("place", flat=True)) == {old.pk}
        assert not tadhg.family.other_homes.exists()
        assert HouseMove.objects.count() == 0

        again = _move(tadhg.family, teacher, from_date=date(2026, 9, 1))
        with pytest.raises(MoveDone):
            house_move_take_back(move=again, by=teacher, now=NOW)

    def test_one_move_at_a_time(self, teacher: Any, tadhg: Any) -> None:
        _move(tadhg.family, teacher)

        with pytest.raises(MoveToCome):
            _move(tadhg.family, teacher)

    def test_marked_and_called_off_lessons_stay_where_they_were(
        self, teacher: Any, tadhg: Any, booked: Series
    ) -> None:
        last = booked.lessons.order_by("-starts_at")[0]
        Lesson.objects.filter(pk=last.pk).update(status=LessonStatus.DONE)
        move = _move(tadhg.family, teacher)

        assert len(_days(move.to_place)) == 2
        last.refresh_from_db()
        assert last.place == tadhg.family.home


@pytest.mark.django_db
def test_a_new_home_outside_the_radius_needs_a_reason(teacher: Any, tadhg: Any) -> None:
    """Edge case 13: said, and overruled with a reason that stays with the place."""
    TravelBandFactory(up_to_km="2.0", surcharge="0")
    with pytest.raises(OutsideRadius, match="outside your radius of 2 km"):
        _move(tadhg.family, teacher)

    move = _move(tadhg.family, teacher, road_reason="they were here first")
    assert move.to_place.road_overruled_reason == "they were here first"


@pytest.mark.django_db
class TestPage:
    def _data(self, **more: str) -> dict[str, str]:
        values = {
            "from_date": "2026-09-28",
            "name": "Lynch, Hill Road",
            "position": "51.94, -8.47",
            "press": "look",
        }
        return values | more

    @pytest.mark.usefixtures("_tuesday")
    def test_looks_first_and_moves_then(self, client: Any, tadhg: Any, booked: Series) -> None:
        address = f"/families/{tadhg.family_id}/moves/"
        seen = client.post(address, self._data())
        page = text_of(seen)
        assert "3 planned lessons go to the new home" in page
        assert "No lesson stands in the way" in page
        assert HouseMove.objects.count() == 0

        seal = seen.context["plan"].seal
        done = client.post(address, self._data(press="move", seal=seal), follow=True)

        assert "They move to" in text_of(done)
        assert "written down already" in text_of(client.get(address))

    @pytest.mark.usefixtures("_tuesday")
    def test_asks_about_an_odd_position_once(self, client: Any, tadhg: Any) -> None:
        """Edge case 19: swapped latitude and longitude are asked about in the form."""
        address = f"/families/{tadhg.family_id}/moves/"
        odd = self._data(position="-8.47, 51.94")
        asked = client.post(address, odd)
        assert asked.status_code == 422
        assert "the wrong way round" in text_of(asked)
        assert "The position is right as it stands" in text_of(asked)

        meant = client.post(address, odd | {"is_position_meant": "-8.470000, 51.940000"})
        assert meant.status_code == 200

    @pytest.mark.usefixtures("_tuesday")
    def test_two_homes_need_two_names(self, client: Any, tadhg: Any) -> None:
        answer = client.post(f"/families/{tadhg.family_id}/homes/new/", {"name": "Far door"})

        assert answer.status_code == 422
        assert "so that you can tell them apart" in text_of(answer)


@pytest.mark.django_db
class TestTwoHomes:
    def test_alternating_weeks_at_two_homes(self, teacher: Any, studio: Any, tadhg: Any) -> None:
        """Edge case 15: two homes for one child, every second week at each."""
        other = other_home_add(
            family=tadhg.family, place=_new(name="Lynch, at Dad’s"), by=teacher, now=NOW
        )
        here = wish_for(tadhg, every_weeks=2)
        there = wish_for(tadhg, every_weeks=2, first=date(2026, 9, 15), place=other)
        for wish in (here, there):
            series_book(wish=wish, by=teacher, now=NOW)

        assert _days(tadhg.family.home) == [date(2026, 9, 8), date(2026, 9, 22), date(2026, 10, 6)]
        assert _days(other) == [date(2026, 9, 15), date(2026, 9, 29), date(2026, 10, 13)]
        everything = visits_between(
            datetime(2026, 9, 1, tzinfo=UTC), datetime(2026, 11, 1, tzinfo=UTC)
        )
        assert all_clashes(everything, road_book(studio), DUBLIN) == ()
        Lesson.objects.update(status=LessonStatus.DONE)
        log = mileage(period=Period(2026, 9), studio=studio, now=datetime(2026, 11, 1, tzinfo=UTC))
        assert [day.legs[0].end for day in log.days] == ["Far door", "Lynch, at Dad’s"] * 2

    @pytest.mark.usefixtures("_tuesday")
    def test_booking_offers_the_other_home(self, client: Any, teacher: Any, tadhg: Any) -> None:
        """Edge case 15: the second home can be chosen where lessons are booked."""
        other = other_home_add(
            family=tadhg.family, place=_new(name="Lynch, at Dad’s"), by=teacher, now=NOW
        )
        page = text_of(client.get(f"/lessons/new/?student={tadhg.pk}"))
        assert "Other home of Lynch: Lynch, at Dad’s" in page

        client.post(
            "/lessons/new/",
            {
                "student": tadhg.pk,
                "where": other.pk,
                "day": "2026-09-15",
                "at": "16:00",
                "minutes": 30,
            },
        )
        assert _days(other) == [date(2026, 9, 15)]

    def test_a_home_with_lessons_stays_on_the_list(self, teacher: Any, tadhg: Any) -> None:
        other = other_home_add(
            family=tadhg.family, place=_new(name="Lynch, at Dad’s"), by=teacher, now=NOW
        )
        series_book(wish=wish_for(tadhg, place=other), by=teacher, now=NOW)
        with pytest.raises(HomeInUse):
            other_home_remove(family=tadhg.family, place=other, by=teacher, now=NOW)

        after = datetime(2026, 12, 1, tzinfo=UTC)
        other_home_remove(family=tadhg.family, place=other, by=teacher, now=after)
        assert not tadhg.family.other_homes.exists()
        assert Place.objects.filter(pk=other.pk).exists()

    def test_somebody_elses_home_is_not_found(self, client: Any, tadhg: Any) -> None:
        foreign = PlaceFactory()
        StudentFactory().family.other_homes.add(foreign)

        answer = client.post(f"/families/{tadhg.family_id}/homes/{foreign.pk}/end/")
        assert answer.status_code == 404
