"""The demo: a family asks to move a lesson, and some people wait for a time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from decimal import Decimal

from lessons.models import FreeTime, Lesson, RequestKind, Series, Term
from lessons.selectors.asking import choices_by_day, free_starts
from lessons.services.asking import request_ask
from lessons.services.waiting import WaitingWish, WindowWish, waiting_write
from studio.local_time import local_date
from studio.models import Student, Studio, User


@dataclass(frozen=True)
class DemoEnquiry:
    """Somebody who rang and found no time free."""

    name: str
    contact: str
    email: str
    address: str
    position: tuple[str, str]
    birth_year: int
    minutes: int
    weeks_ago: int
    hours: tuple[tuple[int, time, time], ...]
    note: str = ""


# Weekdays are counted from today's, as everywhere in the demo.
ENQUIRIES = (
    DemoEnquiry(
        "Fiadh Looney",
        "Gráinne Looney",
        "grainne.looney@example.org",
        "4 Orchard Rise\nBishopstown\nCork",
        ("51.883900", "-8.526100"),
        2014,
        30,
        9,
        ((3, time(15), time(17, 30)), (1, time(15), time(16, 30))),
        "Has a kit already; plays in the school band.",
    ),
    DemoEnquiry(
        "Bogdan Ionescu",
        "Ioana Ionescu",
        "ioana.ionescu@example.org",
        "22 Boreenmanna Row\nCork",
        ("51.889200", "-8.451700"),
        2012,
        45,
        4,
        ((3, time(16), time(19)),),
    ),
)


def asking_build(*, now: datetime, teacher: User) -> None:
    """Write what is asked and who waits; call it when the term is there."""
    studio = Studio.current()
    _ask_to_move(studio, now)
    for enquiry in ENQUIRIES:
        _enquire(enquiry, studio, teacher, now)
    _another_time("Νίκος Παπαδάκης", studio, teacher, now)
    today, term = local_date(now, studio.zone), Term.objects.in_order().first()
    if term is not None:
        FreeTime.objects.create(
            weekday=(today.weekday() + 3) % 7,
            begins_at=time(16),
            ends_at=time(17),
            first_date=today + timedelta(days=1),
            last_date=term.last_date,
        )


def _ask_to_move(studio: Studio, now: datetime) -> None:
    student = Student.objects.get(name="Síofra Quill")
    soon = now + timedelta(days=3)
    lessons = Lesson.objects.filter(takers__student=student, starts_at__gt=soon)
    lesson = lessons.with_people().in_order().first()
    adult = student.family.adults.order_by("pk").first()
    if lesson is None or adult is None or adult.user is None:
        return
    days = choices_by_day(free_starts(lesson=lesson, studio=studio, now=now))
    request_ask(
        lesson=lesson,
        kind=RequestKind.MOVE,
        words="Síofra plays camogie that afternoon. Would one of these do?",
        times=[day.times[0].starts_at for day in days[:2]],
        shown="",
        by=adult.user,
        now=now,
    )


def _enquire(told: DemoEnquiry, studio: Studio, teacher: User, now: datetime) -> None:
    today = local_date(now, studio.zone)
    waiting_write(
        wish=WaitingWish(
            student=None,
            name=told.name,
            contact_name=told.contact,
            email=told.email,
            phone="",
            birth_year=told.birth_year,
            place=None,
            address=told.address,
            position=(Decimal(told.position[0]), Decimal(told.position[1])),
            minutes=told.minutes,
            replaces=None,
            note=told.note,
            since_date=today - timedelta(weeks=told.weeks_ago),
            windows=[
                WindowWish((today.weekday() + days_on) % 7, begins, ends)
                for days_on, begins, ends in told.hours
            ],
        ),
        by=teacher,
        now=now,
    )


def _another_time(name: str, studio: Studio, teacher: User, now: datetime) -> None:
    """A student who would rather come on another day, and gives up the old time for it."""
    student = Student.objects.select_related("family__home").get(name=name)
    today = local_date(now, studio.zone)
    window = WindowWish((today.weekday() + 3) % 7, time(15), time(18), is_preferred=True)
    waiting_write(
        wish=WaitingWish(
            student=student,
            name="",
            contact_name="",
            email="",
            phone="",
            birth_year=None,
            place=student.family.home,
            address="",
            position=None,
            minutes=30,
            replaces=Series.objects.filter(students=student).order_by("pk").first(),
            note="Chess club moved to the old day.",
            since_date=today - timedelta(weeks=2),
            windows=[window],
        ),
        by=teacher,
        now=now,
    )
