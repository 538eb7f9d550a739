"""Rings round the base, each with a surcharge; the outermost is the radius."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from lessons.planning.travel import RoadBook, Stop

Standing = Literal["inside", "band", "outside", "unknown", "none"]


@dataclass(frozen=True, slots=True, order=True)
class Band:
    """A ring: all places up to this many road kilometres, its edge included."""

    up_to_km: Decimal
    surcharge: Decimal


@dataclass(frozen=True, slots=True)
class BandFor:
    """Where a place lies: ``inside`` without a surcharge, in a ``band`` with one, ``outside`` all.

    ``unknown`` while the distance is not known, ``none`` where nobody drives. Outside the radius
    the surcharge is that of the last band, until the teacher prices it by hand.
    """

    standing: Standing
    surcharge: Decimal
    label: str
    km: float | None
    radius_km: Decimal | None


def band_for(km: float | None, bands: Sequence[Band]) -> BandFor:
    """Return the ring in which this many road kilometres lie."""
    rings = sorted(bands)
    radius = rings[-1].up_to_km if rings else None
    if km is None:
        return BandFor("unknown", Decimal(0), "distance unknown", None, radius)
    if not rings:
        return BandFor("inside", Decimal(0), "no bands set", km, None)
    begun = Decimal(0)
    for ring in rings:
        if km <= ring.up_to_km:
            label = f"{_plain(begun)}-{_plain(ring.up_to_km)} km"
            return BandFor(
                "band" if ring.surcharge else "inside", ring.surcharge, label, km, radius
            )
        begun = ring.up_to_km
    label = f"beyond {_plain(begun)} km"
    return BandFor("outside", rings[-1].surcharge, label, km, radius)


def band_of_stop(stop: Stop, roads: RoadBook, bands: Sequence[Band]) -> BandFor:
    """Return the ring of a place; online and the base itself lie in none and cost nothing."""
    if stop.is_online or (roads.base is not None and roads.base.key == stop.key):
        return BandFor("none", Decimal(0), "", 0.0, None)
    km, _ = roads.km_for_band(stop)
    found = band_for(km, bands)
    if found.standing == "outside" and stop.surcharge_by_hand is not None:
        return replace(
            found, surcharge=stop.surcharge_by_hand, label=f"{found.label}, priced by hand"
        )
    return found


def _plain(km: Decimal) -> str:
    text = f"{km:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
