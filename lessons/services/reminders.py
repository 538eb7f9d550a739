"""Reminders of lessons by e-mail: once, at a decent hour, one message for a family's day."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core import signing
from django.db import IntegrityError, transaction
from django.urls import reverse

from lessons.models import Lesson, LessonStatus, LessonStudent, Reminder, ReminderRules
from lessons.models.reminders import NO_REMINDERS
from lessons.services.mail_reminders import reminder_mail
from studio.events import event_record
from studio.local_time import local_date
from studio.models import Adult, MailStatus, OutgoingEmail, Studio, User

# Nobody's telephone rings between these two: common practice, no source.
NIGHT_BEGINS, NIGHT_ENDS = time(21), time(8)
# A reminder that would fall in the night goes before it.
BEFORE_NIGHT = time(20, 45)
_SALT = "lessons.reminders.stop"


def reminders_queue(*, now: datetime) -> int:
    """Write the reminders that are due into the outbox; return how many messages.

    Only what is planned at this moment is told of, so nothing is said of lessons that are called
    off or were moved away. A message that still waits when that happens is taken back.
    """
    studio = Studio.current()
    stale_take_back(now=now)
    rules = ReminderRules.current()
    if rules.hours_before == NO_REMINDERS or is_night(now, studio.zone):
        return 0
    count = 0
    days = _family_days(now, rules.hours_before, studio.zone)
    adults = _adults({family for family, _ in days})
    told = _told(lesson.pk for lessons in days.values() for lesson in lessons)
    for (family, day), lessons in days.items():
        for adult in adults[family]:
            new = [lesson for lesson in lessons if (lesson.pk, adult.pk, day) not in told]
            if new and _remind(adult, day, new, studio, now):
                count += 1
    return count


def reminder_due_at(starts_at: datetime, hours: int, zone: ZoneInfo) -> datetime:
    """Return when to remind, by the wall clock and never at night: then before it.

    A day before 16:00 is 16:00, also when the clocks change in between.
    """
    wall = starts_at.astimezone(zone).replace(tzinfo=None) - timedelta(hours=hours)
    if wall.time() >= NIGHT_BEGINS:
        wall = datetime.combine(wall.date(), BEFORE_NIGHT)
    elif wall.time() < NIGHT_ENDS:
        wall = datetime.combine(wall.date() - timedelta(days=1), BEFORE_NIGHT)
    return wall.replace(tzinfo=zone)


def is_night(moment: datetime, zone: ZoneInfo) -> bool:
    """Return True at an hour at which no reminder goes out."""
    at = moment.astimezone(zone).time()
    return at >= NIGHT_BEGINS or at < NIGHT_ENDS


def stale_take_back(*, now: datetime) -> int:
    """Stop reminders that wait (for the mail server, say) and are not true any more."""
    waiting = OutgoingEmail.objects.filter(key__startswith="reminder:", status=MailStatus.QUEUED)
    keys = list(waiting.values_list("key", flat=True))
    if not keys:
        return 0
    stale = {
        reminder.mail_key
        for reminder in Reminder.objects.filter(mail_key__in=keys).select_related("lesson")
        if not reminder.lesson.is_planned
        or reminder.lesson.starts_at != reminder.starts_at
        or reminder.starts_at <= now
    }
    with transaction.atomic():
        gone = waiting.filter(key__in=stale)
        stopped = set(gone.values_list("key", flat=True))
        gone.delete()
        Reminder.objects.filter(mail_key__in=stopped).delete()
    return len(stopped)


def stop_address(adult: Adult) -> str:
    """Return the web address at which this adult ends reminders without signing in."""
    token = signing.dumps([adult.pk, _address_mark(adult.email)], salt=_SALT, compress=True)
    return settings.SITE_ADDRESS + reverse("lessons:reminders_stop", args=[token])


def adult_of_token(token: str) -> Adult | None:
    """Return whose link it is; None if it was made up, or sent to an address they had before."""
    try:
        pk, mark = signing.loads(token, salt=_SALT)
    except (signing.BadSignature, ValueError, TypeError):
        return None
    adult = Adult.objects.filter(pk=pk).first()
    return adult if adult is not None and mark == _address_mark(adult.email) else None


def reminders_set(*, adult: Adult, is_wanted: bool, by: User | None, now: datetime) -> None:
    """Switch an adult's reminders on or off; a repeated press changes nothing."""
    with transaction.atomic():
        changed = Adult.objects.filter(pk=adult.pk).exclude(receives_reminders=is_wanted)
        if changed.update(receives_reminders=is_wanted):
            event_record(
                kind="reminders_wanted" if is_wanted else "reminders_stopped",
                subject=adult.name,
                by=by,
                now=now,
                adult=adult.pk,
            )


def _family_days(now: datetime, hours: int, zone: ZoneInfo) -> dict[tuple[int, date], list[Lesson]]:
    """The lessons of each family on each local day whose first lesson's reminder is due."""
    # The night and the rest of a day that begins with an early lesson are at most a day and a half.
    furthest = now + timedelta(hours=hours + 36)
    taking = (
        LessonStudent.objects.filter(
            away_outcome="",
            lesson__status=LessonStatus.PLANNED,
            lesson__starts_at__gt=now,
            lesson__starts_at__lte=furthest,
        )
        .select_related("lesson__place", "student")
        .order_by("lesson__starts_at", "lesson", "pk")
    )
    days: dict[tuple[int, date], dict[int, Lesson]] = defaultdict(dict)
    for taker in taking:
        day = local_date(taker.lesson.starts_at, zone)
        days[taker.student.family_id, day].setdefault(taker.lesson_id, taker.lesson)
    due = {}
    for key, lessons in days.items():
        first = next(iter(lessons.values()))
        if reminder_due_at(first.starts_at, hours, zone) <= now:
            due[key] = list(lessons.values())
    return due


def _adults(families: set[int]) -> dict[int, list[Adult]]:
    rows = Adult.objects.filter(family__in=families, receives_reminders=True).exclude(email="")
    adults: dict[int, list[Adult]] = defaultdict(list)
    for adult in rows.select_related("family__home").order_by("pk"):
        adults[adult.family_id].append(adult)
    return adults


def _told(lessons: object) -> set[tuple[int, int, date]]:
    rows = Reminder.objects.filter(lesson__in=list(lessons))  # type: ignore[call-overload]
    return set(rows.values_list("lesson", "adult", "day"))


def _remind(
    adult: Adult, day: date, lessons: Sequence[Lesson], studio: Studio, now: datetime
) -> bool:
    """Queue one message with its rows; False if another process was quicker."""
    key = f"reminder:{adult.pk}:{day.isoformat()}:{lessons[0].pk}:{len(lessons)}"
    try:
        with transaction.atomic():
            Reminder.objects.bulk_create(
                Reminder(
                    lesson=lesson, adult=adult, day=day, starts_at=lesson.starts_at, mail_key=key
                )
                for lesson in lessons
            )
            reminder_mail(
                key=key,
                adult=adult,
                lessons=lessons,
                stop_address=stop_address(adult),
                studio=studio,
                now=now,
            )
    except IntegrityError:
        return False
    return True


def _address_mark(email: str) -> str:
    return hashlib.sha256(email.strip().lower().encode()).hexdigest()[:12]
