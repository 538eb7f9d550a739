"""People who sign in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models.functions import Lower

if TYPE_CHECKING:
    from studio.models.people import Adult, Student


class Role(models.TextChoices):
    """What somebody is to the studio."""

    TEACHER = "teacher", "Teacher"
    STUDENT = "student", "Student"
    PARENT = "parent", "Parent"


class User(AbstractUser):
    """Somebody with a sign-in. A child's has no e-mail address."""

    role = models.CharField(max_length=10, choices=Role.choices)
    # Django's own flags for its admin, which the studio does not have.
    is_staff = None
    is_superuser = None
    groups = None  # type: ignore[assignment]
    user_permissions = None  # type: ignore[assignment]
    first_name = None  # type: ignore[assignment]
    last_name = None  # type: ignore[assignment]
    display_name = models.CharField(max_length=120)

    REQUIRED_FIELDS = ["display_name", "role"]

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(role__in=Role.values), name="user_role_known"
            ),
            models.UniqueConstraint(
                Lower("email"), condition=~models.Q(email=""), name="user_email_once"
            ),
            models.UniqueConstraint(Lower("username"), name="user_username_once"),
        ]

    def __str__(self) -> str:
        return self.display_name or self.username

    def get_full_name(self) -> str:
        return self.display_name

    def get_short_name(self) -> str:
        return self.display_name.split(" ")[0]

    @property
    def is_teacher(self) -> bool:
        """True for the one who owns everything."""
        return self.role == Role.TEACHER

    @property
    def is_parent(self) -> bool:
        """True for a family's adult."""
        return self.role == Role.PARENT

    @property
    def is_student(self) -> bool:
        """True for a student who is nothing else."""
        return self.role == Role.STUDENT

    @property
    def own_student(self) -> Student | None:
        """The student that this person is, if any."""
        return getattr(self, "student", None)

    @property
    def own_adult(self) -> Adult | None:
        """The family's adult that this person is, if any."""
        return getattr(self, "adult", None)
