"""Looking an address up at a geocoder, if the owner named one (``STUDIO_GEOCODER_URL``).

Asked: ``GET <address>?address=<text>&limit=5``. Answered: GeoJSON (RFC 7946), a FeatureCollection
of Points, longitude first, with a ``label`` or ``name`` among the properties. The address of one
family leaves the machine when the teacher presses the button, and at no other time.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.cache import cache

from studio.network_answer import NoAnswer, Question, network_answer
from studio.positions import NotAPosition, Pair, checked_position, position_words

MOST_FOUND = 5
LONGEST_ADDRESS = 500
_KEPT_SECONDS = 30 * 24 * 3600


@dataclass(frozen=True, slots=True)
class FoundPlace:
    """One place that the geocoder offers."""

    label: str
    position: Pair

    @property
    def text(self) -> str:
        """The position as it is typed."""
        return position_words(self.position)


def is_geocoder_set() -> bool:
    """Return True when addresses can be looked up at all."""
    return bool(settings.GEOCODER_URL)


def address_look_up(address: str) -> tuple[FoundPlace, ...]:
    """Return where the address could be, best first; empty if the geocoder knows nothing of it.

    Answers are kept for 30 days, troubles not at all.

    :raises NoAnswer: if none is set, or it does not answer as it should
    """
    if not settings.GEOCODER_URL:
        raise NoAnswer("No geocoder is set.")
    text = " ".join(address.split())[:LONGEST_ADDRESS]
    if not text:
        return ()
    key = "geocoder:" + hashlib.sha256(f"{settings.GEOCODER_URL}\n{text}".encode()).hexdigest()
    kept: tuple[FoundPlace, ...] | None = cache.get(key)
    if kept is not None:
        return kept
    question = Question(
        settings.GEOCODER_URL,
        token=settings.GEOCODER_TOKEN,
        parameters={"address": text, "limit": str(MOST_FOUND)},
    )
    found = _places(network_answer(question))
    cache.set(key, found, _KEPT_SECONDS)
    return found


def _places(answer: Any) -> tuple[FoundPlace, ...]:
    features = answer.get("features") if isinstance(answer, dict) else None
    if not isinstance(features, list):
        raise NoAnswer("Its answer is not a list of places (GeoJSON).")
    found: list[FoundPlace] = []
    for feature in features[:MOST_FOUND]:
        place = _place(feature)
        if place is not None and place not in found:
            found.append(place)
    if features and not found:
        raise NoAnswer("None of the places in its answer has a position that can be read.")
    return tuple(found)


def _place(feature: Any) -> FoundPlace | None:
    """One feature as a place; None for anything but a point on the earth."""
    try:
        geometry, properties = feature["geometry"], feature.get("properties") or {}
        if geometry["type"] != "Point":
            return None
        longitude, latitude = geometry["coordinates"][:2]
        if not all(type(part) in (int, float) for part in (latitude, longitude)):
            return None
        position = checked_position(Decimal(str(latitude)), Decimal(str(longitude)))
        label = properties.get("label") or properties.get("name") or ""
    except (KeyError, TypeError, ValueError, AttributeError, ArithmeticError, NotAPosition):
        return None
    words = " ".join(str(label).split())[:200] if isinstance(label, str) else ""
    return FoundPlace(words or position_words(position), position)
