"""The demo scenario's term: weekly lessons, what was taught so far, and notes to the families."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from lessons.demo_asking import asking_build
from lessons.demo_places import places_build
from lessons.models import (
    Appointment,
    Attendance,
    CalledOffBy,
    Closure,
    DayRule,
    Lesson,
    MissedLessonRules,
    ReminderRules,
    RoadSettings,
    Series,
    StudentWindow,
    StudentWishes,
    TeachingLimits,
    Term,
    TravelBand,
    WorkingHours,
)
from lessons.planning.recurrence import WeeklyRule
from lessons.selectors.series import SeriesWish
from lessons.services.booking import series_book
from lessons.services.changing import lesson_call_off
from lessons.services.desk import lesson_mark, note_send, note_write
from studio.local_time import local_date, monday_of
from studio.models import Place, Role, Student, Studio, User

WEEKS_BACK, WEEKS_AHEAD = 8, 10


@dataclass(frozen=True)
class DemoSeries:
    """A weekly lesson, so many days after today's weekday."""

    student: str
    days_on: int
    at: time
    minutes: int
    in_room: bool = False


WEEKLY = (
    DemoSeries("Síofra Quill", 0, time(15, 30), 30),
    DemoSeries("Tadhg Quill", 0, time(16, 0), 30),
    DemoSeries("Staś Żurawski", 0, time(17, 30), 45),
    DemoSeries("Νίκος Παπαδάκης", 1, time(15, 45), 30),
    DemoSeries("Éanna Mac Giolla Easpaig", 1, time(17, 15), 45),
    DemoSeries("Dervla Roche", 2, time(19, 0), 60, in_room=True),
)


@dataclass(frozen=True)
class DemoWindow:
    """When a student can come, so many days after today's weekday."""

    days_on: int
    begins: time
    ends: time
    is_preferred: bool = False


# Dervla Roche has not told her times yet: the page that builds a term asks for them.
WINDOWS = {
    "Síofra Quill": (
        DemoWindow(0, time(15), time(18), is_preferred=True),
        DemoWindow(2, time(15), time(17)),
    ),
    "Tadhg Quill": (
        DemoWindow(0, time(15), time(18), is_preferred=True),
        DemoWindow(2, time(15), time(17)),
    ),
    "Staś Żurawski": (
        DemoWindow(0, time(16, 30), time(19)),
        DemoWindow(1, time(15, 30), time(18, 30), is_preferred=True),
    ),
    "Νίκος Παπαδάκης": (DemoWindow(1, time(15), time(17)), DemoWindow(2, time(16), time(18))),
    "Éanna Mac Giolla Easpaig": (
        DemoWindow(1, time(16, 30), time(19, 30)),
        DemoWindow(3, time(16), time(18)),
    ),
}

# The newest note first.
NOTES = {
    "Síofra Quill": (
        "Síofra’s bass drum now sits under the hi-hat instead of racing it. Ghost notes next: "
        "very low sticks, and a slow tempo.",
        "A good start on the off-beat bass drum. Counting aloud helps her more than the click.",
        "Síofra keeps steady eighths for two minutes now. We moved the left hand to two and four.",
    ),
    "Tadhg Quill": (
        "Tadhg can play his first beat with all four limbs. He asks for louder; we asked for "
        "slower, and it worked.",
        "Singles are even now. The left hand leads once a day, please.",
    ),
    "Staś Żurawski": ("The shuffle begins to swing. Staś hears it before he plays it: very good.",),
    "Νίκος Παπαδάκης": ("Paradiddles on the pad at 70, both hands leading. Bravo.",),
    "Éanna Mac Giolla Easpaig": (
        "Éanna turned his kit round and is far happier: everything is mirrored on his sheets now.",
    ),
    "Dervla Roche": ("The second pedal is quiet at last: heel down, small strokes.",),
}


def demo_build(*, now: datetime) -> None:
    """Write the term round today and everything that happened in it so far."""
    studio, teacher = Studio.current(), User.objects.get(role=Role.TEACHER)
    today = local_date(now, studio.zone)
    term = _frame(today)
    _days_frame(today)
    for weekly in WEEKLY:
        _book(weekly, term, studio, teacher, today)
        _tell_times(weekly, today)
    for lesson in Lesson.objects.filter(starts_at__lt=now).order_by("starts_at", "pk"):
        if local_date(lesson.starts_at, studio.zone) < today:
            _what_happened(lesson, studio, teacher, today)
    _write_notes(teacher)
    asking_build(now=now, teacher=teacher)
    places_build(now=now, teacher=teacher)


