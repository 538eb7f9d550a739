"""Progress notes: what the teacher writes down after a lesson."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from django.db import models
from django.db.models import Q

from studio.models import Student, User

if TYPE_CHECKING:
    from django.contrib.auth.models import AnonymousUser

LONGEST_NOTE = 4000


class ProgressNoteQuerySet(models.QuerySet["ProgressNote"]):
    """Progress notes."""

    def sent(self) -> Self:
        """Those that the family has."""
        return self.filter(sent_at__isnull=False)

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher; what was sent, for the family's adults and the student."""
        if isinstance(user, User) and user.is_teacher:
            return self
        return self.sent().filter(student__in=Student.objects.visible_to(user))

    def newest_first(self) -> Self:
        """By the lesson, latest first."""
        return self.order_by("-lesson__starts_at", "-pk")


class ProgressNote(models.Model):
    """How one lesson went for one student. ``body`` is a draft until it is sent.

    What the family reads is ``sent_body``: a later change of the draft shows only when sent again.
    """

    lesson = models.ForeignKey("lessons.Lesson", on_delete=models.PROTECT, related_name="notes")
    student = models.ForeignKey(Student, on_delete=models.PROTECT, related_name="notes")
    body = models.TextField(max_length=LONGEST_NOTE)
    written_at = models.DateTimeField()
    sent_body = models.TextField(blank=True, max_length=LONGEST_NOTE)
    sent_at = models.DateTimeField(null=True, blank=True)
    times_sent = models.PositiveSmallIntegerField(default=0)

    objects = ProgressNoteQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["lesson", "student"], name="one_note_for_a_student_and_lesson"
            ),
            models.CheckConstraint(
                condition=Q(sent_at__isnull=True, sent_body="", times_sent=0)
                | (Q(sent_at__isnull=False, times_sent__gt=0) & ~Q(sent_body="")),
                name="note_sent_whole",
            ),
        ]

    def __str__(self) -> str:
        return f"note on student {self.student_id}, lesson {self.lesson_id}"

    @property
    def is_sent(self) -> bool:
        """True when the family has exactly this text."""
        return self.sent_at is not None and self.sent_body == self.body
