"""The worst that a signed-in person or a stranger can send to every address: never a crash.

Every address of the URLconf is opened with hostile query parameters and sent hostile forms, as the
teacher, a parent and nobody. An answer of 500 is a failure, and reading a page writes nothing.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from exercises.models import Exercise
from studio.uploads import LARGEST_UPLOAD_BYTES
from tests.access.harness import Cast
from tests.access.test_every_address import ALL_PATTERNS, EXPECTED, cast

__all__ = ["cast"]

HUGE = "9" * 400
VALUES = [
    "\x00",
    "-1",
    HUGE,
    "1e400",
    "NaN",
    "9999-12-31",
    "0001-01-01",
    "' OR 1=1 --",
    "<script>alert(1)</script>",
    "../../../etc/passwd",
    "\u202eevil\u0301" * 40,
    "Żółć Παπαδάκη Ó Súilleabháin",
    "x" * 100_000,
    "\ud800".encode("utf-8", "surrogatepass").decode("latin-1"),
]
IN_ADDRESSES = [value for value in VALUES if "\x00" not in value]
NAMES = [
    "search",
    "q",
    "page",
    "depth",
    "kind",
    "move",
    "target",
    "day",
    "week",
    "width",
    "next",
    "student",
    "exercise",
    "lesson",
    "invoice",
    "on",
    "band",
    "tag",
    "order",
    "limb",
    "back",
    "bpm",
    "sticking",
    "shown",
]
SIGN_IN = "allauth.account.auth_backends.AuthenticationBackend"


@pytest.fixture(params=["teacher", "this_parent", "anonymous"])
def client_of(request: pytest.FixtureRequest, cast: Cast) -> tuple[Client, Cast]:
    client = Client(raise_request_exception=False)
    user = cast.user(request.param)
    if user is not None:
        client.force_login(user, backend=SIGN_IN)
    return client, cast


def _addresses(cast: Cast) -> list[tuple[str, str]]:
    rows = {row.name: row for row in EXPECTED}
    return [(name, reverse(name, args=rows[name].args(cast))) for name, _ in ALL_PATTERNS]


def test_hostile_parameters_never_crash_a_page(client_of: tuple[Client, Cast]) -> None:
    client, cast = client_of
    crashed = []
    for place, (name, address) in enumerate(_addresses(cast)):
        for turn in range(3):
            # Three different hostile values for each parameter of each page, all of them in turn.
            data = {
                field: IN_ADDRESSES[(place + turn * 5 + nth) % len(IN_ADDRESSES)][:3000]
                for nth, field in enumerate(NAMES)
            }
            answer = client.get(address, data)
            if answer.status_code >= 500:
                crashed.append((name, turn, _said(answer)))

    assert crashed == []


def test_an_address_with_the_character_nul_is_refused(client_of: tuple[Client, Cast]) -> None:
    # PostgreSQL can neither store nor compare it.
    client, _ = client_of
    assert client.get("/students/", {"search": "a\x00b"}).status_code == 400
    assert client.get("/students/?a%00b=1").status_code == 400


def test_reading_writes_nothing(client_of: tuple[Client, Cast]) -> None:
    client, cast = client_of
    wrote = []
    for name, address in _addresses(cast):
        if name == "account_logout":
            continue
        with CaptureQueriesContext(connection) as queries:
            client.get(address)
        verbs = {
            query["sql"].split(" ", 2)[0]
            for query in queries
            if "django_session" not in query["sql"] and '"studio_user"' not in query["sql"]
        }
        if verbs & {"INSERT", "UPDATE", "DELETE"}:
            wrote.append(name)

    assert wrote == []


@pytest.mark.parametrize("value", VALUES, ids=lambda value: repr(value[:12]))
def test_hostile_forms_never_crash_and_say_what_is_wrong(
    client_of: tuple[Client, Cast], value: str
) -> None:
    client, cast = client_of
    crashed = []
    rows = {row.name: row for row in EXPECTED}
    for name, address in _addresses(cast):
        good = rows[name].post_data(cast)
        hostile: dict[str, Any] = dict.fromkeys(good, value) or {"anything": value}
        answer = client.post(address, hostile)
        if answer.status_code >= 500:
            crashed.append((name, _said(answer)))

    assert crashed == []


def _said(answer: Any) -> str:
    problem = getattr(answer, "exc_info", None)
    return repr(problem[1])[:200] if problem else ""


BOMB = b"""<?xml version="1.0"?><!DOCTYPE b [<!ENTITY a "aaaaaaaaaa">
<!ENTITY c "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY d "&c;&c;&c;&c;&c;&c;&c;&c;&c;&c;">]>
<score-partwise><part id="P1"><measure number="1">&d;</measure></part></score-partwise>"""
OUTSIDE = b"""<?xml version="1.0"?><!DOCTYPE b [<!ENTITY x SYSTEM "file:///etc/passwd">]>
<score-partwise><part id="P1"><measure number="1"><note>&x;</note></measure></part>
</score-partwise>"""


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("bomb.musicxml", BOMB),
        ("outside.musicxml", OUTSIDE),
        ("large.musicxml", b"<" * (LARGEST_UPLOAD_BYTES + 1)),
        ("very-large.mid", b"MThd" + b"\x00" * 50_000_000),
        ("garbage.mid", b"MThd\x00\x00\x00\x06\x00\x01\x00\x01\x00\x00garbage"),
        ("empty.mid", b""),
        ("picture.png", b"\x89PNG\r\n\x1a\n" + b"\x00" * 100),
        ("zip.mxl", b"PK\x03\x04" + b"\x00" * 200),
        ("../../evil.mid", b"MThd"),
    ],
)
def test_a_hostile_upload_is_refused_at_its_field(cast: Cast, name: str, content: bytes) -> None:
    client = Client()
    client.force_login(cast.teacher, backend=SIGN_IN)
    before = Exercise.objects.count()
    file = SimpleUploadedFile(name, content)

    answer = client.post(reverse("exercises:exercise_import"), {"score": file, "bars": 1})

    assert answer.status_code in {413, 422}
    assert answer.context["form"].errors["score"]
    assert "root:" not in answer.content.decode()
    assert Exercise.objects.count() == before


def test_a_body_of_fifty_megabytes_in_a_text_field_is_refused(cast: Cast) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(cast.teacher, backend=SIGN_IN)

    answer = client.post(reverse("exercises:exercise_create"), {"typed": "x" * 50_000_000})

    assert answer.status_code in {400, 413}
    assert Exercise.objects.filter(title="").count() == 0