def _frame(today: date) -> Term:
    monday = monday_of(today)
    term = Term.objects.create(
        name="This term",
        first_date=monday - timedelta(weeks=WEEKS_BACK),
        last_date=monday + timedelta(weeks=WEEKS_AHEAD, days=6),
    )
    break_from = monday + timedelta(weeks=3)
    Closure.objects.create(
        name="Half-term break", first_date=break_from, last_date=break_from + timedelta(days=6)
    )
    one_day = monday + timedelta(weeks=6)
    Closure.objects.create(name="Bank holiday", first_date=one_day, last_date=one_day)
    RoadSettings.current().save()
    # What a family calls off in time is made up here: one such lesson is still owed.
    MissedLessonRules(pk=1, is_family_owed_make_up=True).save()
    ReminderRules(pk=1, hours_before=24).save()
    for up_to, surcharge in (("5", "0"), ("10", "4"), ("18", "8")):
        TravelBand.objects.create(up_to_km=Decimal(up_to), surcharge=Decimal(surcharge))
    for weekday in range(7):
        begins = time(14, 0) if weekday < 5 else time(10, 0)
        WorkingHours.objects.create(weekday=weekday, begins_at=begins, ends_at=time(20, 30))
    return term


def _days_frame(today: date) -> None:
    """What the days must keep, and the teacher's own time."""
    TeachingLimits(pk=1, most_minutes_a_day=360, most_evenings_a_week=3).save()
    for weekday in range(5):
        DayRule.objects.create(weekday=weekday, meal_from=time(12), meal_until=time(14))
    Appointment.objects.create(
        label="Band rehearsal",
        first_date=monday_of(today) + timedelta(days=(today.weekday() + 1) % 7),
        begins_at=time(10, 30),
        ends_at=time(12),
        every_weeks=1,
    )
    Appointment.objects.create(
        label="Post the drum heads back",
        first_date=today,
        begins_at=time(13, 15),
        ends_at=time(13, 45),
    )


def _book(weekly: DemoSeries, term: Term, studio: Studio, teacher: User, today: date) -> Series:
    student = Student.objects.select_related("family__home").get(name=weekly.student)
    weekday = (today.weekday() + weekly.days_on) % 7
    first = term.first_date + timedelta(days=weekday)
    place: Place = student.family.home
    if weekly.in_room and studio.base is not None:
        place = studio.base
    rule = WeeklyRule(first, term.last_date, weekly.at, weekly.minutes, studio.zone)
    wish = SeriesWish(students=(student,), place=place, rule=rule, term=term)
    before = datetime.combine(term.first_date - timedelta(days=10), time(12), tzinfo=studio.zone)
    return series_book(wish=wish, by=teacher, now=before)


def _tell_times(weekly: DemoSeries, today: date) -> None:
    """Write down when the student of a weekly lesson can come at all."""
    windows = WINDOWS.get(weekly.student, ())
    if not windows:
        return
    student = Student.objects.get(name=weekly.student)
    StudentWishes.objects.create(student=student, minutes=weekly.minutes)
    for window in windows:
        StudentWindow.objects.create(
            student=student,
            weekday=(today.weekday() + window.days_on) % 7,
            begins_at=window.begins,
            ends_at=window.ends,
            is_preferred=window.is_preferred,
        )


def _what_happened(lesson: Lesson, studio: Studio, teacher: User, today: date) -> None:
    """Most came; one did not, and one rang in time."""
    takers = list(lesson.takers.select_related("student"))
    weeks_ago = (monday_of(today) - monday_of(local_date(lesson.starts_at, studio.zone))).days // 7
    who = takers[0].student.name
    if who == "Νίκος Παπαδάκης" and weeks_ago == 3:
        told = lesson.starts_at - timedelta(days=3)
        lesson_call_off(
            lesson=lesson,
            called_off_by=CalledOffBy.FAMILY,
            told_at=told,
            reason="school play",
            by=teacher,
            now=told,
            is_family_told=True,
        )
        return
    is_away = who == "Staś Żurawski" and weeks_ago == 2
    attendance = Attendance.NO_SHOW if is_away else Attendance.PRESENT
    lesson_mark(
        lesson=lesson,
        attendance={taker.student_id: attendance for taker in takers},
        by=teacher,
        now=lesson.ends_at,
    )


def _write_notes(teacher: User) -> None:
    for name, notes in NOTES.items():
        student = Student.objects.get(name=name)
        held = Lesson.objects.filter(
            takers__student=student, takers__attendance=Attendance.PRESENT
        ).order_by("-starts_at")
        for lesson, body in zip(held, notes, strict=False):
            note = note_write(
                lesson=lesson, student=student, body=body, by=teacher, now=lesson.ends_at
            )
            note_send(note=note, by=teacher, now=lesson.ends_at)
