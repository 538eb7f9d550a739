"""The road as it is now: settings, own times, bands."""

from __future__ import annotations

from dataclasses import dataclass

from lessons.models import PlaceCorrection, RoadSettings, TravelBand
from lessons.planning.bands import Band, BandFor, band_of_stop
from lessons.planning.travel import Road, RoadBook, Stop
from studio.models import Place, Studio


def stop_of(place: Place) -> Stop:
    """Return a place as the road sees it."""
    return Stop(
        key=place.pk,
        position=place.position,
        minutes_from_base=place.minutes_from_base,
        is_online=place.is_online,
        name=place.name,
    )


def road_book(studio: Studio | None = None) -> RoadBook:
    """Return every road there is: three queries, or two if the studio is at hand."""
    base = (studio or Studio.current()).base
    corrections: dict[tuple[int, int], int] = {}
    exact: dict[tuple[int, int], int] = {}
    for row in PlaceCorrection.objects.all():
        exact[row.from_place_id, row.to_place_id] = row.minutes
        if row.is_both_ways:
            corrections[row.to_place_id, row.from_place_id] = row.minutes
    return RoadBook(
        model=RoadSettings.current().model(),
        base=stop_of(base) if base else None,
        # A time given for this very direction beats one that was given for the way back.
        corrections=corrections | exact,
    )


def bands_now() -> tuple[Band, ...]:
    """Return the rings, innermost first."""
    return tuple(row.band() for row in TravelBand.objects.order_by("up_to_km"))


@dataclass(frozen=True, slots=True)
class RoadTo:
    """All that is known about the way from the base to one place."""

    road: Road
    band: BandFor
    is_base_missing: bool
    is_km_from_minutes: bool
    overruled_reason: str

    @property
    def is_outside(self) -> bool:
        """True beyond the radius."""
        return self.band.standing == "outside"


def road_to(
    place: Place, *, roads: RoadBook | None = None, bands: tuple[Band, ...] | None = None
) -> RoadTo:
    """Return the way from the base to this place, with band and surcharge."""
    roads = roads or road_book()
    stop = stop_of(place)
    _, source = roads.km_for_band(stop)
    return RoadTo(
        road=roads.from_base(stop),
        band=band_of_stop(stop, roads, bands_now() if bands is None else bands),
        is_base_missing=roads.base is None,
        is_km_from_minutes=source == "own",
        overruled_reason=place.road_overruled_reason,
    )
