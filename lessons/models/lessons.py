"""Lessons, the series they belong to, and who takes part."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Self
from zoneinfo import ZoneInfo

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from lessons.planning.intervals import Interval
from lessons.planning.recurrence import (
    LONGEST_LESSON_MINUTES,
    SHORTEST_LESSON_MINUTES,
    WeeklyRule,
)
from studio.local_time import day_bounds
from studio.models import Student, User

if TYPE_CHECKING:
    from django.contrib.auth.models import AnonymousUser

MINUTES_LIMITS = [
    MinValueValidator(SHORTEST_LESSON_MINUTES),
    MaxValueValidator(LONGEST_LESSON_MINUTES),
]


class LessonKind(models.TextChoices):
    """What sort of lesson it is. Online is not a kind: it is a place."""

    LESSON = "lesson", "Lesson"
    TRIAL = "trial", "Trial lesson"
    GROUP = "group", "Group"
    SCHOOL = "school", "School block"


class Series(models.Model):
    """A lesson that repeats by the wall clock of the zone it was booked in.

    A change "from here on" ends this series the day before and begins another that is
    ``split_from`` it. A school block has a ``school`` and a ``label``, and may have no students.
    """

    kind = models.CharField(max_length=10, choices=LessonKind.choices, default=LessonKind.LESSON)
    school = models.ForeignKey(
        "studio.School", null=True, blank=True, on_delete=models.PROTECT, related_name="series"
    )
    label = models.CharField("what it is called", max_length=80, blank=True)
    split_from = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="continued_by"
    )
    students = models.ManyToManyField(Student, related_name="series", blank=True)
    place = models.ForeignKey("studio.Place", on_delete=models.PROTECT, related_name="series")
    term = models.ForeignKey(
        "lessons.Term", null=True, blank=True, on_delete=models.SET_NULL, related_name="series"
    )
    first_date = models.DateField()
    last_date = models.DateField()
    at = models.TimeField()
    zone_name = models.CharField(max_length=64)
    minutes = models.PositiveSmallIntegerField(validators=MINUTES_LIMITS)
    every_weeks = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(8)]
    )
    created_at = models.DateTimeField()
    stopped_from_date = models.DateField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "series"
        constraints = [
            models.CheckConstraint(
                condition=Q(last_date__gte=F("first_date")), name="series_ends_after_it_begins"
            ),
            models.CheckConstraint(
                condition=Q(every_weeks__range=(1, 8)), name="series_every_1_to_8_weeks"
            ),
            models.CheckConstraint(
                condition=Q(kind=LessonKind.SCHOOL, school__isnull=False)
                | (Q(school__isnull=True) & ~Q(kind=LessonKind.SCHOOL)),
                name="series_school_block_has_a_school",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first_date:%A}s {self.at:%H:%M}, {self.minutes} minutes"

    @property
    def rule(self) -> WeeklyRule:
        """The dates of the series as a value."""
        return WeeklyRule(
            first_date=self.first_date,
            last_date=self.last_date,
            at=self.at,
            minutes=self.minutes,
            zone=ZoneInfo(self.zone_name),
            every_weeks=self.every_weeks,
        )

    @property
    def rhythm(self) -> str:
        """How often, in words."""
        day = f"{self.first_date:%A}"
        return (
            f"every {day}" if self.every_weeks == 1 else f"{day}s, every {self.every_weeks} weeks"
        )


class LessonStatus(models.TextChoices):
    """How far a lesson has come."""

    PLANNED = "planned", "Planned"
    DONE = "done", "Done"
    CALLED_OFF = "called_off", "Called off"


class CalledOffBy(models.TextChoices):
    """Whose wish it was that the lesson does not happen."""

    TEACHER = "teacher", "Me, the teacher"
    FAMILY = "family", "The family"


class LessonQuerySet(models.QuerySet["Lesson"]):
    """Lessons."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher, the family's for its adults, their own for a student."""
        if isinstance(user, User) and user.is_teacher:
            return self
        students = Student.objects.visible_to(user)
        return self.filter(
            Q(pk__in=LessonStudent.objects.filter(student__in=students).values("lesson"))
        )

    def taking_time(self) -> Self:
        """Those that the teacher's calendar is not free for."""
        return self.exclude(status=LessonStatus.CALLED_OFF)

    def in_order(self) -> Self:
        """Earliest first."""
        return self.order_by("starts_at", "pk")

    def touching(self, start: datetime, end: datetime) -> Self:
        """Those with an instant in the half-open interval."""
        return self.filter(starts_at__lt=end, ends_at__gt=start)

    def on_days(self, first_date: date, last_date: date, zone: ZoneInfo) -> Self:
        """Those that begin on these local days, first and last included."""
        start, _ = day_bounds(first_date, zone)
        _, end = day_bounds(last_date, zone)
        return self.filter(starts_at__gte=start, starts_at__lt=end)

    def with_people(self) -> Self:
        """With place, students, their families, and notes: two or three queries for any number."""
        return self.select_related("place", "series").prefetch_related(
            "takers__student__family", "notes"
        )


