"""Whether a position is where anybody would drive: a swapped or far-off one is asked about.

Nothing is corrected unasked: the question says what was more likely meant.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from geographiclib.geodesic import Geodesic

from studio.positions import Pair, position_words

Degrees = tuple[float, float]

# Nobody teaches further from the door than this: common practice, no source.
FAR_KM = 300.0
# Clocks are up to three hours off the sun (western China keeps Beijing's time).
MOST_HOURS_OFF = 3.0


@dataclass(frozen=True, slots=True)
class Doubt:
    """A position that is possible but odd. ``instead`` is what was more likely meant, if known."""

    words: str
    instead: Pair | None = None


def doubt_about(
    pair: Pair, known: Iterable[Degrees] = (), *, hours_from_utc: float | None = None
) -> Doubt | None:
    """Return why the position may be a slip, None if nothing speaks against it.

    :param known: positions that are trusted (the base, homes); the nearest one counts
    :param hours_from_utc: the studio's standard time, if there is nothing else to go by
    """
    trusted = list(known)
    if trusted:
        return _doubt_by_distance(pair, trusted)
    if hours_from_utc is None:
        return None
    return _doubt_by_clock(pair, hours_from_utc)


def _doubt_by_distance(pair: Pair, trusted: list[Degrees]) -> Doubt | None:
    away = _nearest_km(pair, trusted)
    if away <= FAR_KM:
        return None
    far = f"This is {away:,.0f} km from the nearest place that is written down. "
    latitude, longitude = pair
    for instead, what in (
        ((longitude, latitude), "Are latitude and longitude the wrong way round?"),
        ((latitude, -longitude), "Is a minus missing, or one too many (west is minus)?"),
        ((-latitude, longitude), "Is a minus missing, or one too many (south is minus)?"),
        ((longitude, -latitude), "Are the two the wrong way round, and a minus astray?"),
        ((-longitude, latitude), "Are the two the wrong way round, and a minus astray?"),
    ):
        if _is_possible(instead) and _nearest_km(instead, trusted) <= FAR_KM:
            return Doubt(f"{far}{what} Then it would be {position_words(instead)}.", instead)
    return Doubt(f"{far}Nobody would drive there for a lesson. Is every figure right?")


def _doubt_by_clock(pair: Pair, hours: float) -> Doubt | None:
    """The sun's own time at the place against the studio's clock: 15 degrees are an hour."""
    if _hours_off(pair[1], hours) <= MOST_HOURS_OFF:
        return None
    instead = (pair[1], pair[0])
    if _is_possible(instead) and _hours_off(pair[0], hours) <= MOST_HOURS_OFF:
        words = "This place lies in another part of the world than your time zone. "
        words += "Are latitude and longitude the wrong way round? "
        return Doubt(f"{words}Then it would be {position_words(instead)}.", instead)
    return Doubt("This place lies in another part of the world than your time zone.")


def _hours_off(longitude: Decimal, hours: float) -> float:
    off = abs(float(longitude) / 15 - hours) % 24
    return min(off, 24 - off)


def _nearest_km(pair: Pair, trusted: list[Degrees]) -> float:
    here = float(pair[0]), float(pair[1])
    return min(
        float(Geodesic.WGS84.Inverse(*here, *there, Geodesic.DISTANCE)["s12"]) / 1000
        for there in trusted
    )


def _is_possible(pair: Pair) -> bool:
    return abs(pair[0]) < 90 and abs(pair[1]) <= 180
