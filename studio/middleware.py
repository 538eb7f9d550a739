"""What happens to every request."""

from __future__ import annotations

import zoneinfo
from collections.abc import Callable
from typing import cast

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.utils import timezone
from django_htmx.http import HttpResponseClientRedirect

from studio.models import Studio


class SignInRequiredMiddleware(LoginRequiredMiddleware):
    """Sends strangers to the sign-in page; inside an htmx swap, the whole browser."""

    def handle_no_permission(
        self, request: HttpRequest, view_func: Callable[..., HttpResponseBase]
    ) -> HttpResponseRedirect:
        response = super().handle_no_permission(request, view_func)
        if getattr(request, "htmx", False) and response.status_code == 302:
            # htmx's own redirect is no 302, though the base class promises one.
            return cast(HttpResponseRedirect, HttpResponseClientRedirect(response["Location"]))
        return response


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
