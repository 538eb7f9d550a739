"""What people see when something is wrong."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Say that the request made no sense."""
    return render(request, "400.html", status=400)


def permission_denied(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Say that this page is for somebody else."""
    return render(request, "403.html", status=403)


def page_not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Say that there is no such page, or not for this person."""
    return render(request, "404.html", status=404)


def server_error(request: HttpRequest) -> HttpResponse:
    """Say that it is our fault; the page uses no database and no session."""
    return render(None, "500.html", status=500)
