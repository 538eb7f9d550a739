"""Every address of the URLconf, opened and posted to by every role."""

from __future__ import annotations

import importlib
from typing import Any

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests.access.harness import ROLES, SIGN_IN, Answer, Cast, Expect, make_cast

_TABLES = [
    importlib.import_module(f"tests.access.{app}_expectations")
    for app in ("studio", "lessons", "exercises", "billing")
]
EXPECTED: list[Expect] = [row for table in _TABLES for row in table.EXPECTED]


def _patterns(resolver: URLResolver, prefix: str = "") -> list[tuple[str, URLPattern]]:
    found: list[tuple[str, URLPattern]] = []
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            space = f"{prefix}{pattern.namespace}:" if pattern.namespace else prefix
            found += _patterns(pattern, space)
        else:
            found.append((f"{prefix}{pattern.name}", pattern))
    return found


ALL_PATTERNS = _patterns(get_resolver())


@pytest.fixture
def cast(db: None) -> Cast:
    made = make_cast()
    for table in _TABLES:
        table.build(made)
    return made


def test_no_address_is_without_an_expectation() -> None:
    named = {name for name, _ in ALL_PATTERNS}

    assert "None" not in {name.rpartition(":")[2] for name in named}, "a path has no name"
    assert named - {row.name for row in EXPECTED} == set(), "addresses without an expectation"
    assert {row.name for row in EXPECTED} - named == set(), "expectations without an address"


@pytest.mark.parametrize("name", [name for name, _ in ALL_PATTERNS])
def test_every_view_says_who_may_open_it(name: str) -> None:
    view = dict(ALL_PATTERNS)[name].callback

    assert getattr(view, "access", None) in {
        "public",
        "signed_in",
        "teacher",
        "student",
        "parent",
    }, f"{name} carries no decorator of studio.access"


@pytest.mark.parametrize("row", EXPECTED, ids=lambda row: row.name)
@pytest.mark.parametrize("method", ["get", "post"])
def test_every_role_has_an_expected_answer(row: Expect, method: str) -> None:
    assert [role for role in ROLES if row.answer(method, role) is None] == []


@pytest.mark.parametrize("row", EXPECTED, ids=lambda row: row.name)
@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("role", ROLES)
def test_the_answer(row: Expect, method: str, role: str, cast: Cast) -> None:
    client = Client(raise_request_exception=True)
    user = cast.user(role)
    if user is not None:
        client.force_login(user, backend="allauth.account.auth_backends.AuthenticationBackend")
    address = reverse(row.name, args=row.args(cast))

    data: dict[str, Any] = row.post_data(cast) if method == "post" else {}
    response = client.get(address) if method == "get" else client.post(address, data)

    assert _seen(response) == row.answer(method, role), _why(response)


def _seen(response: Any) -> Answer:
    if response.status_code == 302 and response["Location"].startswith(
        f"{reverse('account_login')}?next="
    ):
        return SIGN_IN
    return int(response.status_code)


def _why(response: Any) -> str:
    context = getattr(response, "context", None)
    form = context.get("form") if context else None
    errors = getattr(form, "errors", None)
    return f"errors: {dict(errors)}" if errors else response.content[:300].decode(errors="replace")
