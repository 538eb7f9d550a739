"""One of a group stays away; a student pauses, leaves, comes back."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from typing import Any

import pytest
from django.test import Client

from lessons import services
from lessons.models import Lesson, LessonKind, LessonStudent, Series
from lessons.selectors.facts import lesson_facts
from lessons.selectors.people import family_lessons
from lessons.services.absences import (
    NotInAGroup,
    group_comes_after_all,
    group_stays_away,
    student_leave,
    student_pause,
)
from studio.models import OutgoingEmail, Student
from tests.factories.lessons import LessonFactory, TermFactory
from tests.lessons.conftest import NOW, text_of, wish_for

pytestmark = pytest.mark.django_db


@pytest.fixture
def group(teacher: Any, aoife: Any, tadhg: Any) -> Series:
    """Four who learn together on Tuesdays at 18:00 in Aoife's home."""
    more = [Student.objects.create(name=f"Child {n}", family=aoife.family) for n in (1, 2)]
    wish = wish_for(aoife, at=time(18), kind=LessonKind.GROUP, label="Tuesday four")
    wish = type(wish)(
        (aoife, tadhg, *more), wish.place, wish.rule, kind=wish.kind, label=wish.label
    )
    return services.series_book(wish=wish, by=teacher, now=NOW)


class TestAGroup:
    def test_stands_when_one_is_away_and_the_teacher_is_asked_when_three_are(
        self, client: Client, teacher: Any, group: Series, tadhg: Any
    ) -> None:
        """Edge case 31: one away, the lesson stands; three away, the teacher is asked."""
        lesson = group.lessons.in_order()[1]
        others = [t.student_id for t in lesson.takers.exclude(student=tadhg).order_by("pk")]
        address = f"/lessons/{lesson.pk}/away/"

        client.post(address, {"student": tadhg.pk, "reason": "play"})
        one = text_of(client.get(address))
        for pk in others[:2]:
            client.post(address, {"student": pk})
        three = text_of(client.get(address))
        refused = client.post(address, {"student": others[2]})

        assert "cannot come: play" in one
        assert "or call it off for all?" not in one
        assert "is left of 4. Hold the lesson for one, or call it off for all?" in three
        assert refused.status_code == 422
        lesson.refresh_from_db()
        assert (lesson.status, lesson.revision) == ("planned", 3)

    def test_who_is_away_is_not_waited_for_and_not_charged(
        self, teacher: Any, group: Series, aoife: Any, tadhg: Any
    ) -> None:
        lesson = group.lessons.in_order()[1]
        coming = group_stays_away(
            lesson=lesson, student=tadhg, told_at=NOW, reason="", by=teacher, now=NOW
        )

        for student in coming:
            services.lesson_mark(
                lesson=lesson, attendance={student.pk: "present"}, by=teacher, now=lesson.ends_at
            )

        lesson.refresh_from_db()
        assert lesson.is_done
        facts = lesson_facts(
            family=tadhg.family, first_date=date(2026, 9, 15), last_date=date(2026, 9, 15)
        )
        assert [fact.outcome for fact in facts] == ["called_off"]

    def test_a_family_reads_of_its_own_children_only(
        self, teacher: Any, group: Series, tadhg: Any
    ) -> None:
        Series.objects.update(label="")
        Lesson.objects.update(label="")
        lesson = group.lessons.in_order()[1]
        group_stays_away(lesson=lesson, student=tadhg, told_at=NOW, reason="", by=teacher, now=NOW)

        services.lesson_move(
            lesson=lesson, day=date(2026, 9, 16), at=time(18), minutes=30, place=lesson.place,
            by=teacher, now=NOW, is_family_told=True,
        )  # fmt: skip

        shown = family_lessons(family=tadhg.family, now=NOW)
        assert {row.names for row in shown} == {"Tadhg Lynch"}
        mail = OutgoingEmail.objects.get()
        assert mail.subject == "Tadhg Lynch: lesson moved"
        assert "Aoife" not in mail.body

    def test_comes_after_all(self, teacher: Any, group: Series, tadhg: Any) -> None:
        lesson = group.lessons.in_order()[1]
        group_stays_away(lesson=lesson, student=tadhg, told_at=NOW, reason="", by=teacher, now=NOW)

        group_comes_after_all(lesson=lesson, student=tadhg, by=teacher, now=NOW)

        assert not LessonStudent.objects.exclude(away_outcome="").exists()

    def test_a_lesson_for_one_is_called_off_instead(self, teacher: Any, aoife: Any) -> None:
        lesson = LessonFactory(place=aoife.family.home, student=aoife)

        with pytest.raises(NotInAGroup):
            group_stays_away(
                lesson=lesson, student=aoife, told_at=NOW, reason="", by=teacher, now=NOW
            )


