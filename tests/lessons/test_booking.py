"""Booking a series: every date or none, closures out, clashes with their reason."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from lessons import services
from lessons.models import Lesson, LessonStatus, Series
from lessons.overlap_net import NAME
from lessons.planning.clashes import all_clashes
from lessons.planning.recurrence import CannotRepeat
from lessons.selectors import SeriesWish, road_book, series_plan, visits_between
from lessons.selectors.series_change_parts import SeriesChange
from lessons.selectors.series_changes import rule_from
from lessons.services import LessonClash, NothingToBook, PlanChanged
from lessons.services.series_changing import series_replace_many
from studio.models import Event, Place, Student
from tests.factories.lessons import ClosureFactory, LessonFactory
from tests.lessons.conftest import DUBLIN, NOW, wish_for

pytestmark = pytest.mark.django_db
# How often each press is tried: a crowded calendar needs more bookings than calls off.
WHAT = ["series"] * 3 + ["one"] * 4 + ["move", "move", "off", "back", "change"]


class TestSeriesBook:
    def test_books_every_date_that_is_not_closed(self, teacher: Any, aoife: Any) -> None:
        ClosureFactory(first_date=date(2026, 9, 21), last_date=date(2026, 9, 25))

        series = services.series_book(wish=wish_for(aoife), by=teacher, now=NOW)

        starts = [each.starts_at.astimezone(DUBLIN) for each in series.lessons.in_order()]
        assert [each.date().day for each in starts] == [8, 15, 29, 6, 13]
        assert {each.time() for each in starts} == {time(16)}
        assert all(lesson.takers.get().student == aoife for lesson in series.lessons.all())
        assert Event.objects.get(kind="series_booked").detail["lessons"] == 5

    def test_refuses_an_overlap_and_writes_nothing(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        services.series_book(wish=wish_for(aoife), by=teacher, now=NOW)

        with pytest.raises(LessonClash, match="8 September: it overlaps Aoife Moran") as refusal:
            services.series_book(
                wish=wish_for(tadhg, at=time(16, 15)),
                by=teacher,
                now=NOW,
                road_reason="I know a short cut",
            )

        assert len(refusal.value.clashes) == 6
        assert not refusal.value.can_be_overruled
        assert Series.objects.count() == 1

    def test_refuses_too_little_road_and_names_the_minutes(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        services.series_book(wish=wish_for(aoife), by=teacher, now=NOW)

        with pytest.raises(LessonClash, match=r"minutes missing") as refusal:
            services.series_book(wish=wish_for(tadhg, at=time(16, 35)), by=teacher, now=NOW)

        assert refusal.value.can_be_overruled
        assert Series.objects.count() == 1

    def test_books_a_too_long_road_if_the_teacher_says_why(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        services.series_book(wish=wish_for(aoife), by=teacher, now=NOW)

        series = services.series_book(
            wish=wish_for(tadhg, at=time(16, 35)), by=teacher, now=NOW, road_reason="by motorbike"
        )

        assert {row.road_overruled_reason for row in series.lessons.all()} == {"by motorbike"}

    def test_siblings_follow_each_other_in_one_home(self, teacher: Any, aoife: Any) -> None:
        """Edge case 9: siblings follow each other in one home without a gap."""
        brother = Student.objects.create(name="Cian Moran", family=aoife.family)
        services.series_book(wish=wish_for(aoife), by=teacher, now=NOW)

        series = services.series_book(wish=wish_for(brother, at=time(16, 30)), by=teacher, now=NOW)

        assert series.lessons.count() == 6

    def test_a_date_in_the_way_can_be_left_out(
        self, teacher: Any, aoife: Any, tadhg: Any, studio: Any
    ) -> None:
        """Edge case 47: five of six free."""
        LessonFactory(
            place=aoife.family.home,
            student=aoife,
            starts_at=datetime(2026, 9, 15, 15, tzinfo=UTC),
        )
        wish = wish_for(tadhg)
        plan = series_plan(wish=wish, studio=studio)
        assert [found.occurrence.day for found in plan.in_the_way] == [date(2026, 9, 15)]
        assert plan.free_count == 5

        series = services.series_book(
            wish=replace(wish, left_out=frozenset({date(2026, 9, 15)})), by=teacher, now=NOW
        )

        assert series.lessons.count() == 5

    def test_books_only_what_was_seen(
        self, teacher: Any, aoife: Any, tadhg: Any, studio: Any
    ) -> None:
        """Edge case 34: the calendar changes between looking and pressing."""
        wish = wish_for(aoife)
        seal = series_plan(wish=wish, studio=studio).seal
        ClosureFactory(first_date=date(2026, 9, 15), last_date=date(2026, 9, 15))

        with pytest.raises(PlanChanged):
            services.series_book(wish=wish, by=teacher, now=NOW, seal=seal)

        assert not Lesson.objects.exists()

    def test_a_repeated_press_books_once(self, teacher: Any, aoife: Any, studio: Any) -> None:
        """Edge case 35."""
        wish = wish_for(aoife)
        seal = series_plan(wish=wish, studio=studio).seal
        services.series_book(wish=wish, by=teacher, now=NOW, seal=seal)

        with pytest.raises(PlanChanged):
            services.series_book(wish=wish, by=teacher, now=NOW, seal=seal)

        assert Lesson.objects.count() == 6

    def test_says_when_nothing_is_left(self, teacher: Any, aoife: Any) -> None:
        ClosureFactory(first_date=date(2026, 9, 1), last_date=date(2026, 12, 1))

        with pytest.raises(NothingToBook):
            services.series_book(wish=wish_for(aoife), by=teacher, now=NOW)

    def test_a_time_that_the_clock_skips_writes_nothing(self, teacher: Any, aoife: Any) -> None:
        wish = wish_for(aoife, first=date(2027, 3, 21), last=date(2027, 4, 4), at=time(1, 30))

        with pytest.raises(CannotRepeat, match="28 March 2027"):
            services.series_book(wish=wish, by=teacher, now=NOW)

        assert not Series.objects.exists()

    def test_a_called_off_lesson_frees_its_time(self, teacher: Any, aoife: Any, tadhg: Any) -> None:
        LessonFactory(
            place=aoife.family.home,
            student=aoife,
            starts_at=datetime(2026, 9, 8, 15, tzinfo=UTC),
            status=LessonStatus.CALLED_OFF,
            called_off_by="family",
            called_off_told_at=NOW,
            called_off_outcome="called_off",
        )

        assert services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)


class TestLessonBook:
    def test_over_a_clock_change_the_neighbour_is_the_right_one(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        services.lesson_book(
            students=[aoife],
            place=aoife.family.home,
            day=date(2026, 10, 25),
            at=time(11),
            minutes=30,
            by=teacher,
            now=NOW,
        )

        with pytest.raises(LessonClash, match="11:00-11:30"):
            services.lesson_book(
                students=[tadhg],
                place=tadhg.family.home,
                day=date(2026, 10, 25),
                at=time(11, 15),
                minutes=30,
                by=teacher,
                now=NOW,
            )


class TestTheNetBelow:
    """The database refuses by itself what no service let through."""

    def test_refuses_a_second_lesson_at_once(self, aoife: Any) -> None:
        first = LessonFactory(place=aoife.family.home)

        with pytest.raises(IntegrityError, match=NAME), transaction.atomic():
            LessonFactory(
                place=aoife.family.home, starts_at=first.starts_at + timedelta(minutes=29)
            )

    def test_refuses_a_change_that_overlaps(self, aoife: Any) -> None:
        first, second = LessonFactory(place=aoife.family.home), LessonFactory()

        with pytest.raises(IntegrityError, match=NAME), transaction.atomic():
            Lesson.objects.filter(pk=second.pk).update(
                starts_at=first.starts_at, ends_at=first.ends_at
            )

    def test_lets_neighbours_touch_and_called_off_ones_lie_over_others(self, aoife: Any) -> None:
        first = LessonFactory(place=aoife.family.home)
        LessonFactory(place=aoife.family.home, starts_at=first.ends_at)
        LessonFactory(
            starts_at=first.starts_at,
            status=LessonStatus.CALLED_OFF,
            called_off_by="teacher",
            called_off_told_at=NOW,
            called_off_outcome="called_off_by_teacher",
        )

        assert Lesson.objects.count() == 3

    def test_becomes_a_clear_refusal(self, aoife: Any) -> None:
        first = LessonFactory(place=aoife.family.home)

        with pytest.raises(LessonClash, match="a moment ago"), services.calendar_held():
            LessonFactory(place=aoife.family.home, starts_at=first.starts_at)

    def test_is_up_after_all_migrations(self) -> None:
        if connection.vendor == "postgresql":
            query = "SELECT conname FROM pg_constraint WHERE conname = %s"
        else:
            query = "SELECT name FROM sqlite_master WHERE type = 'trigger' AND name LIKE %s || '%%'"
        with connection.cursor() as cursor:
            cursor.execute(query, [NAME])
            found = cursor.fetchall()

        assert len(found) == (1 if connection.vendor == "postgresql" else 2)


class TestNothingEverOverlaps:
    """Whatever is pressed in whatever order, the calendar can be driven."""

    # A calendar must be crowded before its rules are tried: forty presses on one afternoon and its
    # weeks, drawn from a seed, find in seconds what short lists of presses never meet.
    @settings(max_examples=8, phases=[Phase.generate])
    @given(chance=st.integers(0, 10**6).map(Random))
    def test_by_any_row_of_presses(self, chance: Random, studio: Any, teacher: Any) -> None:
        presses = [
            (
                chance.choice(WHAT),
                chance.randrange(4),
                chance.randrange(2),
                chance.randrange(42),
                chance.choice([30, 45]),
            )
            for _ in range(40)
        ]
        with transaction.atomic():
            homes = [
                Place.objects.create(
                    kind="home", name=f"Door {n}", latitude=f"51.{80 + 6 * n}", longitude="-8.5"
                )
                for n in range(4)
            ]
            student = self._student(homes[0])
            for press in presses:
                self._press(press, homes, student, teacher)
            visits = visits_between(
                datetime(2026, 9, 1, tzinfo=UTC), datetime(2026, 11, 1, tzinfo=UTC)
            )
            assert len(visits) >= 2
            assert all_clashes(visits, road_book(studio), DUBLIN) == ()
            transaction.set_rollback(True)

    def _student(self, home: Place) -> Student:
        from studio.models import Family

        return Student.objects.create(
            name="Everybody", family=Family.objects.create(name="All", home=home)
        )

    def _press(
        self,
        press: tuple[str, int, int, int, int],
        homes: list[Place],
        student: Student,
        teacher: Any,
    ) -> None:
        what, where, day, step, minutes = press
        at = (datetime(2026, 9, 7, 14) + timedelta(minutes=5 * step)).time()
        date_ = date(2026, 9, 7) + timedelta(days=day)
        lessons = list(Lesson.objects.in_order())
        lesson = lessons[step % len(lessons)] if lessons else None
        some = {"by": teacher, "now": NOW}
        slot = {"day": date_, "at": at, "minutes": minutes, "place": homes[where]}
        try:
            if what == "series":
                last = date_ + timedelta(weeks=where)
                wish = wish_for(
                    student, first=date_, last=last, at=at, minutes=minutes, place=homes[where]
                )
                services.series_book(wish=wish, **some)
            elif what == "change":
                self._change(slot, some)
            elif what == "one":
                services.lesson_book(students=[student], **slot, **some)
            elif lesson is None:
                return
            elif what == "move":
                services.lesson_move(lesson=lesson, **slot, **some)
            elif what == "off":
                services.lesson_call_off(
                    lesson=lesson, called_off_by="teacher", told_at=NOW, reason="", **some
                )
            else:
                services.lesson_reinstate(lesson=lesson, **some)
        except (LessonClash, NothingToBook, CannotRepeat, services.LessonLocked):
            return

    def _change(self, slot: dict[str, Any], some: dict[str, Any]) -> None:
        """Give two series the slot's time from the day on, one after the other, at once."""
        rows = list(Series.objects.filter(last_date__gte=slot["day"]).order_by("-pk")[:2])
        changes = []
        for n, series in enumerate(rows):
            at = (datetime.combine(slot["day"], slot["at"]) + timedelta(minutes=90 * n)).time()
            rule = rule_from(series, slot["day"], at=at, minutes=slot["minutes"])
            wish = SeriesWish(tuple(series.students.all()), slot["place"], rule)
            changes.append(SeriesChange(slot["day"], series, wish))
        series_replace_many(changes, **some)
