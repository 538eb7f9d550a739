"""What families and students ask about a lesson that is booked, and what came of it."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Self

from django.db import models
from django.db.models import Q

from lessons.models.lessons import Lesson
from studio.models import Family, Student, User

if TYPE_CHECKING:
    from django.contrib.auth.models import AnonymousUser

LONGEST_WORDS = 500


class RequestKind(models.TextChoices):
    """What is asked for."""

    MOVE = "move", "Move the lesson"
    CALL_OFF = "call_off", "Call the lesson off"


class RequestState(models.TextChoices):
    """How far it has come. ``OPEN`` waits for the teacher, ``OTHER_TIME`` for the family."""

    OPEN = "open", "Waiting for an answer"
    OTHER_TIME = "other_time", "Another time is offered"
    MOVED = "moved", "Yes: the lesson is moved"
    CALLED_OFF = "called_off", "Yes: the lesson is called off"
    REFUSED = "refused", "No: the lesson stays"
    ANSWERED = "answered", "Answered in words"
    TAKEN_BACK = "taken_back", "Taken back"


STANDING = (RequestState.OPEN, RequestState.OTHER_TIME)


class LessonRequestQuerySet(models.QuerySet["LessonRequest"]):
    """Requests."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher, the family's for its adults, those about themselves for students."""
        if isinstance(user, User) and user.is_teacher:
            return self
        students = Student.objects.visible_to(user)
        about = LessonRequest.students.through.objects.filter(student__in=students)
        return self.filter(pk__in=about.values("lessonrequest"))

    def open(self) -> Self:
        """Those that wait for the teacher."""
        return self.filter(state=RequestState.OPEN)

    def standing(self) -> Self:
        """Those that wait for somebody."""
        return self.filter(state__in=STANDING)

    def with_people(self) -> Self:
        """With lesson, family, who asked, students and times: four queries for any number."""
        return self.select_related("lesson__place", "family", "asked_by").prefetch_related(
            "times", "students", "lesson__takers__student"
        )


class LessonRequest(models.Model):
    """One thing asked about one lesson.

    The lesson as it was is written down beside it: a new timetable may replace the lesson while
    the request waits, and the request must still tell what it was about.
    """

    lesson = models.ForeignKey(
        Lesson, null=True, blank=True, on_delete=models.SET_NULL, related_name="requests"
    )
    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="lesson_requests")
    students = models.ManyToManyField(Student, related_name="lesson_requests")
    kind = models.CharField(max_length=10, choices=RequestKind.choices)
    words = models.CharField("in your words", max_length=LONGEST_WORDS, blank=True)
    asked_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="lesson_requests")
    asked_at = models.DateTimeField()
    was_names = models.CharField(max_length=200)
    was_starts_at = models.DateTimeField()
    was_minutes = models.PositiveSmallIntegerField()
    was_revision = models.PositiveIntegerField()
    # What calling off counts as by the rules at the moment of asking, as it was shown.
    counts_as = models.CharField(max_length=24, blank=True)
    state = models.CharField(max_length=12, choices=RequestState.choices, default=RequestState.OPEN)
    answered_at = models.DateTimeField(null=True, blank=True)
    answer = models.CharField(max_length=LONGEST_WORDS, blank=True)
    agreed_starts_at = models.DateTimeField(null=True, blank=True)

    objects = LessonRequestQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=RequestKind.values), name="request_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(state__in=RequestState.values), name="request_state_known"
            ),
            models.CheckConstraint(
                condition=Q(state=RequestState.OPEN, answered_at__isnull=True)
                | (~Q(state=RequestState.OPEN) & Q(answered_at__isnull=False)),
                name="request_answered_whole",
            ),
            models.UniqueConstraint(
                fields=["lesson", "family"],
                condition=Q(state__in=STANDING),
                name="one_standing_request_for_a_lesson",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.was_names}"

    @property
    def is_open(self) -> bool:
        """True while the teacher has not answered."""
        return self.state == RequestState.OPEN

    @property
    def is_standing(self) -> bool:
        """True while somebody has to answer."""
        return self.state in STANDING

    @property
    def is_move(self) -> bool:
        """True when another time is wished for."""
        return self.kind == RequestKind.MOVE

    @property
    def is_late(self) -> bool:
        """True when calling off was asked for later than the rules let go free of charge."""
        return self.counts_as == "called_off_late"

    @property
    def overtaken(self) -> str:
        """What became of the lesson since it was asked about; empty while it is as it was."""
        if self.lesson is None:
            return "The lesson is no longer in the calendar."
        if self.lesson.is_called_off:
            return "The lesson is called off by now."
        if self.lesson.is_done:
            return "The lesson has been given."
        is_changed = self.lesson.starts_at != self.was_starts_at
        if self.is_move:
            # Another place or length may need another time; who calls off does not mind.
            is_changed |= self.lesson.revision != self.was_revision
        if is_changed:
            return "The lesson was changed since this was asked."
        return ""

    @property
    def is_overtaken(self) -> bool:
        """True when the lesson is not what it was and nobody has answered yet."""
        return self.is_standing and bool(self.overtaken)

    @property
    def family_times(self) -> list[RequestedTime]:
        """The times that the family proposes, earliest first; uses the prefetched rows."""
        return sorted(
            (one for one in self.times.all() if not one.is_from_teacher),
            key=lambda one: one.starts_at,
        )

    @property
    def teacher_times(self) -> list[RequestedTime]:
        """The other times that the teacher offers, earliest first; uses the prefetched rows."""
        return sorted(
            (one for one in self.times.all() if one.is_from_teacher),
            key=lambda one: one.starts_at,
        )

    def is_alike(self, kind: str, words: str, times: frozenset[datetime]) -> bool:
        """Return True if exactly this is asked already: the press was repeated."""
        mine = frozenset(one.starts_at for one in self.family_times)
        return (self.kind, self.words, mine) == (kind, words, times)


class RequestedTime(models.Model):
    """One time at which the lesson could be instead."""

    request = models.ForeignKey(LessonRequest, on_delete=models.CASCADE, related_name="times")
    starts_at = models.DateTimeField()
    is_from_teacher = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["request", "starts_at", "is_from_teacher"], name="time_once_in_a_request"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.starts_at:%Y-%m-%d %H:%M} UTC"
