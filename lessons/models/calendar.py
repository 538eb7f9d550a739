"""The frame of the year and of the week."""

from __future__ import annotations

from datetime import date
from typing import Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from lessons.planning.policy import NOTICE_HOURS, MissedLessonPolicy
from lessons.planning.recurrence import ClosedDays

WEEKDAYS = [
    (0, "Monday"),
    (1, "Tuesday"),
    (2, "Wednesday"),
    (3, "Thursday"),
    (4, "Friday"),
    (5, "Saturday"),
    (6, "Sunday"),
]


class TermQuerySet(models.QuerySet["Term"]):
    """Terms."""

    def in_order(self) -> Self:
        """Earliest first."""
        return self.order_by("first_date", "pk")

    def not_over(self, today: date) -> Self:
        """Those running or still to come."""
        return self.filter(last_date__gte=today)


class Term(models.Model):
    """A stretch of the year for which lessons are booked."""

    name = models.CharField(max_length=80)
    first_date = models.DateField("first day")
    last_date = models.DateField("last day")

    objects = TermQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last_date__gte=F("first_date")),
                name="term_ends_after_it_begins",
                violation_error_message="The last day is before the first.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ClosureQuerySet(models.QuerySet["Closure"]):
    """Closures."""

    def in_order(self) -> Self:
        """Earliest first."""
        return self.order_by("first_date", "pk")

    def touching(self, first_date: date, last_date: date) -> Self:
        """Those with a day in this range."""
        return self.filter(first_date__lte=last_date, last_date__gte=first_date)


class Closure(models.Model):
    """Days without lessons: a half-term break, a public holiday, the teacher's own holiday.

    A closure with a ``school`` closes that school's premises only.
    """

    school = models.ForeignKey(
        "studio.School", null=True, blank=True, on_delete=models.CASCADE, related_name="closures"
    )
    name = models.CharField(max_length=80)
    first_date = models.DateField("first day")
    last_date = models.DateField("last day")

    objects = ClosureQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last_date__gte=F("first_date")),
                name="closure_ends_after_it_begins",
                violation_error_message="The last day is before the first.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def closed_days(self) -> ClosedDays:
        """Return the same days as a value."""
        return ClosedDays(self.first_date, self.last_date, self.name)


class WorkingHours(models.Model):
    """A window of a weekday in which the teacher teaches. An end of 00:00 is midnight.

    With dates it holds between them only (a summer timetable); while any dated window covers a
    day, the undated ones do not count on it.
    """

    weekday = models.PositiveSmallIntegerField(choices=WEEKDAYS)
    begins_at = models.TimeField("from")
    ends_at = models.TimeField("until")
    first_date = models.DateField("first day", null=True, blank=True)
    last_date = models.DateField("last day", null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="working_weekday_known"),
            models.CheckConstraint(
                condition=Q(first_date__isnull=True, last_date__isnull=True)
                | Q(last_date__gte=F("first_date")),
                name="working_dates_whole",
                violation_error_message="Give both days, the last not before the first.",
            ),
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("begins_at")) | Q(ends_at="00:00"),
                name="working_hours_end_later",
                violation_error_message="The hours must end after they begin (00:00 is midnight).",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.begins_at:%H:%M}-{self.ends_at:%H:%M}"


class MissedLessonRules(models.Model):
    """What the studio asks of a family that calls off: one row."""

    notice_hours = models.PositiveSmallIntegerField(
        "hours of notice for a lesson to be free of charge",
        default=NOTICE_HOURS,
        validators=[MaxValueValidator(14 * 24)],
    )
    is_family_owed_make_up = models.BooleanField(
        "a lesson that the family calls off in time may be made up", default=False
    )
    is_teacher_owing_make_up = models.BooleanField(
        "a lesson that you call off is made up", default=True
    )
    make_up_weeks = models.PositiveSmallIntegerField(
        "weeks in which a lesson may be made up",
        default=8,
        validators=[MinValueValidator(1), MaxValueValidator(52)],
    )
    undo_minutes = models.PositiveSmallIntegerField(
        "minutes that messages wait, so that you can take a change back",
        default=10,
        validators=[MaxValueValidator(240)],
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="missed_lesson_rules_only_one"),
        ]

    def __str__(self) -> str:
        return f"{self.notice_hours} hours of notice"

    @classmethod
    def current(cls) -> MissedLessonRules:
        """Return the rules, or unsaved defaults before anything was changed."""
        return cls.objects.filter(pk=1).first() or cls(pk=1)

    def policy(self) -> MissedLessonPolicy:
        """Return the same rules as a value."""
        return MissedLessonPolicy(
            notice_hours=self.notice_hours,
            is_family_owed_make_up=self.is_family_owed_make_up,
            is_teacher_owing_make_up=self.is_teacher_owing_make_up,
            make_up_weeks=self.make_up_weeks,
        )