class Lesson(models.Model):
    """One lesson: a stretch of the teacher's time at a place.

    ``revision`` grows with every change that a calendar elsewhere must hear of (RFC 5545's
    SEQUENCE).
    """

    kind = models.CharField(max_length=10, choices=LessonKind.choices, default=LessonKind.LESSON)
    school = models.ForeignKey(
        "studio.School", null=True, blank=True, on_delete=models.PROTECT, related_name="lessons"
    )
    label = models.CharField("what it is called", max_length=80, blank=True)
    revision = models.PositiveIntegerField(default=0)
    series = models.ForeignKey(
        Series, null=True, blank=True, on_delete=models.PROTECT, related_name="lessons"
    )
    place = models.ForeignKey("studio.Place", on_delete=models.PROTECT, related_name="lessons")
    starts_at = models.DateTimeField(db_index=True)
    ends_at = models.DateTimeField()
    minutes = models.PositiveSmallIntegerField(validators=MINUTES_LIMITS)
    moved_from = models.DateTimeField(null=True, blank=True)
    status = models.CharField(
        max_length=10, choices=LessonStatus.choices, default=LessonStatus.PLANNED
    )
    road_overruled_reason = models.CharField(max_length=200, blank=True)
    called_off_by = models.CharField(max_length=10, choices=CalledOffBy.choices, blank=True)
    called_off_told_at = models.DateTimeField(null=True, blank=True)
    called_off_reason = models.CharField(max_length=200, blank=True)
    called_off_outcome = models.CharField(max_length=24, blank=True)
    # Written down when the lesson is marked or called off, so that a new band, or a family that
    # moves house, changes nothing that is past. Before that it is looked up.
    fixed_band_label = models.CharField(max_length=60, blank=True)
    fixed_surcharge = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)

    objects = LessonQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")), name="lesson_ends_after_it_begins"
            ),
            models.CheckConstraint(
                condition=Q(status__in=LessonStatus.values), name="lesson_status_known"
            ),
            models.CheckConstraint(
                condition=(
                    Q(status=LessonStatus.CALLED_OFF, called_off_told_at__isnull=False)
                    & Q(called_off_by__in=CalledOffBy.values)
                    & ~Q(called_off_outcome="")
                )
                | (
                    ~Q(status=LessonStatus.CALLED_OFF)
                    & Q(called_off_by="", called_off_told_at__isnull=True, called_off_outcome="")
                ),
                name="lesson_called_off_whole",
            ),
            models.CheckConstraint(
                condition=Q(fixed_surcharge__isnull=True) | Q(fixed_surcharge__gte=0),
                name="lesson_surcharge_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(kind=LessonKind.SCHOOL, school__isnull=False)
                | (Q(school__isnull=True) & ~Q(kind=LessonKind.SCHOOL)),
                name="lesson_school_block_has_a_school",
            ),
        ]
        # That no two lessons overlap is a constraint too, in migration 0002: an exclusion
        # constraint on PostgreSQL, triggers on SQLite.

    def __str__(self) -> str:
        return f"lesson of {self.starts_at:%Y-%m-%d %H:%M} UTC"

    @property
    def when(self) -> Interval:
        """The teacher's time that it takes."""
        return Interval(self.starts_at, self.ends_at)

    @property
    def is_planned(self) -> bool:
        """True while nothing is decided about it."""
        return self.status == LessonStatus.PLANNED

    @property
    def is_done(self) -> bool:
        """True once attendance is marked."""
        return self.status == LessonStatus.DONE

    @property
    def is_called_off(self) -> bool:
        """True when it does not happen."""
        return self.status == LessonStatus.CALLED_OFF

    @property
    def names(self) -> str:
        """Who takes part, in words; uses the prefetched rows. A block goes by its label."""
        if self.label:
            return self.label
        names = [taker.student.name for taker in self.takers.all()]
        return (
            " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else "".join(names)
        )


class Attendance(models.TextChoices):
    """Whether a student was there."""

    UNMARKED = "unmarked", "Not marked yet"
    PRESENT = "present", "There"
    NO_SHOW = "no_show", "Did not come"


class LessonStudent(models.Model):
    """One student in one lesson.

    ``away_outcome`` is what it counts as for somebody who said beforehand that they cannot come.
    """

    lesson = models.ForeignKey(Lesson, on_delete=models.CASCADE, related_name="takers")
    student = models.ForeignKey(Student, on_delete=models.PROTECT, related_name="lesson_takers")
    attendance = models.CharField(
        max_length=10, choices=Attendance.choices, default=Attendance.UNMARKED
    )
    marked_at = models.DateTimeField(null=True, blank=True)
    # One of a group who said beforehand that they cannot come: the lesson stands without them.
    away_outcome = models.CharField(max_length=24, blank=True)
    away_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["lesson", "student"], name="student_once_in_a_lesson"),
            models.CheckConstraint(
                condition=Q(attendance__in=Attendance.values), name="attendance_known"
            ),
        ]

    def __str__(self) -> str:
        return f"student {self.student_id} in lesson {self.lesson_id}"

    @property
    def is_present(self) -> bool:
        """True when marked as there."""
        return self.attendance == Attendance.PRESENT

    @property
    def is_away(self) -> bool:
        """True for somebody who said that they cannot come, and did not come after all."""
        return bool(self.away_outcome) and self.attendance == Attendance.UNMARKED

    @property
    def is_no_show(self) -> bool:
        """True when marked as not there."""
        return self.attendance == Attendance.NO_SHOW
