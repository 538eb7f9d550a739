"""What happens to every request."""

from __future__ import annotations

import zoneinfo
from collections.abc import Callable
from typing import cast
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import resolve_url
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django_htmx.http import HttpResponseClientRedirect

from studio.models import Studio


class SignInRequiredMiddleware(LoginRequiredMiddleware):
    """Sends strangers to the sign-in page; inside an htmx swap, the whole browser."""

    def handle_no_permission(
        self, request: HttpRequest, view_func: Callable[..., HttpResponseBase]
    ) -> HttpResponseRedirect:
        response = super().handle_no_permission(request, view_func)
        if request.method not in ("GET", "HEAD"):
            # What was pressed cannot be opened afterwards: back to the page it stood on.
            response = redirect_to_login(
                _page_pressed_on(request),
                self.get_login_url(view_func),
                self.get_redirect_field_name(view_func),
            )
        if getattr(request, "htmx", False) and response.status_code == 302:
            # htmx's own redirect is no 302, though the base class promises one.
            return cast(HttpResponseRedirect, HttpResponseClientRedirect(response["Location"]))
        return response


def _page_pressed_on(request: HttpRequest) -> str:
    try:
        address = urlsplit(
            request.headers.get("HX-Current-URL") or request.headers.get("Referer", "")
        )
    except ValueError:  # the header is no address at all
        return resolve_url(settings.LOGIN_REDIRECT_URL)
    back = f"{address.path}?{address.query}" if address.query else address.path
    # A path such as //elsewhere/ would be read as another site's address.
    is_ours = address.netloc == request.get_host() and back.startswith("/")
    if not is_ours or not url_has_allowed_host_and_scheme(back, allowed_hosts=None):
        return resolve_url(settings.LOGIN_REDIRECT_URL)
    return back


class PlainTextMiddleware:
    """Refuses addresses that hold the character NUL.

    PostgreSQL cannot store or compare it, so that a search for it would be a crash. Form fields
    refuse it by themselves; what stands in an address is often read without a form.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *view: object) -> None:
        """:raises BadRequest: answered with the page that says the address was not understood"""
        asked = (text for pair in request.GET.lists() for text in (pair[0], *pair[1]))
        if "\x00" in request.path or any("\x00" in text for text in asked):
            raise BadRequest("The address holds a character that no text may hold.")


class StudioMiddleware:
    """Puts the studio at ``request.studio``, shows its local time, keeps pages out of caches."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        studio = Studio.current()
        request.studio = studio  # type: ignore[attr-defined]
        with timezone.override(zoneinfo.ZoneInfo(studio.time_zone)):
            response = self.get_response(request)
        if request.user.is_authenticated and "Cache-Control" not in response:
            response["Cache-Control"] = "private, no-store"
        return response


class MoreHeadersMiddleware:
    """Adds the headers that Django leaves to us (OWASP HTTP Headers Cheat Sheet)."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        # The browser's own location may be asked for at a family's door, by us alone.
        response.setdefault("Permissions-Policy", "geolocation=(self), camera=(), microphone=()")
        response.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        return response
