"""Who may open which page.

Every view carries exactly one of these decorators; a test walks the URLconf and fails on a view
without one. They decide by role (a wrong role is told 403); which objects a person may see is
decided by each model's ``visible_to`` (somebody else's object is a 404).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar, cast

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase

View = TypeVar("View", bound=Callable[..., HttpResponseBase])


def public(view: View) -> View:
    """Let anybody in, signed in or not."""
    opened = login_not_required(view)
    opened.access = "public"  # type: ignore[attr-defined]
    return opened


def signed_in(view: View) -> View:
    """Let every signed-in person in; the view narrows by ``visible_to``."""
    view.access = "signed_in"  # type: ignore[attr-defined]
    # A library may have opened its own view to everybody.
    view.login_required = True  # type: ignore[attr-defined]
    return view


def teacher_only(view: View) -> View:
    """Let only the teacher in."""
    return _role_only(view, "teacher", lambda user: user.is_teacher)


def student_only(view: View) -> View:
    """Let only people in who are students themselves (an adult student among them)."""
    return _role_only(view, "student", lambda user: user.own_student is not None)


def parent_only(view: View) -> View:
    """Let only a family's adults in."""
    return _role_only(view, "parent", lambda user: user.own_adult is not None)


def _role_only(view: View, access: str, test: Callable[[Any], bool]) -> View:
    @wraps(view)
    def checked(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if not test(request.user):
            raise PermissionDenied
        return view(request, *args, **kwargs)

    checked.access = access  # type: ignore[attr-defined]
    return cast(View, checked)
