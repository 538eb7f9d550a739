"""The waiting list: who looks for a weekly time, what fell free, and to whom it was offered."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import TYPE_CHECKING, Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from lessons.models.calendar import WEEKDAYS
from lessons.models.lessons import MINUTES_LIMITS, Series
from studio.models import Place, Student, User

if TYPE_CHECKING:
    from django.contrib.auth.models import AnonymousUser


class WaitingState(models.TextChoices):
    """Whether somebody still looks for a time."""

    WAITING = "waiting", "Looks for a time"
    PLACED = "placed", "Has a time"
    GONE = "gone", "No longer looks"


class WaitingQuerySet(models.QuerySet["Waiting"]):
    """People who wait."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher; the family's students for its adults, themselves for a student."""
        if isinstance(user, User) and user.is_teacher:
            return self
        return self.filter(student__in=Student.objects.visible_to(user))

    def in_order(self) -> Self:
        """Whoever waits longest is first."""
        return self.order_by("since_date", "pk")

    def looking(self) -> Self:
        """Those who still look."""
        return self.filter(state=WaitingState.WAITING)

    def with_people(self) -> Self:
        """With student, family, place and windows: two queries for any number."""
        return self.select_related(
            "student__family__home", "student__wishes", "place", "replaces"
        ).prefetch_related("windows")


class Waiting(models.Model):
    """Somebody who looks for a weekly time: a student, or an enquiry that is none yet.

    ``replaces`` is the series that a student gives up once another time is found.
    """

    student = models.ForeignKey(
        Student, null=True, blank=True, on_delete=models.PROTECT, related_name="waiting"
    )
    name = models.CharField("student's name", max_length=120)
    contact_name = models.CharField("who to ask for", max_length=120, blank=True)
    email = models.EmailField("e-mail", blank=True)
    phone = models.CharField("telephone", max_length=40, blank=True)
    birth_year = models.PositiveSmallIntegerField(
        "year of birth",
        null=True,
        blank=True,
        validators=[MinValueValidator(1900), MaxValueValidator(2100)],
    )
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="waited_for")
    minutes = models.PositiveSmallIntegerField(default=30, validators=MINUTES_LIMITS)
    replaces = models.ForeignKey(
        Series, null=True, blank=True, on_delete=models.PROTECT, related_name="wished_away"
    )
    note = models.CharField("note for yourself", max_length=500, blank=True)
    since_date = models.DateField("waiting since")
    state = models.CharField(
        max_length=10, choices=WaitingState.choices, default=WaitingState.WAITING
    )
    created_at = models.DateTimeField()

    objects = WaitingQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "people waiting"
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=WaitingState.values), name="waiting_state_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_enquiry(self) -> bool:
        """True while the person is no student yet."""
        return self.student_id is None

    @property
    def learner(self) -> Student:
        """The student, or what is known of one: not kept, only to look with."""
        return self.student or Student(name=self.name, birth_year=self.birth_year)


class WaitingWindow(models.Model):
    """A stretch of a weekday in which somebody who waits can come. An end of 00:00 is midnight."""

    waiting = models.ForeignKey(Waiting, on_delete=models.CASCADE, related_name="windows")
    weekday = models.PositiveSmallIntegerField(choices=WEEKDAYS)
    begins_at = models.TimeField("from")
    ends_at = models.TimeField("until")
    is_preferred = models.BooleanField("liked best", default=False)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="waiting_weekday_known"),
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("begins_at")) | Q(ends_at="00:00"),
                name="waiting_window_ends_later",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.begins_at:%H:%M}-{self.ends_at:%H:%M}"


class FreeTime(models.Model):
    """A weekly stretch that was offered round: where a series ended, or named by the teacher."""

    series = models.ForeignKey(
        Series, null=True, blank=True, on_delete=models.SET_NULL, related_name="freed"
    )
    weekday = models.PositiveSmallIntegerField(choices=WEEKDAYS)
    begins_at = models.TimeField("from")
    ends_at = models.TimeField("until")
    first_date = models.DateField("first day")
    last_date = models.DateField("last day")

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="free_time_weekday_known"),
            models.CheckConstraint(
                condition=Q(last_date__gte=F("first_date")), name="free_time_ends_after_it_begins"
            ),
            models.UniqueConstraint(
                fields=["weekday", "begins_at", "ends_at", "last_date"], name="free_time_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.begins_at:%H:%M}-{self.ends_at:%H:%M}"


class OfferState(models.TextChoices):
    """What came of an offer."""

    OPEN = "open", "Waiting for an answer"
    WISHED = "wished", "The family asks for this time"
    CONFIRMED = "confirmed", "Taken: the lessons are booked"
    DECLINED = "declined", "Declined"
    EXPIRED = "expired", "Nobody answered in time"
    LOST = "lost", "Somebody else was first"


class OfferQuerySet(models.QuerySet["Offer"]):
    """Offers."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher; those to the family's students, or to themselves, for others."""
        if isinstance(user, User) and user.is_teacher:
            return self
        return self.filter(waiting__in=Waiting.objects.visible_to(user))

    def open_at(self, now: datetime) -> Self:
        """Those that can still be confirmed."""
        return self.filter(state=OfferState.OPEN, expires_at__gt=now)

    def with_people(self) -> Self:
        """With everything that a line about them tells."""
        return self.select_related(
            "waiting__student__family", "waiting__place", "free_time", "series"
        )


class Offer(models.Model):
    """One weekly time offered to one who waits, until a moment."""

    waiting = models.ForeignKey(Waiting, on_delete=models.PROTECT, related_name="offers")
    free_time = models.ForeignKey(
        FreeTime, null=True, blank=True, on_delete=models.PROTECT, related_name="offers"
    )
    first_date = models.DateField("first lesson")
    last_date = models.DateField("last lesson")
    at = models.TimeField("begins at")
    minutes = models.PositiveSmallIntegerField(validators=MINUTES_LIMITS)
    # Dates on which something else is in the way, given up on purpose.
    left_out = models.JSONField(default=list, blank=True)
    offered_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    state = models.CharField(max_length=10, choices=OfferState.choices, default=OfferState.OPEN)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="offers_answered"
    )
    series = models.OneToOneField(
        Series, null=True, blank=True, on_delete=models.SET_NULL, related_name="offer"
    )

    objects = OfferQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=OfferState.values), name="offer_state_known"
            ),
            models.CheckConstraint(
                condition=Q(last_date__gte=F("first_date")), name="offer_ends_after_it_begins"
            ),
            models.UniqueConstraint(
                fields=["waiting", "free_time"],
                condition=Q(state=OfferState.OPEN),
                name="one_open_offer_of_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first_date:%A}s {self.at:%H:%M}, {self.minutes} minutes"

    @property
    def ends(self) -> time:
        """When the lesson is over, by the clock."""
        end = self.at.hour * 60 + self.at.minute + self.minutes
        return time(end // 60 % 24, end % 60)

    @property
    def days_left_out(self) -> frozenset[date]:
        """The dates given up on purpose."""
        return frozenset(date.fromisoformat(text) for text in self.left_out)

    def is_open_at(self, now: datetime) -> bool:
        """Return True while the family can say yes."""
        return self.state == OfferState.OPEN and now < self.expires_at

    def has_lapsed_at(self, now: datetime) -> bool:
        """Return True if nobody answered in time."""
        return self.state == OfferState.EXPIRED or (
            self.state == OfferState.OPEN and now >= self.expires_at
        )
