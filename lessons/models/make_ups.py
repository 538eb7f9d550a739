"""What is owed for a missed lesson, and where the teacher judged otherwise than the rules."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Self

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from lessons.models.lessons import LessonStatus
from studio.models import Student, User

if TYPE_CHECKING:
    from django.contrib.auth.models import AnonymousUser

# A make-up that was itself called off in time, or by the teacher, has made nothing up. Two steps
# for each, because a NULL in a negated condition would leave out what was never booked.
_IS_FREE_AGAIN = Q(used_by__isnull=True) | (
    Q(used_by__status=LessonStatus.CALLED_OFF)
    & Q(used_by__called_off_outcome__in=["called_off", "called_off_by_teacher"])
)


class MakeUpRightQuerySet(models.QuerySet["MakeUpRight"]):
    """Rights to a make-up lesson."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher, the family's for its adults, their own for a student."""
        if isinstance(user, User) and user.is_teacher:
            return self
        return self.filter(student__in=Student.objects.visible_to(user))

    def standing(self) -> Self:
        """Those that were not taken back."""
        return self.filter(withdrawn_at__isnull=True)

    def unused(self) -> Self:
        """Those for which no lesson is booked that counts."""
        return self.filter(_IS_FREE_AGAIN)

    def open_on(self, today: date) -> Self:
        """Those for which a lesson can be booked."""
        return self.standing().unused().filter(expires_on__gte=today)

    def expired_by(self, today: date) -> Self:
        """Those that nobody used in time."""
        return self.standing().unused().filter(expires_on__lt=today)

    def used(self) -> Self:
        """Those whose lesson is booked, or was given or forfeited."""
        return (
            self.standing()
            .filter(used_by__isnull=False)
            .exclude(pk__in=self.model.objects.filter(_IS_FREE_AGAIN).values("pk"))
        )

    def soonest_first(self) -> Self:
        """By the last day."""
        return self.order_by("expires_on", "student__name", "pk")

    def with_lessons(self) -> Self:
        """With student, family, the missed lesson and the make-up."""
        return self.select_related("student__family__home", "lesson__place", "used_by__place")


class MakeUpRight(models.Model):
    """A student's right to one lesson for one that was missed.

    ``used_by`` stays when that lesson is called off: whether the right is free again follows from
    what the lesson counts as, so a lesson put back takes its right along.
    """

    student = models.ForeignKey(Student, on_delete=models.PROTECT, related_name="make_ups")
    lesson = models.ForeignKey(
        "lessons.Lesson", on_delete=models.PROTECT, related_name="make_up_rights"
    )
    minutes = models.PositiveSmallIntegerField(validators=[MinValueValidator(5)])
    expires_on = models.DateField("to be used by")
    used_by = models.ForeignKey(
        "lessons.Lesson",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="makes_up",
    )
    created_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_reason = models.CharField(max_length=200, blank=True)

    objects = MakeUpRightQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["lesson", "student"], name="one_make_up_for_a_missed_lesson"
            ),
            models.UniqueConstraint(
                fields=["used_by", "student"], name="one_missed_lesson_for_a_make_up"
            ),
            models.CheckConstraint(
                condition=Q(used_by__isnull=True) | ~Q(used_by=models.F("lesson")),
                name="make_up_is_another_lesson",
            ),
        ]

    def __str__(self) -> str:
        return f"make-up of student {self.student_id} for lesson {self.lesson_id}"

    @property
    def is_withdrawn(self) -> bool:
        """True when it was taken back."""
        return self.withdrawn_at is not None

    @property
    def is_used(self) -> bool:
        """True when a lesson that counts makes it up; uses the joined row."""
        made = self.used_by
        if made is None:
            return False
        return not made.is_called_off or made.called_off_outcome == "called_off_late"

    def is_open(self, today: date) -> bool:
        """Return True while a lesson can be booked for it."""
        return not self.is_withdrawn and not self.is_used and self.expires_on >= today


class Overruling(models.Model):
    """Where the teacher counted a missed lesson otherwise than the rules: the reason stays.

    Without a student it concerns a called-off lesson; with one, that student's not turning up.
    Rows are only ever added; the newest holds.
    """

    lesson = models.ForeignKey(
        "lessons.Lesson", on_delete=models.PROTECT, related_name="overrulings"
    )
    student = models.ForeignKey(
        Student, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    by_the_rules = models.CharField(max_length=24)
    counts_as = models.CharField(max_length=24)
    is_make_up_owed = models.BooleanField(null=True, blank=True)
    reason = models.CharField(max_length=200)
    by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="overruling_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"lesson {self.lesson_id} counts as {self.counts_as}"
