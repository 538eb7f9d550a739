"""Asking a server of the owner's: slow, broken, huge and wrong answers, from a real one."""

from __future__ import annotations

import socket
import time
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler
from typing import Any

import pytest
from django.core.cache import cache
from django.core.exceptions import ImproperlyConfigured

from studio import env
from studio.geocoder import address_look_up
from studio.network_answer import MOST_BYTES, NoAnswer, Question, network_answer
from tests.local_server import local_server, says, says_bytes

SECONDS = 0.3


def _drips(handler: BaseHTTPRequestHandler, _: bytes) -> None:
    """A byte every so often: no single wait is long, all of them together are."""
    handler.send_response(200)
    handler.end_headers()
    for _ in range(40):
        handler.wfile.write(b" ")
        handler.wfile.flush()
        time.sleep(SECONDS / 6)


def _sleeps(_: BaseHTTPRequestHandler, __: bytes) -> None:
    time.sleep(SECONDS * 2)


def _floods(handler: BaseHTTPRequestHandler, _: bytes) -> None:
    handler.send_response(200)
    handler.end_headers()
    for _ in range(MOST_BYTES // 65_536 + 2):
        handler.wfile.write(b" " * 65_536)


def _hangs_up(handler: BaseHTTPRequestHandler, _: bytes) -> None:
    handler.send_response(200)
    handler.send_header("Content-Length", "1000")
    handler.end_headers()
    handler.wfile.write(b"{")


@pytest.mark.parametrize(
    ("answer", "word"),
    [
        (_sleeps, "did not answer within"),
        (_drips, "did not answer within"),
        (_floods, "too long"),
        (_hangs_up, "could not be reached"),
        (says({}, status=500), "number 500"),
        (says_bytes(b"", status=302, Location="http://127.0.0.1:1/"), "number 302"),
        (says_bytes(b"<html>"), "not JSON"),
        (says_bytes(b"[" * 100_000), "not JSON"),
        (says_bytes(b"\xff\xfe\x00"), "not JSON"),
        (says_bytes(b"9" * 5000), "not JSON"),
    ],
)
def test_trouble_comes_back_as_a_sentence_and_in_time(answer: Any, word: str) -> None:
    with local_server(answer) as server:
        began = time.monotonic()
        with pytest.raises(NoAnswer, match=word):
            network_answer(Question(server.address), seconds=SECONDS)

        assert time.monotonic() - began < SECONDS + 0.5


def test_nobody_at_home_is_said() -> None:
    with socket.socket() as unused:
        unused.bind(("127.0.0.1", 0))
        address = f"http://127.0.0.1:{unused.getsockname()[1]}/"

    with pytest.raises(NoAnswer, match="could not be reached"):
        network_answer(Question(address), seconds=SECONDS)


def test_asks_once_and_with_its_token_alone() -> None:
    with local_server(says({"a": [1]})) as server:
        assert network_answer(Question(server.address, "secret", body={"b": 2})) == {"a": [1]}

    ((method, path, headers, body),) = server.asked
    assert (method, path, body) == ("POST", "/ask", b'{"b": 2}')
    assert headers["Authorization"] == "Bearer secret"
    assert "Cookie" not in headers


def _feature(longitude: Any, latitude: Any, **properties: Any) -> dict[str, Any]:
    point = {"type": "Point", "coordinates": [longitude, latitude]}
    return {"type": "Feature", "geometry": point, "properties": properties}


def _collection(*features: Any) -> dict[str, Any]:
    return {"type": "FeatureCollection", "features": list(features)}


@pytest.fixture
def geocoder(settings: Any) -> Callable[[str], None]:
    """Name the geocoder, and begin with nothing kept."""
    cache.clear()

    def name(address: str) -> None:
        settings.GEOCODER_URL = address

    return name


class TestGeocoder:
    def test_reads_geojson_with_longitude_first(self, geocoder: Any) -> None:
        """RFC 7946, section 3.1.1: longitude, then latitude."""
        answer = says(_collection(_feature(-8.47, 51.897, label="3 Copper Lane, Cork")))
        with local_server(answer) as server:
            geocoder(server.address)
            (found,) = address_look_up("3 Copper Lane\nCork")
            again = address_look_up(" 3  Copper Lane Cork ")

        assert (found.label, found.text) == ("3 Copper Lane, Cork", "51.897000, -8.470000")
        assert again == (found,)
        ((_, path, _, _),) = server.asked
        assert path == "/ask?address=3+Copper+Lane+Cork&limit=5"

    def test_what_is_no_point_on_earth_is_left_out(self, geocoder: Any) -> None:
        odd = [
            _feature(0, 0, label="nowhere"),
            _feature(-8.47, 95, label="beyond the pole"),
            _feature(True, 51.9),
            _feature("8", "51"),
            _feature(float("nan"), 51.9),
            _feature(1e300, 51.9),
            {"geometry": None},
            {"geometry": {"type": "Polygon", "coordinates": []}},
            7,
        ]
        good = _feature(-8.47, 51.897, name="Copper Lane")
        with local_server(says(_collection(*odd[:4], good))) as server:
            geocoder(server.address)
            assert [one.label for one in address_look_up("Copper Lane")] == ["Copper Lane"]
        with local_server(says(_collection(*odd[4:]))) as server:
            geocoder(server.address)
            with pytest.raises(NoAnswer, match="None of the places"):
                address_look_up("Copper Lane")

    @pytest.mark.parametrize("answer", [[], {}, {"features": "none"}, None])
    def test_another_shape_is_no_answer(self, geocoder: Any, answer: Any) -> None:
        with local_server(says(answer)) as server:
            geocoder(server.address)
            with pytest.raises(NoAnswer, match="not a list of places"):
                address_look_up("Copper Lane")

    def test_nothing_known_is_an_empty_answer(self, geocoder: Any) -> None:
        with local_server(says(_collection())) as server:
            geocoder(server.address)

            assert address_look_up("Nowhere Row") == ()

    def test_is_off_unless_named(self, settings: Any) -> None:
        assert settings.GEOCODER_URL == ""
        with pytest.raises(NoAnswer, match="No geocoder"):
            address_look_up("Copper Lane")


@pytest.mark.parametrize(
    "value", ["ftp://x.example/", "https://", "router", "http://x/#a", "file:///x"]
)
def test_an_address_that_is_none_stops_the_start(
    value: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STUDIO_ROUTER_URL", value)

    with pytest.raises(ImproperlyConfigured, match="STUDIO_ROUTER_URL"):
        env.web_address("STUDIO_ROUTER_URL")
