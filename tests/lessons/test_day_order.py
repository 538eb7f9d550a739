"""Re-ordering a day: what may move, what it would save, and taking it over family by family."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from lessons import services
from lessons.models import DayRule, Lesson, StudentWindow, TeachingLimits, WorkingHours
from lessons.planning.clashes import all_clashes
from lessons.ribbon import order_ribbons
from lessons.selectors import day_plan, road_book, visits_between
from lessons.selectors.day_order import DayProposal, answered
from lessons.selectors.ordering import day_question
from studio.models import OutgoingEmail
from tests.factories.lessons import AppointmentFactory, LessonFactory, PlaceCorrectionFactory
from tests.factories.studio import (
    AdultFactory,
    FamilyFactory,
    PlaceFactory,
    SchoolFactory,
    StudentFactory,
)
from tests.lessons.conftest import DUBLIN, NOW, text_of

pytestmark = pytest.mark.django_db
DAY = date(2026, 9, 8)
THREE = datetime(2026, 9, 8, 14, tzinfo=UTC)


def lesson_at(place: Any, student: Any, hours: float, **more: Any) -> Lesson:
    """A lesson so many hours after three o'clock in the afternoon."""
    starts = THREE + timedelta(hours=hours)
    lesson: Lesson = LessonFactory(place=place, student=student, starts_at=starts, **more)
    return lesson


@pytest.fixture
def zigzag(studio: Any, aoife: Any, tadhg: Any) -> list[Lesson]:
    """Near, far, near, far: two families each have a neighbour in the same street."""
    near = StudentFactory(
        name="Bláthnaid Moran",
        family=FamilyFactory(
            name="Neighbours near",
            home=PlaceFactory(name="Next to near", latitude="51.900500", longitude="-8.480500"),
        ),
    )
    AdultFactory(family=near.family, name="Una Moran", email="una@example.com", phone="021 1")
    far = StudentFactory(
        name="Cian Lynch",
        family=FamilyFactory(
            name="Neighbours far",
            home=PlaceFactory(name="Next to far", latitude="51.990500", longitude="-8.600500"),
        ),
    )
    AdultFactory(family=tadhg.family, name="Brian Lynch", email="", phone="021 2")
    order = [aoife, tadhg, near, far]
    return [lesson_at(who.family.home, who, 1.25 * n) for n, who in enumerate(order)]


def proposal(studio: Any, **more: Any) -> DayProposal:
    return answered(day_question(day=DAY, studio=studio, now=NOW, **more))


def families(found: DayProposal) -> list[int]:
    return [family.pk for family, _ in found.to_ask]


def accept(found: DayProposal, agreed: list[int], teacher: Any, **more: Any) -> list[Lesson]:
    return services.day_reorder(
        day=DAY,
        agreed=agreed,
        staying=more.pop("staying", ()),
        seal=more.pop("seal", found.question.seal),
        by=teacher,
        now=NOW,
        **more,
    )


def clashes_of_the_day(studio: Any) -> tuple[Any, ...]:
    visits = visits_between(THREE, THREE + timedelta(hours=6))
    return all_clashes(visits, road_book(studio), DUBLIN)


