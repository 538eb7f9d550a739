"""One way to answer with a page, or with the part of it that htmx asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.cache import patch_vary_headers
from django_htmx.http import HttpResponseClientRedirect
from django_htmx.middleware import HtmxDetails

if TYPE_CHECKING:
    from studio.models import Studio, User


class StudioRequest(HttpRequest):
    """A request after our middleware: signed in, with the studio at hand."""

    user: User
    htmx: HtmxDetails
    studio: Studio
    upload_too_large: bool


def page(
    request: HttpRequest,
    template: str,
    context: dict[str, Any] | None = None,
    *,
    fragment: str | None = None,
    status: int = 200,
) -> HttpResponse:
    """Render the template, or only its partial ``fragment`` when htmx asks for a part.

    An invalid form is answered with 200 to htmx, which does not swap in error answers, and with
    422 to a plain browser, so that the status tells the truth where it can.
    """
    if fragment and request.htmx and not request.htmx.boosted:  # type: ignore[attr-defined]
        response = render(request, f"{template}#{fragment}", context)
    else:
        response = render(request, template, context, status=status)
    if fragment:
        patch_vary_headers(response, ("HX-Request",))
    return response


def go(request: HttpRequest, to: Any, *args: Any) -> HttpResponse:
    """Send the browser on after a POST: the whole page, also when htmx sent the form."""
    if request.htmx:  # type: ignore[attr-defined]
        return HttpResponseClientRedirect(resolve_url(to, *args))
    return redirect(to, *args)
