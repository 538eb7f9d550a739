"""The road as it is now: settings, own times, bands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.db.models import Count, Max

from lessons.models import PlaceCorrection, RoadSettings, RoutedRoad, TeachingLimits, TravelBand
from lessons.planning.bands import Band, BandFor, band_of_stop
from lessons.planning.travel import Detour, Road, RoadBook, Source, Stop, detours_that_save
from lessons.selectors.road_rows import own_times, routed_roads
from studio.models import Place, PlaceKind, Studio


def stop_of(place: Place) -> Stop:
    """Return a place as the road sees it."""
    return Stop(
        key=place.pk,
        position=place.position,
        minutes_from_base=place.minutes_from_base,
        is_online=place.is_online,
        name=place.name,
        surcharge_by_hand=place.surcharge_by_hand,
    )


def road_book(studio: Studio | None = None) -> RoadBook:
    """Return every road there is: four queries, three if the studio is at hand, one more with a
    router.
    """
    base = (studio or Studio.current()).base
    corrections, by_hour = own_times(PlaceCorrection.objects.all())
    return RoadBook(
        model=RoadSettings.current().model(),
        base=stop_of(base) if base else None,
        corrections=corrections,
        by_hour=by_hour,
        routed=routed_roads() if settings.ROAD_ROUTER_URL else {},
        is_desk_needed=TeachingLimits.current().is_room_needed_online,
    )


def bands_now() -> tuple[Band, ...]:
    """Return the rings, innermost first."""
    return tuple(row.band() for row in TravelBand.objects.order_by("up_to_km"))


def detours_now(studio: Studio) -> tuple[Detour, ...]:
    """Return the roads that the teacher's own times make longer than a way round."""
    places = Place.objects.exclude(kind=PlaceKind.ONLINE).order_by("pk")
    return detours_that_save(road_book(studio), [stop_of(place) for place in places])


@dataclass(frozen=True, slots=True)
class RouterState:
    """Whether a router is set, how many of its roads are kept, and when it was last asked."""

    is_set: bool
    roads: int
    asked_at: datetime | None


def router_state() -> RouterState:
    """Return how things stand with the road router; it is not asked."""
    if not settings.ROAD_ROUTER_URL:
        return RouterState(is_set=False, roads=0, asked_at=None)
    kept = RoutedRoad.objects.aggregate(roads=Count("pk"), asked_at=Max("asked_at"))
    return RouterState(is_set=True, roads=kept["roads"], asked_at=kept["asked_at"])


@dataclass(frozen=True, slots=True)
class RoadTo:
    """All that is known about the way from the base to one place."""

    road: Road
    band: BandFor
    is_base_missing: bool
    km_source: Source
    overruled_reason: str

    @property
    def km_words(self) -> str:
        """What the kilometres rest on, for the page."""
        if self.km_source == "own":
            return "as far as your minutes usually reach"
        return "road router" if self.km_source == "router" else "estimate"

    @property
    def is_outside(self) -> bool:
        """True beyond the radius."""
        return self.band.standing == "outside"


def outside_words(place: Place, studio: Studio) -> str:
    """Say by how much a place lies outside the radius; empty inside, or where a reason stands."""
    if place.is_online or place.road_overruled_reason:
        return ""
    band = band_of_stop(stop_of(place), road_book(studio), bands_now())
    if band.standing != "outside" or band.km is None or band.radius_km is None:
        return ""
    return (
        f"{place.name} is {band.km:.1f} km away by road, outside your radius of "
        f"{band.radius_km.normalize():f} km."
    )


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
        km_source=source,
        overruled_reason=place.road_overruled_reason,
    )
