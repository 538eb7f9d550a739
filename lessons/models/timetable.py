"""A timetable for a term that was built and waits to be looked at: beside the present one."""

from __future__ import annotations

from datetime import time
from typing import Any, Self

from django.db import models
from django.db.models import Q

from lessons.models.calendar import WEEKDAYS
from lessons.models.lessons import MINUTES_LIMITS
from studio.models import Student, User


class PlanChoice(models.TextChoices):
    """Which of the three timetables of a draft, from the fewest changes to the least driving."""

    KEEP = "keep", "Keep nearly all"
    BALANCED = "balanced", "In between"
    DRIVING = "driving", "Least driving and waiting"


class TimetableDraftQuerySet(models.QuerySet["TimetableDraft"]):
    """Drafts."""

    def newest_first(self) -> Self:
        """The last one made first."""
        return self.order_by("-made_at", "-pk")


class TimetableDraft(models.Model):
    """What one building of a term's timetable came to: three plans, and who finds no place.

    ``seals`` are the fingerprints of everything the plans rest on
    (:mod:`lessons.selectors.term_seals`): a draft whose calendar or wishes have changed since is
    never applied. They are renewed when a part of the draft itself is accepted. ``numbers`` holds
    the figures of each plan by its choice, ``unplaced`` those without a place, with the reasons.
    """

    term = models.ForeignKey("lessons.Term", on_delete=models.CASCADE, related_name="drafts")
    from_date = models.DateField("from")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="timetable_drafts"
    )
    seals = models.JSONField(default=dict)
    seed = models.PositiveIntegerField(default=0)
    is_by_solver = models.BooleanField(default=False)
    is_stopped_by_clock = models.BooleanField(default=False)
    numbers = models.JSONField(default=dict)
    unplaced = models.JSONField(default=list)
    chosen = models.CharField(max_length=10, choices=PlanChoice.choices, blank=True)

    objects = TimetableDraftQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(chosen="") | Q(chosen__in=PlanChoice.values),
                name="draft_choice_known",
            ),
        ]

    def __str__(self) -> str:
        return f"timetable for {self.term}, made {self.made_at:%-d %B %Y}"

    def figures(self, plan: str) -> dict[str, Any]:
        """Return the numbers of one plan, as they were written down."""
        figures: dict[str, Any] = self.numbers.get(plan, {})
        return figures


class DraftLesson(models.Model):
    """One lesson a week of one student in one plan of a draft.

    ``series`` is the weekly lesson that it would keep or take the place of; ``is_running`` says
    that this one runs in the term itself, so that it has to end where this begins. Once accepted,
    ``confirmed_series`` is what was booked, or kept: it stays where it is when the term is built
    again.
    """

    draft = models.ForeignKey(TimetableDraft, on_delete=models.CASCADE, related_name="lessons")
    plan = models.CharField(max_length=10, choices=PlanChoice.choices)
    student = models.ForeignKey(Student, on_delete=models.CASCADE, related_name="draft_lessons")
    series = models.ForeignKey(
        "lessons.Series", null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    is_running = models.BooleanField(default=False)
    place = models.ForeignKey("studio.Place", on_delete=models.CASCADE, related_name="+")
    weekday = models.PositiveSmallIntegerField(choices=WEEKDAYS)
    at = models.TimeField()
    minutes = models.PositiveSmallIntegerField(validators=MINUTES_LIMITS)
    every_weeks = models.PositiveSmallIntegerField(default=1)
    first_date = models.DateField()
    is_preference_missed = models.BooleanField(default=False)
    # What the present lesson was, in words, from the moment it is no more.
    was = models.CharField(max_length=200, blank=True)
    confirmed_at = models.DateTimeField(null=True, blank=True)
    confirmed_series = models.ForeignKey(
        "lessons.Series", null=True, blank=True, on_delete=models.SET_NULL, related_name="drafted"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="draft_weekday_known"),
            models.CheckConstraint(
                condition=Q(plan__in=PlanChoice.values), name="draft_lesson_plan_known"
            ),
            models.CheckConstraint(
                condition=Q(every_weeks__range=(1, 8)), name="draft_every_1_to_8_weeks"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.at:%H:%M}, {self.minutes} minutes"

    @property
    def is_stay(self) -> bool:
        """True if the weekly lesson that runs now simply stays as it is."""
        return self.is_running and self.is_same_time

    @property
    def is_same_time(self) -> bool:
        """True if it is where and when the present one is."""
        series = self.series
        if series is None:
            return False
        days_apart = (self.first_date - series.first_date).days
        return (
            days_apart % (7 * self.every_weeks) == 0
            and series.at == self.at
            and series.minutes == self.minutes
            and series.every_weeks == self.every_weeks
            and series.place_id == self.place_id
        )

    @property
    def start(self) -> int:
        """Its begin, as a minute of the day."""
        return self.at.hour * 60 + self.at.minute

    @property
    def ends(self) -> time:
        """Its end on the clock; 00:00 is midnight."""
        end = self.start + self.minutes
        return time(end // 60 % 24, end % 60)
