"""When a student can and would like to come, and what the teacher's days must keep."""

from __future__ import annotations

from datetime import date, time
from typing import Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from lessons.models.calendar import WEEKDAYS
from lessons.models.lessons import MINUTES_LIMITS
from studio.models import Student


class StudentWishes(models.Model):
    """What a student asks of a timetable: one row each; without one the defaults hold."""

    student = models.OneToOneField(Student, on_delete=models.CASCADE, related_name="wishes")
    minutes = models.PositiveSmallIntegerField(default=30, validators=MINUTES_LIMITS)
    lessons_per_week = models.PositiveSmallIntegerField(
        "lessons a week", default=1, validators=[MinValueValidator(1), MaxValueValidator(5)]
    )
    least_days_between = models.PositiveSmallIntegerField(
        "days between two lessons, at least", default=1, validators=[MaxValueValidator(6)]
    )
    every_weeks = models.PositiveSmallIntegerField(
        "every how many weeks",
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(8)],
    )
    latest_end = models.TimeField("over by", null=True, blank=True)
    place = models.ForeignKey(
        "studio.Place",
        verbose_name="where",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="wished_by",
    )
    is_with_siblings = models.BooleanField("back to back with brothers and sisters", default=True)

    class Meta:
        verbose_name_plural = "students' wishes"
        constraints = [
            models.CheckConstraint(
                condition=Q(lessons_per_week__range=(1, 5)), name="wishes_1_to_5_a_week"
            ),
            models.CheckConstraint(
                condition=Q(every_weeks__range=(1, 8)), name="wishes_every_1_to_8_weeks"
            ),
        ]

    def __str__(self) -> str:
        return f"wishes of student {self.student_id}"


class StudentWindowQuerySet(models.QuerySet["StudentWindow"]):
    """Windows."""

    def in_week(self) -> Self:
        """From Monday on, by their beginning."""
        return self.order_by("weekday", "begins_at", "pk")


class StudentWindow(models.Model):
    """A stretch of a weekday in which a student can come. An end of 00:00 is midnight.

    With ``every_weeks`` above 1 it is open only in the weeks counted from that of ``anchor_date``:
    weeks are never told apart by their number, because some years have 53.
    """

    student = models.ForeignKey(Student, on_delete=models.CASCADE, related_name="windows")
    weekday = models.PositiveSmallIntegerField(choices=WEEKDAYS)
    begins_at = models.TimeField("from")
    ends_at = models.TimeField("until")
    is_preferred = models.BooleanField("they would like this best", default=False)
    every_weeks = models.PositiveSmallIntegerField(
        "every how many weeks",
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(8)],
    )
    anchor_date = models.DateField("a day in a week that suits", null=True, blank=True)

    objects = StudentWindowQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="window_weekday_known"),
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("begins_at")) | Q(ends_at="00:00"),
                name="window_ends_later",
                violation_error_message="The window must end after it begins (00:00 is midnight).",
            ),
            models.CheckConstraint(
                condition=Q(every_weeks=1) | Q(anchor_date__isnull=False),
                name="window_of_some_weeks_has_an_anchor",
                violation_error_message="Name a day in a week that suits.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.begins_at:%H:%M}-{self.ends_at:%H:%M}"

    def is_open_in_week_of(self, day: date) -> bool:
        """Return True if the window is open in that day's week."""
        if self.every_weeks == 1 or self.anchor_date is None:
            return True
        ours = self.anchor_date.toordinal() - self.anchor_date.weekday()
        theirs = day.toordinal() - day.weekday()
        return (theirs - ours) // 7 % self.every_weeks == 0


class TeachingLimits(models.Model):
    """What the teacher asks of every day and week: one row."""

    most_minutes_a_day = models.PositiveSmallIntegerField(
        "minutes of teaching a day, at most",
        default=480,
        validators=[MinValueValidator(15), MaxValueValidator(24 * 60)],
    )
    evening_begins_at = models.TimeField("an evening begins at", default=time(19))
    most_evenings_a_week = models.PositiveSmallIntegerField(
        "evenings a week, at most", default=7, validators=[MaxValueValidator(7)]
    )
    buffer_minutes = models.PositiveSmallIntegerField(
        "minutes to spare on every road", default=0, validators=[MaxValueValidator(60)]
    )
    child_age = models.PositiveSmallIntegerField(
        "a child is somebody up to the age of", default=10, validators=[MaxValueValidator(18)]
    )
    child_latest_end = models.TimeField("a child's lesson is over by", default=time(19, 30))
    is_room_needed_online = models.BooleanField(
        "online lessons need a desk: the room or your home", default=False
    )

    class Meta:
        verbose_name_plural = "teaching limits"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="teaching_limits_only_one"),
        ]

    def __str__(self) -> str:
        return f"at most {self.most_minutes_a_day} minutes of teaching a day"

    @classmethod
    def current(cls) -> TeachingLimits:
        """Return the limits, or unsaved defaults before anything was changed."""
        return cls.objects.filter(pk=1).first() or cls(pk=1)


class DayRule(models.Model):
    """What one weekday must keep: where it begins and ends, and the meal in its middle.

    A place left empty is the base.
    """

    weekday = models.PositiveSmallIntegerField(choices=WEEKDAYS, unique=True)
    starts_from = models.ForeignKey(
        "studio.Place", null=True, blank=True, on_delete=models.PROTECT, related_name="days_begun"
    )
    ends_at_place = models.ForeignKey(
        "studio.Place", null=True, blank=True, on_delete=models.PROTECT, related_name="days_ended"
    )
    meal_from = models.TimeField("a meal between", null=True, blank=True)
    meal_until = models.TimeField("and", null=True, blank=True)
    meal_minutes = models.PositiveSmallIntegerField(
        "minutes for it", default=30, validators=[MinValueValidator(5), MaxValueValidator(180)]
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="day_rule_weekday_known"),
            models.CheckConstraint(
                condition=Q(meal_from__isnull=True, meal_until__isnull=True)
                | Q(meal_until__gt=F("meal_from")),
                name="day_rule_meal_whole",
                violation_error_message="Give both times of the meal, the second after the first.",
            ),
        ]

    def __str__(self) -> str:
        return f"rule of {self.get_weekday_display()}"
