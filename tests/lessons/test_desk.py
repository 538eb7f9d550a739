"""Attendance and the note, and what billing reads of it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from lessons import services
from lessons.models import Lesson, ProgressNote
from lessons.selectors import family_notes, lesson_facts
from lessons.services import LessonLocked, LessonNotYet, NoteEmpty
from studio.models import Event, OutgoingEmail, Student
from tests.factories.lessons import LessonFactory, LessonStudentFactory, TravelBandFactory
from tests.factories.studio import AdultFactory
from tests.lessons.conftest import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def lesson(tadhg: Any) -> Any:
    return LessonFactory(
        place=tadhg.family.home, student=tadhg, starts_at=datetime(2026, 9, 8, 15, tzinfo=UTC)
    )


def _mark(lesson: Lesson, teacher: Any, marks: dict[int, str], now: datetime | None = None) -> Any:
    return services.lesson_mark(
        lesson=lesson, attendance=marks, by=teacher, now=now or lesson.ends_at
    )


class TestLessonMark:
    def test_is_done_when_everybody_is_marked(self, teacher: Any, lesson: Any, tadhg: Any) -> None:
        sister = Student.objects.create(name="Niamh Lynch", family=tadhg.family)
        LessonStudentFactory(lesson=lesson, student=sister)

        assert not _mark(lesson, teacher, {tadhg.pk: "present"}).is_done
        assert _mark(lesson, teacher, {sister.pk: "no_show"}).is_done

    def test_a_mark_taken_back_leaves_its_trace(
        self, teacher: Any, lesson: Any, tadhg: Any
    ) -> None:
        """Edge case 27: the record keeps the correction."""
        _mark(lesson, teacher, {tadhg.pk: "no_show"})
        again = _mark(lesson, teacher, {tadhg.pk: "unmarked"})

        assert again.is_planned
        traces = Event.objects.filter(kind="attendance_marked").order_by("pk")
        assert [trace.detail["after"] for trace in traces] == ["no_show", "unmarked"]

    def test_opens_on_the_lessons_own_day(self, teacher: Any, lesson: Any, tadhg: Any) -> None:
        with pytest.raises(LessonNotYet):
            _mark(lesson, teacher, {tadhg.pk: "present"}, datetime(2026, 9, 7, 22, tzinfo=UTC))

        # Half past midnight in Cork is still the day before in UTC.
        assert _mark(
            lesson, teacher, {tadhg.pk: "present"}, datetime(2026, 9, 7, 23, 30, tzinfo=UTC)
        ).is_done

    def test_refuses_a_called_off_lesson(self, teacher: Any, lesson: Any, tadhg: Any) -> None:
        services.lesson_call_off(
            lesson=lesson,
            called_off_by="family",
            told_at=NOW,
            reason="",
            by=teacher,
            now=NOW,
        )

        with pytest.raises(LessonLocked):
            _mark(lesson, teacher, {tadhg.pk: "present"})


class TestNotes:
    def _write(self, lesson: Any, student: Any, teacher: Any, body: str) -> ProgressNote:
        return services.note_write(
            lesson=lesson, student=student, body=body, by=teacher, now=lesson.ends_at
        )

    def test_a_draft_is_kept_and_the_family_sees_nothing(
        self, teacher: Any, lesson: Any, tadhg: Any
    ) -> None:
        self._write(lesson, tadhg, teacher, "  Sixteenths even at 80.\n")

        assert ProgressNote.objects.get().body == "Sixteenths even at 80."
        assert family_notes(family=tadhg.family) == []
        assert not OutgoingEmail.objects.exists()

    def test_sending_queues_a_message_to_everybody_who_receives_notes(
        self, teacher: Any, lesson: Any, tadhg: Any
    ) -> None:
        AdultFactory(family=tadhg.family, name="Quiet", receives_notes=False)
        AdultFactory(family=tadhg.family, name="Paper", email="")
        note = self._write(lesson, tadhg, teacher, "Łukasz, Ἀθηνᾶ, Ó Súilleabháin: maith thú!")

        sent = services.note_send(note=note, by=teacher, now=lesson.ends_at)

        assert sent.mailed == ("Orla Lynch",)
        assert sent.without_address == ("Paper",)
        mail = OutgoingEmail.objects.get()
        assert mail.to == "orla@example.com"
        assert "Łukasz, Ἀθηνᾶ, Ó Súilleabháin: maith thú!" in mail.body
        assert "Tuesday 8 September" in mail.body
        assert [each.sent_body for each in family_notes(family=tadhg.family)] == [note.body]

    def test_a_second_press_sends_nothing(self, teacher: Any, lesson: Any, tadhg: Any) -> None:
        note = self._write(lesson, tadhg, teacher, "Good.")
        services.note_send(note=note, by=teacher, now=lesson.ends_at)

        again = services.note_send(note=note, by=teacher, now=lesson.ends_at)

        assert again.was_sent_before
        assert OutgoingEmail.objects.count() == 1

    def test_a_change_shows_only_when_sent_again(
        self, teacher: Any, lesson: Any, tadhg: Any
    ) -> None:
        note = self._write(lesson, tadhg, teacher, "Good.")
        services.note_send(note=note, by=teacher, now=lesson.ends_at)
        note = self._write(lesson, tadhg, teacher, "Very good.")

        assert not note.is_sent
        assert family_notes(family=tadhg.family)[0].sent_body == "Good."
        services.note_send(note=note, by=teacher, now=lesson.ends_at)
        assert family_notes(family=tadhg.family)[0].sent_body == "Very good."
        last = OutgoingEmail.objects.order_by("-pk")[0]
        assert "corrected note" in last.subject

    def test_an_empty_draft_is_taken_away_and_an_empty_note_not_sent(
        self, teacher: Any, lesson: Any, tadhg: Any
    ) -> None:
        self._write(lesson, tadhg, teacher, "Oops")
        note = self._write(lesson, tadhg, teacher, "   ")

        assert not ProgressNote.objects.exists()
        with pytest.raises(NoteEmpty):
            services.note_send(note=note, by=teacher, now=lesson.ends_at)

    def test_only_what_was_sent_is_visible_to_the_family(
        self, teacher: Any, lesson: Any, tadhg: Any
    ) -> None:
        note = self._write(lesson, tadhg, teacher, "Good.")
        orla = tadhg.family.adults.get()

        assert list(ProgressNote.objects.visible_to(teacher)) == [note]
        assert orla.user is None or not ProgressNote.objects.visible_to(orla.user).exists()


class TestLessonFacts:
    def _facts(self, family: Any, first: int = 1, last: int = 30) -> Any:
        return lesson_facts(
            family=family, first_date=date(2026, 9, first), last_date=date(2026, 9, last)
        )

    def test_say_what_happened_with_band_and_surcharge(
        self, teacher: Any, lesson: Any, tadhg: Any
    ) -> None:
        TravelBandFactory(up_to_km=Decimal(5), surcharge=Decimal(0))
        TravelBandFactory(up_to_km=Decimal(40), surcharge=Decimal("7.50"))
        _mark(lesson, teacher, {tadhg.pk: "present"})

        (fact,) = self._facts(tadhg.family)

        assert fact.outcome == "held"
        assert (fact.band_label, fact.surcharge) == ("5-40 km", Decimal("7.50"))
        assert fact.local_date == date(2026, 9, 8)
        assert (fact.place_kind, fact.place_name) == ("home", "Far door")
        assert fact.family_id == tadhg.family_id

    def test_the_past_keeps_its_surcharge_and_the_future_does_not(
        self, teacher: Any, lesson: Any, tadhg: Any
    ) -> None:
        """Edge case 14, for bands and for a family that moves house."""
        TravelBandFactory(up_to_km=Decimal(40), surcharge=Decimal(7))
        LessonFactory(
            place=tadhg.family.home, student=tadhg, starts_at=lesson.starts_at + timedelta(days=7)
        )
        _mark(lesson, teacher, {tadhg.pk: "present"})
        home = tadhg.family.home
        home.latitude, home.longitude = "51.897100", "-8.470100"
        home.save()
        TravelBandFactory(up_to_km=Decimal(2), surcharge=Decimal(0))

        past, future = self._facts(tadhg.family)

        assert (past.surcharge, past.outcome) == (Decimal(7), "held")
        assert (future.surcharge, future.outcome) == (Decimal(0), "planned")

    def test_days_are_the_studios_own(self, teacher: Any, tadhg: Any) -> None:
        """Half past midnight in Cork, which is the day before in UTC."""
        LessonFactory(
            place=tadhg.family.home,
            student=tadhg,
            starts_at=datetime(2026, 9, 8, 23, 30, tzinfo=UTC),
        )

        assert len(self._facts(tadhg.family, 9, 9)) == 1
        assert self._facts(tadhg.family, 8, 8) == ()

    @pytest.mark.parametrize(
        ("by", "outcome"), [("family", "called_off_late"), ("teacher", "called_off_by_teacher")]
    )
    def test_called_off_ones_are_facts_too(
        self, teacher: Any, lesson: Any, tadhg: Any, by: str, outcome: str
    ) -> None:
        services.lesson_call_off(
            lesson=lesson,
            called_off_by=by,
            told_at=lesson.starts_at,
            reason="ill",
            by=teacher,
            now=lesson.starts_at,
        )

        (fact,) = self._facts(tadhg.family)

        assert (fact.outcome, fact.reason) == (outcome, "ill")

    def test_other_families_are_not_in_it(self, lesson: Any, aoife: Any) -> None:
        assert self._facts(aoife.family) == ()

    def test_the_number_of_queries_stays(
        self, studio: Any, tadhg: Any, django_assert_num_queries: Any
    ) -> None:
        for rows in (1, 20):
            while Lesson.objects.count() < rows:
                at = datetime(2026, 9, 1 + Lesson.objects.count(), 15, tzinfo=UTC)
                LessonFactory(place=tadhg.family.home, student=tadhg, starts_at=at)
            with django_assert_num_queries(8):
                assert len(self._facts(tadhg.family)) == rows