class TestAPause:
    def test_calls_off_as_agreed_and_the_series_goes_on(
        self, teacher: Any, tadhg: Any, group: Series
    ) -> None:
        """Edge case 28: a month's pause, in the group as well."""
        series = services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)

        absence = student_pause(
            student=tadhg, first_date=date(2026, 9, 14), last_date=date(2026, 10, 4),
            counts_as="called_off", reason="exchange", by=teacher, now=NOW, is_family_told=True,
        )  # fmt: skip

        assert absence.count == 6
        off = series.lessons.filter(status="called_off")
        assert {(row.called_off_by, row.called_off_outcome) for row in off} == {
            ("family", "called_off")
        }
        assert [row.starts_at.day for row in series.lessons.taking_time().in_order()] == [8, 6, 13]
        assert group.lessons.taking_time().count() == 6
        assert LessonStudent.objects.filter(student=tadhg, away_outcome="called_off").count() == 3
        mail = OutgoingEmail.objects.get()
        assert mail.body.count("September") == 6
        again = student_pause(
            student=tadhg, first_date=date(2026, 9, 14), last_date=date(2026, 10, 4),
            counts_as="called_off", reason="exchange", by=teacher, now=NOW, is_family_told=True,
        )  # fmt: skip
        assert again.count == 0

    @pytest.mark.usefixtures("_tuesday")
    def test_the_page_shows_what_is_called_off_first(
        self, client: Client, teacher: Any, tadhg: Any
    ) -> None:
        services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
        answer = {
            "first_date": "2026-09-14", "last_date": "2026-10-04", "counts_as": "called_off",
        }  # fmt: skip

        seen = client.post(f"/students/{tadhg.pk}/pause/", answer | {"look": "1"})
        still = Lesson.objects.filter(status="planned").count()
        client.post(f"/students/{tadhg.pk}/pause/", answer | {"seal": seen.context["absence"].seal})

        assert "This calls off 3 lessons" in text_of(seen)
        assert still == 6
        assert Lesson.objects.filter(status="planned").count() == 3


class TestLeavingAndComingBack:
    def test_leaves_at_the_end_of_the_month_and_the_group_goes_on(
        self, teacher: Any, tadhg: Any, group: Series
    ) -> None:
        """Edge case 28: what is given stays, what is after is off."""
        series = services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)

        absence = student_leave(
            student=tadhg, last_date=date(2026, 9, 30), reason="moves", by=teacher, now=NOW
        )

        assert absence.count == 4
        assert [row.starts_at.day for row in series.lessons.taking_time().in_order()] == [
            8,
            15,
            22,
            29,
        ]
        later = Series.objects.get(split_from=group)
        assert tadhg not in later.students.all()
        assert LessonStudent.objects.filter(lesson__series=later).count() == 6
        assert LessonStudent.objects.filter(lesson__series=group, student=tadhg).count() == 4
        tadhg.refresh_from_db()
        assert tadhg.left_date == date(2026, 9, 30)

    @pytest.mark.usefixtures("_tuesday")
    def test_the_old_time_is_taken_and_that_is_said(
        self, client: Client, teacher: Any, tadhg: Any, aoife: Any
    ) -> None:
        """Edge case 28: back in autumn, somebody else has the time by now."""
        TermFactory(first_date=date(2026, 10, 1), last_date=date(2026, 11, 15))
        services.series_book(
            wish=wish_for(tadhg, first=date(2026, 4, 7), last=date(2026, 6, 30)),
            by=teacher,
            now=datetime(2026, 3, 1, tzinfo=UTC),
        )
        tadhg.left_date = date(2026, 6, 30)
        tadhg.save()
        services.series_book(wish=wish_for(aoife, last=date(2026, 11, 10)), by=teacher, now=NOW)
        address = f"/students/{tadhg.pk}/return/"

        client.post(address)
        said = text_of(client.get(address))

        tadhg.refresh_from_db()
        assert tadhg.left_date is None
        assert "Taken: 0 of 6 dates of Autumn term are free." in said
        assert "overlaps Aoife Moran" in said
        assert f"/series/find/?student={tadhg.pk}" in said

        Lesson.objects.filter(takers__student=aoife).delete()
        assert "Free on all 6 dates" in text_of(client.get(address))

    @pytest.mark.usefixtures("_tuesday")
    def test_the_page_names_what_is_lost(self, client: Client, teacher: Any, tadhg: Any) -> None:
        services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
        address = f"/students/{tadhg.pk}/leave/"

        asked = text_of(client.get(address))
        seen = client.post(address, {"last_date": "2026-09-30", "look": "1"})
        client.post(address, {"last_date": "2026-09-30", "seal": seen.context["absence"].seal})

        assert "2026-09-30" in asked
        assert "This calls off 2 lessons" in text_of(seen)
        assert Lesson.objects.filter(status="planned").count() == 4
        bad = client.post(address, {"last_date": "2026-09-01", "look": "1"})
        assert bad.status_code == 422
