"""Filling the table of routed roads: on a press, or when a place changes. Never inside a page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from lessons.models import RoutedRoad
from lessons.planning.travel import Position
from lessons.road_router import MOST_POINTS, Matrix, is_router_set, road_matrix
from lessons.selectors.road_rows import position_key
from studio.models import Place, PlaceKind
from studio.network_answer import NoAnswer

# So many questions in one press: at two seconds each the page stays bearable.
MOST_QUESTIONS = 4


@dataclass(frozen=True, slots=True)
class Asked:
    """What came of asking: roads now known, roads the router has none for, and what went wrong."""

    roads: int
    without_road: int
    trouble: str = ""
    is_all: bool = True


def roads_ask(*, now: datetime, place: Place | None = None) -> Asked:
    """Ask the router for all roads, or for those from and to one place, and keep the answers.

    Asking happens outside any transaction. What was known stays when the router does not answer.
    """
    if not is_router_set():
        return Asked(0, 0, "No road router is set.")
    places = _placed()
    if place is None:
        blocks = _blocks(places)
    elif place.position is None:
        return Asked(0, 0)
    else:
        others = [other for other in places if other.pk != place.pk][: MOST_POINTS - 1]
        blocks = [([place], others), (others, [place])] if others else []
    roads = without = 0
    for number, (starts, ends) in enumerate(blocks):
        if number == MOST_QUESTIONS:
            return Asked(roads, without, is_all=False)
        try:
            matrix = road_matrix(_points(starts), _points(ends))
        except NoAnswer as said:
            return Asked(roads, without, str(said), is_all=False)
        kept, none = _keep(starts, ends, matrix, now)
        roads, without = roads + kept, without + none
    return Asked(roads, without)


def road_words(asked: Asked) -> str:
    """Say what came of it."""
    if asked.trouble:
        kept = f" {asked.roads} roads came before that and are kept." if asked.roads else ""
        return f"The road router: {asked.trouble} What was known stays, else the estimate.{kept}"
    more = "" if asked.is_all else " There are more: press again."
    none = f", and knows none for {asked.without_road}" if asked.without_road else ""
    return f"The road router told {asked.roads} roads{none}.{more}"


def place_routed(place: Place, now: datetime) -> str:
    """Ask for the roads of a place that has changed; nothing to say without a router."""
    if not is_router_set() or place.position is None:
        return ""
    return road_words(roads_ask(now=now, place=place))


def _placed() -> list[Place]:
    places = Place.objects.exclude(kind=PlaceKind.ONLINE).exclude(latitude=None)
    return list(places.order_by("pk"))


def _blocks(places: Sequence[Place]) -> list[tuple[list[Place], list[Place]]]:
    """Cut all against all into questions; those with the fewest kept answers come first."""
    parts = [list(places[n : n + MOST_POINTS]) for n in range(0, len(places), MOST_POINTS)]
    blocks = [(starts, ends) for starts in parts for ends in parts]
    return sorted(blocks, key=lambda block: _known(*block)) if len(blocks) > 1 else blocks


def _known(starts: Iterable[Place], ends: Iterable[Place]) -> int:
    return RoutedRoad.objects.filter(from_place__in=starts, to_place__in=ends).count()


def _points(places: Iterable[Place]) -> list[Position]:
    return [place.position for place in places if place.position is not None]


def _keep(
    starts: Sequence[Place], ends: Sequence[Place], matrix: Matrix, now: datetime
) -> tuple[int, int]:
    """Write the table down, in one short transaction; return how many roads there are, and not."""
    rows: list[RoutedRoad] = []
    none = 0
    for start, minutes, kms in zip(starts, matrix.minutes, matrix.km, strict=True):
        for end, minute, km in zip(ends, minutes, kms, strict=True):
            if start.pk == end.pk or start.position is None or end.position is None:
                continue
            if minute is None:
                none += 1
                continue
            rows.append(
                RoutedRoad(
                    from_place=start,
                    to_place=end,
                    from_position=position_key(start.position),
                    to_position=position_key(end.position),
                    minutes=minute,
                    km=None if km is None else Decimal(str(round(km, 2))),
                    asked_at=now,
                )
            )
    with transaction.atomic():
        RoutedRoad.objects.filter(from_place__in=starts, to_place__in=ends).delete()
        RoutedRoad.objects.bulk_create(rows, batch_size=500)
    return len(rows), none
