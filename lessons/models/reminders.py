"""Reminders of lessons: when they go, and which went."""

from __future__ import annotations

from django.db import models

NO_REMINDERS = 0
LEADS = [
    (NO_REMINDERS, "no reminders"),
    (3, "3 hours before"),
    (12, "12 hours before"),
    (24, "a day before"),
    (48, "two days before"),
    (72, "three days before"),
]


class ReminderRules(models.Model):
    """How long before a lesson its family is reminded: one row."""

    hours_before = models.PositiveSmallIntegerField(
        "families are reminded", choices=LEADS, default=NO_REMINDERS
    )

    class Meta:
        verbose_name_plural = "reminder rules"
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="reminder_rules_only_one"),
            models.CheckConstraint(
                condition=models.Q(hours_before__lte=168), name="reminders_within_a_week"
            ),
        ]

    def __str__(self) -> str:
        return f"reminders {self.get_hours_before_display()}"

    @classmethod
    def current(cls) -> ReminderRules:
        """Return the rules, or unsaved defaults before anything was changed."""
        return cls.objects.filter(pk=1).first() or cls(pk=1)


class Reminder(models.Model):
    """That one adult was reminded of one lesson on its local day: never a second time.

    A lesson that moves to another day is another day's lesson, and reminded of anew.
    """

    lesson = models.ForeignKey("lessons.Lesson", on_delete=models.CASCADE, related_name="reminders")
    adult = models.ForeignKey("studio.Adult", on_delete=models.CASCADE, related_name="reminders")
    day = models.DateField()
    starts_at = models.DateTimeField()
    mail_key = models.CharField(max_length=200, db_index=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["lesson", "adult", "day"], name="reminded_once_of_a_lesson"
            ),
        ]

    def __str__(self) -> str:
        return f"adult {self.adult_id} reminded of lesson {self.lesson_id}"
