"""The cast and the table for "every address, every role"."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

from studio.models import Role
from tests.factories.studio import (
    AdultFactory,
    FamilyFactory,
    StudentFactory,
    StudioFactory,
    TeacherFactory,
    UserFactory,
)

ROLES = ("anonymous", "teacher", "this_student", "other_student", "this_parent", "other_parent")
SIGN_IN = "sign-in"
# 200 the page, 302 done and sent on, 403 wrong role, 404 not yours, 405 wrong method, 422 mend it.
Answer = int | str


@dataclass
class Cast:
    """One teacher, this family and another, everybody signed up; ``things`` is the apps' own."""

    teacher: Any
    family: Any
    student: Any
    adult: Any
    other_family: Any
    other_student: Any
    other_adult: Any
    studio: Any
    things: SimpleNamespace = field(default_factory=SimpleNamespace)

    def user(self, role: str) -> Any:
        """The user who plays this role, None for anonymous."""
        return {
            "anonymous": None,
            "teacher": self.teacher,
            "this_student": self.student.user,
            "other_student": self.other_student.user,
            "this_parent": self.adult.user,
            "other_parent": self.other_adult.user,
        }[role]


def make_cast() -> Cast:
    """Write the cast into the test's database."""
    studio = StudioFactory()
    families = [FamilyFactory(), FamilyFactory()]
    adults = [
        AdultFactory(family=family, user=UserFactory(role=Role.PARENT)) for family in families
    ]
    students = [StudentFactory(family=family, user=UserFactory()) for family in families]
    return Cast(
        teacher=TeacherFactory(),
        family=families[0],
        student=students[0],
        adult=adults[0],
        other_family=families[1],
        other_student=students[1],
        other_adult=adults[1],
        studio=studio,
    )


@dataclass(frozen=True)
class Expect:
    """What one named address answers to each role.

    ``get`` and ``post`` map a role to a status code, or to ``"sign-in"`` for being sent to sign in.
    ``"family"`` stands for the four family roles, ``"everybody"`` for all six, and a role that is
    named itself wins. A role left out of ``get`` or ``post`` fails the completeness test.
    """

    name: str
    args: Callable[[Cast], tuple[Any, ...]] = lambda cast: ()
    get: Mapping[str, Answer] = field(default_factory=dict)
    post: Mapping[str, Answer] = field(default_factory=dict)
    post_data: Callable[[Cast], dict[str, Any]] = lambda cast: {}

    def answer(self, method: str, role: str) -> Answer | None:
        """The expected answer, or None when the table does not say."""
        table = self.get if method == "get" else self.post
        if role in table:
            return table[role]
        if role not in ("anonymous", "teacher") and "family" in table:
            return table["family"]
        return table.get("everybody")


def teacher_page(name: str, args: Callable[[Cast], tuple[Any, ...]] = lambda cast: ()) -> Expect:
    """A page that only the teacher opens, and that nobody posts to."""
    return Expect(
        name,
        args,
        get={"anonymous": SIGN_IN, "teacher": 200, "family": 403},
        post={"anonymous": SIGN_IN, "everybody": 405},
    )


def teacher_form(
    name: str,
    args: Callable[[Cast], tuple[Any, ...]] = lambda cast: (),
    *,
    done: Answer = 302,
    data: Callable[[Cast], dict[str, Any]],
) -> Expect:
    """A form that only the teacher opens; ``data`` is a good answer."""
    return Expect(
        name,
        args,
        get={"anonymous": SIGN_IN, "teacher": 200, "family": 403},
        post={"anonymous": SIGN_IN, "teacher": done, "family": 403},
        post_data=data,
    )


def teacher_action(
    name: str,
    args: Callable[[Cast], tuple[Any, ...]] = lambda cast: (),
    *,
    done: Answer = 302,
    data: Callable[[Cast], dict[str, Any]] = lambda cast: {},
) -> Expect:
    """Something that only the teacher does, by POST alone."""
    return Expect(
        name,
        args,
        get={"anonymous": SIGN_IN, "everybody": 405},
        post={"anonymous": SIGN_IN, "teacher": done, "family": 403},
        post_data=data,
    )