class TestProposal:
    def test_saves_driving_and_says_what_and_that_it_is_proven(
        self, studio: Any, zigzag: list[Lesson]
    ) -> None:
        found = proposal(studio)

        assert found.is_better
        assert found.is_proven
        assert found.saved_minutes > 20
        assert found.saved_km is not None
        assert found.saved_km > 10
        places = [row.visit.stop.name for row in found.rows]
        assert [row.visit.key for row in found.today] == [lesson.pk for lesson in zigzag]
        as_it_is, then = order_ribbons(found)
        assert as_it_is.width == then.width
        drawn = [sum(end - start for start, end in one.roads) for one in (as_it_is, then)]
        home = road_book(studio).to_base(found.rows[-1].visit.stop).minutes or 0
        assert drawn[1] == (found.new_road.minutes or 0) - home
        assert drawn[0] > drawn[1]
        assert {*places[:2]} in ({"Near door", "Next to near"}, {"Far door", "Next to far"})

    def test_keeps_a_school_block_an_appointment_and_who_cannot_move(
        self, studio: Any, zigzag: list[Lesson]
    ) -> None:
        """Edge case 43: a fixed school block in the middle, and one family that cannot move."""
        school = SchoolFactory()
        block = lesson_at(
            school.place, None, 5, kind="school", school=school, label="Third class", minutes=60
        )
        own = AppointmentFactory(begins_at=time(13), ends_at=time(14))
        stays = zigzag[1]

        found = proposal(studio, staying=[stays.pk])

        fixed = {row.visit.key: row for row in found.rows if row.visit.why_fixed}
        assert set(fixed) == {block.pk, -own.pk, stays.pk}
        assert not any(row.is_moved for row in fixed.values())
        assert fixed[block.pk].visit.why_fixed == "a school block"

    def test_goes_by_the_times_that_families_told(
        self, studio: Any, zigzag: list[Lesson], tadhg: Any
    ) -> None:
        StudentWindow.objects.create(student=tadhg, weekday=1, begins_at=time(16), ends_at=time(17))

        row = next(r for r in proposal(studio).rows if r.visit.key == zigzag[1].pk)

        assert (row.visit.opens, row.visit.latest) == (16 * 60, 16 * 60 + 30)
        assert 16 * 60 <= row.new_start <= 16 * 60 + 30

    def test_leaves_room_for_the_meal_and_begins_where_the_day_begins(
        self, studio: Any, zigzag: list[Lesson], tadhg: Any
    ) -> None:
        """Edge case 53: the day starts at one place and ends at another."""
        DayRule.objects.create(
            weekday=1,
            starts_from=tadhg.family.home,
            ends_at_place=studio.base,
            meal_from=time(12),
            meal_until=time(15),
        )

        found = proposal(studio)

        assert found.rows[0].visit.stop.name in ("Far door", "Next to far")
        assert not found.is_meal_lost

    def test_the_road_of_the_day_page_at_its_own_hours(
        self, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 17: a road that is long at some hours counts as on the day's own page."""
        near, far = aoife.family.home, tadhg.family.home
        for begins, ends, minutes in ((None, None, 25), (time(17), time(18), 70)):
            PlaceCorrectionFactory(
                from_place=near, to_place=far, minutes=minutes, from_time=begins, until_time=ends
            )
        lesson_at(near, aoife, 0)
        lesson_at(far, tadhg, 1)
        plan = day_plan(day=DAY, studio=studio)

        found = proposal(studio)

        assert found.now_road.minutes == plan.driving_minutes
        assert found.is_today_kept
        assert [row.road for row in found.today] == [stop.leg.road.minutes for stop in plan.stops]

    def test_without_a_gain_the_day_is_shown_as_it_is(
        self, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        lesson_at(aoife.family.home, aoife, 0)
        lesson_at(tadhg.family.home, tadhg, 3)

        found = proposal(studio)

        assert found.moved
        assert not found.is_better
        assert found.shown == found.today

    def test_kilometres_add_up_to_the_roads_shown(self, studio: Any, zigzag: list[Lesson]) -> None:
        plan, found = day_plan(day=DAY, studio=studio), proposal(studio)
        assert plan.road_home is not None
        roads = [*(stop.leg.road for stop in plan.stops), plan.road_home]

        assert found.now_road.km == pytest.approx(sum(round(road.km or 0, 1) for road in roads))

    def test_a_day_in_the_past_stays(self, studio: Any, zigzag: list[Lesson]) -> None:
        later = THREE + timedelta(days=1)
        found = answered(day_question(day=DAY, studio=studio, now=later))

        assert {row.visit.why_fixed for row in found.rows} == {"it has begun"}
        assert not found.is_better

    def test_an_online_lesson_is_given_from_anywhere_unless_a_desk_is_needed(
        self, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 20: an online lesson between two home visits; off by default."""
        online = PlaceFactory(kind="online", name="Online", latitude=None, longitude=None)
        lesson_at(aoife.family.home, aoife, 0)
        lesson_at(online, tadhg, 0.5)
        lesson_at(aoife.family.home, aoife, 1)

        without = proposal(studio).now_road.minutes
        assert clashes_of_the_day(studio) == ()
        TeachingLimits.objects.create(pk=1, is_room_needed_online=True)

        assert proposal(studio).now_road.minutes == 2 * (without or 0)
        assert {clash.kind for clash in clashes_of_the_day(studio)} == {"road"}

    def test_asks_the_database_as_often_for_many_lessons_as_for_one(
        self, studio: Any, aoife: Any
    ) -> None:
        counts = []
        for hours in (0, 1, 2, 3):
            lesson_at(aoife.family.home, aoife, hours)
            with CaptureQueriesContext(connection) as queries:
                proposal(studio)
            counts.append(len(queries))

        assert len(set(counts[1:])) == 1


class TestAccepting:
    def test_moves_everybody_at_once_and_tells_them_if_wished(
        self, studio: Any, teacher: Any, zigzag: list[Lesson]
    ) -> None:
        found = proposal(studio)
        before = {lesson.pk: lesson.starts_at for lesson in zigzag}

        moved = accept(found, families(found), teacher, is_family_told=True)

        assert len(moved) == len(found.moved)
        assert clashes_of_the_day(studio) == ()
        for row in found.moved:
            lesson = Lesson.objects.get(pk=row.visit.key)
            assert lesson.starts_at == row.starts_at(DUBLIN)
            assert lesson.moved_from == before[lesson.pk]
            assert lesson.revision == 1
        told = set(OutgoingEmail.objects.values_list("to", flat=True))
        assert told <= {"una@example.com", "orla@example.com"}
        assert told
        again = proposal(studio)
        assert again.now_road.minutes == found.new_road.minutes
        assert not again.is_better

    def test_two_lessons_may_change_places(
        self, studio: Any, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        first = lesson_at(aoife.family.home, aoife, 0)
        second = lesson_at(aoife.family.home, tadhg, 0.5)

        services.lessons_retime(
            times={first.pk: second.starts_at, second.pk: first.starts_at},
            by=teacher,
            now=NOW,
            studio=studio,
        )

        assert Lesson.objects.get(pk=first.pk).starts_at == second.starts_at
        assert Lesson.objects.get(pk=second.pk).starts_at == first.starts_at

    def test_part_of_it_must_be_free_of_clashes_by_itself(
        self, studio: Any, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 43: two families change places before a school block; one alone cannot."""
        WorkingHours.objects.create(weekday=1, begins_at=time(15), ends_at=time(18))
        school = SchoolFactory(place=PlaceFactory(latitude="51.990100", longitude="-8.600100"))
        lesson_at(tadhg.family.home, tadhg, 0)
        lesson_at(aoife.family.home, aoife, 1)
        lesson_at(
            school.place, None, 2, kind="school", school=school, label="Third class", minutes=60
        )
        before = sorted(Lesson.objects.values_list("pk", "starts_at"))
        found = proposal(studio)
        assert len(families(found)) == 2

        for family in families(found):
            with pytest.raises(services.LessonClash, match="would stay: ask them as well"):
                accept(found, [family], teacher)
        assert sorted(Lesson.objects.values_list("pk", "starts_at")) == before
        accept(found, families(found), teacher)
        assert clashes_of_the_day(studio) == ()

    def test_a_day_that_changed_meanwhile_is_left_alone(
        self, studio: Any, teacher: Any, zigzag: list[Lesson], aoife: Any
    ) -> None:
        found = proposal(studio)
        lesson_at(aoife.family.home, aoife, 6)

        with pytest.raises(services.PlanChanged, match="Nothing was moved"):
            accept(found, families(found), teacher)

    def test_nobody_ticked_moves_nobody(
        self, studio: Any, teacher: Any, zigzag: list[Lesson]
    ) -> None:
        found = proposal(studio)

        with pytest.raises(services.NothingToBook, match="Nobody is ticked"):
            accept(found, [], teacher)

    def test_a_new_time_over_something_else_is_refused_whole(
        self, studio: Any, teacher: Any, zigzag: list[Lesson]
    ) -> None:
        with pytest.raises(services.LessonClash, match="Nothing was moved"):
            services.lessons_retime(
                times={
                    zigzag[0].pk: zigzag[1].starts_at,
                    zigzag[2].pk: zigzag[2].starts_at + timedelta(hours=5),
                },
                by=teacher,
                now=NOW,
                studio=studio,
            )

        assert Lesson.objects.get(pk=zigzag[2].pk).starts_at == zigzag[2].starts_at


@pytest.mark.usefixtures("_tuesday")
class TestPage:
    def test_shows_both_days_and_moves_those_who_agreed(
        self, client: Client, studio: Any, zigzag: list[Lesson]
    ) -> None:
        shown = client.get("/day/2026-09-08/order/")
        page = text_of(shown)
        found = shown.context["proposal"]

        done = client.post(
            "/day/2026-09-08/order/",
            {"seal": shown.context["question"].seal, "agreed": families(found)},
            follow=True,
        )

        assert "Nothing has changed yet" in page
        assert "Proven: no other order" in page
        assert all(family.name in page for family, _ in found.to_ask)
        assert "Brian Lynch" in page
        assert 'Cian Lynch <span class="num quiet">18:45</span>' in page
        assert f"{len(found.moved)} lessons are moved" in text_of(done)

    @pytest.mark.parametrize(
        "hostile",
        [
            {"seal": "x" * 500},
            {"seal": "old", "agreed": ["9" * 400, "-1", "a\x00"]},
            {"stay": ["1"] * 500},
        ],
    )
    def test_refuses_nonsense_and_moves_nothing(
        self, client: Client, zigzag: list[Lesson], hostile: dict[str, Any]
    ) -> None:
        answer = client.post("/day/2026-09-08/order/", hostile)

        assert answer.status_code == 422
        assert not Lesson.objects.filter(moved_from__isnull=False).exists()

    @pytest.mark.parametrize("day", ["2026-13-40", "9999-01-01", "tomorrow", "0" * 400])
    def test_no_such_day(self, client: Client, day: str) -> None:
        for page in ("", "order/", "sheet.pdf"):
            assert client.get(f"/day/{day}/{page}").status_code == 404
