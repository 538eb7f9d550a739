"""Looking an address up from a form with ``address`` and ``position``: nothing is kept by it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.http import HttpRequest

from studio.geocoder import address_look_up
from studio.network_answer import NoAnswer

LONGEST = 1000


def is_looking_up(request: HttpRequest) -> bool:
    """Return True when one of the look-up buttons was pressed."""
    return request.method == "POST" and ("look_up" in request.POST or "take" in request.POST)


def looked_up(request: HttpRequest, names: Iterable[str]) -> tuple[dict[str, str], dict[str, Any]]:
    """Return what the form was filled in with, and what the page says beside it.

    With ``look_up`` the page offers what the geocoder found; with ``take`` one of them stands in
    the position field. Keeping it is another press.
    """
    filled = {name: request.POST.get(name, "")[:LONGEST] for name in names}
    if "take" in request.POST:
        filled["position"] = request.POST.get("take", "")[:LONGEST]
        return filled, {"is_taken": True}
    said: dict[str, Any] = {"is_asked": True}
    try:
        said["found"] = address_look_up(filled.get("address", ""))
    except NoAnswer as trouble:
        said["trouble"] = str(trouble)
    return filled, said
