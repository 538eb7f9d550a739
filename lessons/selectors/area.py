"""The area page: the picture and the table that says the same."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from lessons.models import TravelBand
from lessons.planning.area import PlaceToDraw, Sheet, bearing, draw, letters, wind
from lessons.planning.bands import BandFor
from lessons.planning.travel import Road, RoadBook, Stop
from lessons.selectors.day_routes import RouteLeg, day_ends, planned_route
from lessons.selectors.days import day_plan
from lessons.selectors.road import RoadTo, bands_now, road_book, road_to
from studio.models import Place, PlaceKind, Student, Studio


@dataclass(frozen=True, slots=True)
class AreaRow:
    """One place in the table: its letter in the picture, if it has a position."""

    place: Place
    letter: str
    to: RoadTo
    direction: str

    @property
    def road(self) -> Road:
        """The road from the base."""
        return self.to.road

    @property
    def band(self) -> BandFor:
        """The ring in which it lies."""
        return self.to.band


@dataclass(frozen=True, slots=True)
class AreaLeg:
    """One road of the day, in words."""

    number: int
    start: str
    end: str
    road: Road


@dataclass(frozen=True, slots=True)
class Area:
    """What the page shows; without a base there is no sheet, only the table."""

    day: date
    base_name: str
    sheet: Sheet | None
    rows: tuple[AreaRow, ...]
    legs: tuple[AreaLeg, ...]
    ring_count: int
    circuity: float

    @property
    def unplaced(self) -> tuple[AreaRow, ...]:
        """Places that the picture cannot show."""
        return tuple(row for row in self.rows if not row.letter)


def area(*, day: date, studio: Studio) -> Area:
    """Return the area with the roads of one day: a constant number of queries."""
    book = road_book(studio)
    plan = day_plan(day=day, studio=studio)
    legs = planned_route(plan, day_ends(book.base)[day.weekday()], book)
    on_the_way = {stop.key for leg in legs for stop in (leg.start, leg.end)}
    rows = _rows(_places(studio, on_the_way), book)
    rings = [float(km) for km in TravelBand.objects.values_list("up_to_km", flat=True)]
    return Area(
        day=day,
        base_name=book.base.name if book.base else "",
        sheet=_sheet(rows, legs, rings, book),
        rows=rows,
        legs=tuple(
            AreaLeg(number, leg.start.name, leg.end.name, leg.road)
            for number, leg in enumerate(legs, start=1)
        ),
        ring_count=len(rings),
        circuity=book.model.circuity,
    )


def _places(studio: Studio, on_the_way: set[int]) -> list[Place]:
    """Where somebody is taught now, and wherever the day leads besides."""
    active = Student.objects.active()
    found = Place.objects.exclude(kind=PlaceKind.ONLINE).filter(
        Q(families__students__in=active)
        | Q(families_besides__students__in=active)
        | Q(schools__isnull=False)
        | Q(kind=PlaceKind.ROOM)
        | Q(pk__in=on_the_way)
    )
    return [place for place in found.distinct() if place.pk != studio.base_id]


def _rows(places: list[Place], book: RoadBook) -> tuple[AreaRow, ...]:
    """The table: nearest first, places without a distance last; letters for those with a position.

    Equal ones by name and number, so that the letters stay.
    """
    bands = bands_now()
    ways = {place.pk: road_to(place, roads=book, bands=bands) for place in places}

    def order(place: Place) -> tuple[bool, bool, float, str, int]:
        km = ways[place.pk].band.km
        return place.position is None, km is None, km or 0.0, place.name, place.pk

    given = letters()
    base = book.base.position if book.base else None
    return tuple(
        AreaRow(
            place=place,
            letter=next(given) if place.position is not None and base is not None else "",
            to=ways[place.pk],
            direction=(
                wind(bearing(base, place.position)[0])
                if base is not None and place.position is not None
                else ""
            ),
        )
        for place in sorted(places, key=order)
    )


def _sheet(
    rows: tuple[AreaRow, ...], legs: tuple[RouteLeg, ...], rings: list[float], book: RoadBook
) -> Sheet | None:
    base = book.base
    if base is None or base.position is None:
        return None
    drawn = [
        PlaceToDraw(row.place.pk, row.place.name, row.place.kind, row.place.position)
        for row in rows
        if row.place.position is not None
    ]
    roads = [_road_words(leg, base) for leg in legs]
    return draw(base.position, drawn, rings, book.model.circuity, roads)


def _road_words(leg: RouteLeg, base: Stop) -> tuple[int, int, str]:
    """A road as the sheet wants it; the base has the number 0 there."""
    start, end = (0 if stop.key == base.key else stop.key for stop in (leg.start, leg.end))
    words = "unknown" if leg.road.minutes is None else f"{leg.road.minutes} min"
    return start, end, words
