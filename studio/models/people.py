"""Families, their adults, students, and schools."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower, Now, TruncDate
from django.utils import timezone

from studio.models.accounts import User

if TYPE_CHECKING:
    from django.contrib.auth.models import AnonymousUser


class FamilyQuerySet(models.QuerySet["Family"]):
    """Families."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher, their own for a family's adults, none for anybody else."""
        if not isinstance(user, User):
            return self.none()
        if user.is_teacher:
            return self
        if user.own_adult is not None:
            return self.filter(pk=user.own_adult.family_id)
        return self.none()


class Family(models.Model):
    """The people who live together, share an address and pay together."""

    name = models.CharField(max_length=120)
    home = models.ForeignKey("studio.Place", on_delete=models.PROTECT, related_name="families")
    # A child of separated parents has two homes.
    other_homes = models.ManyToManyField(
        "studio.Place", blank=True, related_name="families_besides"
    )
    note = models.TextField("note for yourself", blank=True, max_length=2000)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = FamilyQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "families"

    def __str__(self) -> str:
        return self.name


class AdultQuerySet(models.QuerySet["Adult"]):
    """Families' adults."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher, those of the own family for an adult."""
        if not isinstance(user, User):
            return self.none()
        if user.is_teacher:
            return self
        if user.own_adult is not None:
            return self.filter(family_id=user.own_adult.family_id)
        return self.none()


class Adult(models.Model):
    """A family's adult: reads notes, receives invoices."""

    family = models.ForeignKey(Family, on_delete=models.CASCADE, related_name="adults")
    name = models.CharField(max_length=120)
    email = models.EmailField("e-mail", blank=True)
    phone = models.CharField(max_length=40, blank=True)
    receives_notes = models.BooleanField("receives progress notes", default=True)
    receives_invoices = models.BooleanField("receives invoices", default=True)
    receives_reminders = models.BooleanField("receives reminders of lessons", default=True)
    user = models.OneToOneField(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="adult"
    )

    objects = AdultQuerySet.as_manager()

    def __str__(self) -> str:
        return self.name


class StudentQuerySet(models.QuerySet["Student"]):
    """Students."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher, the family's for its adults, only themselves for a student."""
        if not isinstance(user, User):
            return self.none()
        if user.is_teacher:
            return self
        if user.own_adult is not None:
            return self.filter(family_id=user.own_adult.family_id)
        return self.filter(user=user)

    def active(self) -> Self:
        """Those who take lessons now; who leaves on a later day still does."""
        return self.filter(Q(left_date__isnull=True) | Q(left_date__gte=TruncDate(Now())))

    def by_name(self) -> Self:
        """In the order of a class list."""
        return self.order_by(Lower("name"), "pk")


class Student(models.Model):
    """Somebody who learns."""

    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="students")
    name = models.CharField(max_length=120)
    birth_year = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1900), MaxValueValidator(2100)]
    )
    is_left_handed = models.BooleanField("plays a left-handed kit", default=False)
    kit = models.CharField(
        "kit at home", max_length=30, default="five_piece", help_text="What they practise on."
    )
    started_date = models.DateField(null=True, blank=True)
    left_date = models.DateField(null=True, blank=True)
    note = models.TextField("note for yourself", blank=True, max_length=2000)
    user = models.OneToOneField(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="student"
    )

    objects = StudentQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(left_date__isnull=True)
                | Q(started_date__isnull=True)
                | Q(left_date__gte=models.F("started_date")),
                name="student_leaves_after_starting",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def first_name(self) -> str:
        """What one calls them."""
        return self.name.split(" ")[0]

    @property
    def is_active(self) -> bool:
        """True while they take lessons; who leaves on a later day still does."""
        return self.left_date is None or self.left_date >= timezone.localdate()


class School(models.Model):
    """A payer that is not a family: it pays by the hour and has a room on its premises."""

    name = models.CharField(max_length=120)
    place = models.ForeignKey("studio.Place", on_delete=models.PROTECT, related_name="schools")
    contact_name = models.CharField(max_length=120, blank=True)
    email = models.EmailField("e-mail for invoices", blank=True)
    phone = models.CharField(max_length=40, blank=True)

    def __str__(self) -> str:
        return self.name
