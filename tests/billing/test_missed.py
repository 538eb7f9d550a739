"""Missed lessons on real invoices: credited once, never twice, the issued one untouched."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

import pytest

from billing import services
from billing.models import BilledLesson, Invoice, LineKind
from billing.services.crediting import TooMuchTakenBack, credit_note_issue
from lessons.models import CalledOffBy, Lesson, MakeUpRight, MissedLessonRules
from lessons.services import lesson_call_off, lesson_mark, lesson_reinstate
from lessons.services.make_ups import make_up_book
from tests.billing.conftest import NOW, TODAY, Desk
from tests.factories.billing import lesson_held, november

DECEMBER = date(2026, 12, 1)


def _called_off_after_all(desk: Desk, lesson: Lesson, by: str = "teacher") -> None:
    """The mark was a slip: it is taken back, and the lesson called off."""
    student = lesson.takers.get().student_id
    lesson_mark(lesson=lesson, attendance={student: "unmarked"}, by=desk.teacher, now=NOW)
    lesson_call_off(
        lesson=lesson,
        called_off_by=CalledOffBy(by),
        told_at=lesson.starts_at - timedelta(days=2),
        reason="ill",
        by=desk.teacher,
        now=NOW,
    )


def _december(desk: Desk, count: int = 2) -> list[Lesson]:
    student = desk.students[0]
    home = student.family.home
    first = november(3) + timedelta(weeks=4)
    return [lesson_held(student, home, first + timedelta(weeks=n)) for n in range(count)]


def _draft(desk: Desk, month: date = DECEMBER) -> Invoice:
    draft, _ = services.invoice_draft(
        family=desk.family, month=month, by=desk.teacher, now=NOW + timedelta(days=1)
    )
    assert draft is not None
    return draft


def _issue(desk: Desk, draft: Invoice) -> Invoice:
    return services.invoice_issue(
        invoice=draft, by=desk.teacher, today=TODAY + timedelta(days=1), now=NOW
    )


def _credits(invoice: Invoice) -> list[tuple[str, Decimal]]:
    lines = invoice.lines.filter(kind=LineKind.CREDIT).in_order()
    return [(line.words, line.net) for line in lines]


@pytest.fixture
def _no_make_ups(desk: Desk) -> None:
    MissedLessonRules(pk=1, is_teacher_owing_make_up=False).save()


@pytest.mark.usefixtures("_no_make_ups")
class TestCreditOnTheNextInvoice:
    def test_the_issued_one_stays_and_the_next_takes_it_back(self, desk: Desk) -> None:
        """Edge case 26: a lesson already invoiced is called off."""
        november_invoice = desk.issue()
        kept = (november_invoice.total, november_invoice.snapshot)
        _called_off_after_all(desk, Lesson.objects.in_order()[0])
        _december(desk)

        invoice = _issue(desk, _draft(desk))

        ((words, net),) = _credits(invoice)
        assert net == Decimal("-25.00")
        assert f"Taken back from invoice {november_invoice.number}" in words
        # Two lessons, two drives, one lesson back. The sibling was taught: that drive stays.
        assert invoice.total == Decimal("37.00")
        again = Invoice.objects.get(pk=november_invoice.pk)
        assert (again.total, again.snapshot) == kept

    def test_once_only_however_often_it_is_drafted(self, desk: Desk) -> None:
        desk.issue()
        _called_off_after_all(desk, Lesson.objects.in_order()[0])
        _december(desk)

        for _ in range(2):
            draft = _draft(desk)
        assert len(_credits(draft)) == 1
        _issue(desk, draft)
        january = november(3) + timedelta(weeks=9)
        lesson_held(desk.students[0], desk.family.home, january)

        assert _credits(_draft(desk, date(2027, 1, 1))) == []

    def test_the_drive_as_well_when_both_siblings_were_off(self, desk: Desk) -> None:
        desk.issue()
        for lesson in Lesson.objects.in_order()[:2]:
            _called_off_after_all(desk, lesson, "family")
        _december(desk)

        assert [net for _, net in _credits(_draft(desk))] == [
            Decimal("-25.00"),
            Decimal("-25.00"),
            Decimal("-6.00"),
        ]

    def test_too_much_for_a_small_invoice_waits(self, desk: Desk) -> None:
        desk.issue()
        for lesson in list(Lesson.objects.in_order()[:4]):
            _called_off_after_all(desk, lesson)
        _december(desk, count=1)

        draft, found = services.invoice_draft(
            family=desk.family, month=DECEMBER, by=desk.teacher, now=NOW
        )

        assert draft is not None
        assert len(found.credits) == 2  # a lesson and a drive of 31
        assert len(found.waiting_credits) == 4
        assert _issue(desk, draft).total == Decimal("0.00")

    def test_a_credit_note_and_a_credit_never_both(self, desk: Desk) -> None:
        invoice = desk.issue()
        lesson = Lesson.objects.in_order()[0]
        _called_off_after_all(desk, lesson)
        _december(desk)
        line = invoice.lines.get(lesson=lesson)
        given = {"invoice": invoice, "lines": [line], "words": "", "by": desk.teacher}
        draft = _draft(desk)

        with pytest.raises(TooMuchTakenBack):
            credit_note_issue(**given, today=TODAY, now=NOW)

        draft.delete()
        credit_note_issue(**given, today=TODAY, now=NOW)
        assert _credits(_draft(desk)) == []

    def test_put_back_and_given_after_the_credit_it_is_billed_again(self, desk: Desk) -> None:
        desk.issue()
        lesson = Lesson.objects.in_order()[0]
        _called_off_after_all(desk, lesson)
        _december(desk)
        _issue(desk, _draft(desk))
        assert not BilledLesson.objects.filter(lesson=lesson).exists()

        lesson = lesson_reinstate(lesson=lesson, by=desk.teacher, now=NOW, road_reason="walked")
        student = lesson.takers.get().student_id
        lesson_mark(lesson=lesson, attendance={student: "present"}, by=desk.teacher, now=NOW)

        more = _draft(desk, date(2026, 11, 1))
        assert [line.net for line in more.lines.in_order()] == [Decimal("25.00")]

    def test_called_off_between_draft_and_issue_is_noticed(self, desk: Desk) -> None:
        desk.issue()
        _december(desk)
        draft = _draft(desk)
        _called_off_after_all(desk, Lesson.objects.in_order()[0])

        with pytest.raises(services.DraftOutOfDate):
            _issue(desk, draft)


class TestMakeUpsOnInvoices:
    def _made_up(self, desk: Desk, day: date = date(2026, 12, 10)) -> Lesson:
        lesson = make_up_book(
            right=MakeUpRight.objects.get(),
            place=desk.family.home,
            day=day,
            at=time(17),
            by=desk.teacher,
            now=NOW,
        )
        given = datetime.combine(day, time(20), tzinfo=NOW.tzinfo)
        student = lesson.takers.get().student_id
        return lesson_mark(
            lesson=lesson, attendance={student: "present"}, by=desk.teacher, now=given
        )

    def test_paid_for_before_it_costs_nothing_now(self, desk: Desk) -> None:
        """Edge case 25: the missed lesson was invoiced: its make-up is not billed again."""
        desk.issue()
        _called_off_after_all(desk, Lesson.objects.in_order()[0])
        made = self._made_up(desk)
        _december(desk, count=1)

        draft = _draft(desk)

        line = draft.lines.get(lesson=made)
        assert line.net == 0
        assert line.reason == "Makes up for 3 November, which was charged"
        assert _credits(draft) == []

    def test_not_paid_for_before_it_is_charged_once(self, desk: Desk) -> None:
        """Edge case 25: the missed lesson was never invoiced: the make-up is, and only it."""
        _called_off_after_all(desk, Lesson.objects.in_order()[0])
        made = self._made_up(desk)
        missed = desk.issue().lines.in_order()[0]
        assert (missed.net, missed.reason) == (0, "Called off by the teacher: not charged")

        line = _draft(desk).lines.get(lesson=made)

        assert line.net == Decimal("25.00")
        assert line.reason == "Makes up for 3 November, which was not charged"

    @pytest.mark.parametrize(("month", "count"), [(12, 0), (1, 1)])
    def test_an_open_right_holds_the_credit_until_it_ends(
        self, desk: Desk, month: int, count: int
    ) -> None:
        """Edge case 25: expired unused: what was paid comes off the next invoice."""
        desk.issue()
        _called_off_after_all(desk, Lesson.objects.in_order()[0])
        right: Any = MakeUpRight.objects.get()
        assert right.expires_on == date(2026, 12, 29)
        _december(desk)

        year = 2026 if month == 12 else 2027
        draft, _ = services.invoice_draft(
            family=desk.family,
            month=DECEMBER,
            by=desk.teacher,
            now=datetime(year, month, 20, tzinfo=NOW.tzinfo),
        )

        assert draft is not None
        assert len(_credits(draft)) == count
