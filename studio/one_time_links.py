"""Links that sign somebody in once: printed for a child, mailed to a parent."""

from __future__ import annotations

from django.conf import settings
from django.urls import reverse
from sesame.utils import get_token, get_user

from studio.models import User


def one_time_path(user: User) -> str:
    """Return the path of a link that signs this person in once, within a week."""
    return reverse("studio:one_time_link", args=[get_token(user)])


def one_time_address(user: User) -> str:
    """Return the whole web address of :func:`one_time_path`."""
    return settings.SITE_ADDRESS + one_time_path(user)


def user_of_link(token: str) -> User | None:
    """Return whose link this is, or None when it is spent, too old or made up."""
    user = get_user(token, update_last_login=False)
    return user if isinstance(user, User) else None
