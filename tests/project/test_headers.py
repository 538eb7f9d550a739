"""The headers that keep a page to itself, pinned."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories.studio import StudioFactory, TeacherFactory


@pytest.fixture
def answer(db: None) -> dict[str, str]:
    StudioFactory()
    client = Client()
    client.force_login(
        TeacherFactory(), backend="allauth.account.auth_backends.AuthenticationBackend"
    )
    return dict(client.get(reverse("studio:family_list")).headers)


def test_nothing_runs_or_loads_but_our_own_files(answer: dict[str, str]) -> None:
    rules = dict(
        part.strip().partition(" ")[::2] for part in answer["Content-Security-Policy"].split(";")
    )

    assert rules == {
        "default-src": "'none'",
        "script-src": "'self'",
        "style-src": "'self'",
        "img-src": "'self'",
        "font-src": "'self'",
        "connect-src": "'self'",
        "worker-src": "'self'",
        "manifest-src": "'self'",
        "form-action": "'self'",
        "base-uri": "'none'",
        "frame-ancestors": "'none'",
    }


def test_the_other_headers(answer: dict[str, str]) -> None:
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["Referrer-Policy"] == "same-origin"
    assert answer["Cross-Origin-Opener-Policy"] == "same-origin"
    assert answer["Cross-Origin-Resource-Policy"] == "same-origin"
    assert answer["Cache-Control"] == "private, no-store"
    assert answer["Permissions-Policy"] == "geolocation=(self), camera=(), microphone=()"


@pytest.mark.django_db
def test_error_pages_say_what_happened() -> None:
    StudioFactory()
    client = Client(raise_request_exception=False)

    missing = client.get("/no-such-page/")

    assert missing.status_code == 404
    assert "not yours to see" in missing.content.decode()
