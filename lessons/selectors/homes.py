"""Families' homes: which one counts on a day, the second ones, and what a move would change."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from lessons.models import HouseMove, Lesson, LessonStatus, Series
from lessons.planning.bands import BandFor, band_of_stop
from lessons.planning.clashes import Visit
from lessons.planning.recurrence import Occurrence
from lessons.planning.travel import Road
from lessons.selectors.road import RoadTo, bands_now, road_book, road_to, stop_of
from lessons.selectors.series import (
    ClashGroup,
    DateClash,
    all_in_the_way,
    clash_groups,
    visits_between,
)
from studio.local_time import day_bounds, local_date
from studio.models import Family, Place, Studio

# A place that is not written down yet has no number of its own.
NEW_PLACE = -1


def home_on(family: Family, day: date) -> Place:
    """Return where the family lives on that day, a move to come included."""
    move = HouseMove.objects.filter(family=family, done_at=None, from_date__lte=day)
    coming = move.select_related("to_place").first()
    return coming.to_place if coming else family.home


def move_to_come(family: Family) -> HouseMove | None:
    """Return the move that the family has ahead of it, if there is one."""
    return family.house_moves.filter(done_at=None).select_related("to_place").first()


@dataclass(frozen=True, slots=True)
class OtherHome:
    """A second home and the road to it."""

    place: Place
    to: RoadTo


def other_homes(family: Family) -> list[OtherHome]:
    """Return the family's second homes, without the one that it is about to move into."""
    coming = HouseMove.objects.filter(family=family, done_at=None).values("to_place")
    places = list(family.other_homes.exclude(pk__in=coming).order_by("name", "pk"))
    if not places:
        return []
    roads, bands = road_book(), bands_now()
    return [OtherHome(place, road_to(place, roads=roads, bands=bands)) for place in places]


@dataclass(frozen=True, slots=True)
class HousePlan:
    """What a move changes: which lessons go along, what stands in their way, road and price."""

    from_date: date
    lessons: tuple[Lesson, ...]
    in_the_way: tuple[DateClash, ...]
    series: tuple[Series, ...]
    road_before: Road
    road_after: Road
    band_before: BandFor
    band_after: BandFor
    marked_after: int

    @property
    def groups(self) -> tuple[ClashGroup, ...]:
        """What stands in the way, each reason once with its dates."""
        return clash_groups(self.in_the_way)

    @property
    def seal(self) -> str:
        """A short word that changes when what would happen does."""
        parts = [str(self.from_date), *(str(lesson.pk) for lesson in self.lessons)]
        parts += [str(lesson.starts_at) for lesson in self.lessons]
        parts += [found.words for found in self.in_the_way]
        parts += [str(self.road_after.minutes), str(self.band_after.surcharge)]
        return hashlib.sha256("|".join(parts).encode()).hexdigest()[:16]


def house_plan(*, old: Place, new: Place, from_date: date, studio: Studio) -> HousePlan:
    """Return what moving from one place to another would come to, as the calendar is now.

    ``new`` need not be saved. Marked lessons stay where they were given, whenever that was.
    """
    roads, bands = road_book(studio), bands_now()
    before = stop_of(old)
    after = stop_of(new) if new.pk else replace(stop_of(new), key=NEW_PLACE)
    start, _ = day_bounds(from_date, studio.zone)
    there = Lesson.objects.filter(place=old, starts_at__gte=start)
    lessons = list(
        there.filter(status=LessonStatus.PLANNED)
        .select_related("place", "series")
        .prefetch_related("takers__student")
        .in_order()
    )
    found: list[DateClash] = []
    if lessons:
        moving = {lesson.pk for lesson in lessons}
        wanted = [Visit(lesson.when, after, lesson.names, lesson.pk) for lesson in lessons]
        booked = visits_between(lessons[0].starts_at, lessons[-1].ends_at)
        others = [visit for visit in booked if visit.key not in moving]
        for lesson, clashing in zip(
            lessons, all_in_the_way(wanted, others, roads, studio), strict=True
        ):
            if clashing:
                day = local_date(lesson.starts_at, studio.zone)
                found.append(DateClash(Occurrence(day, lesson.when), clashing))
    return HousePlan(
        from_date=from_date,
        lessons=tuple(lessons),
        in_the_way=tuple(found),
        series=_series(old, from_date, lessons),
        road_before=roads.from_base(before),
        road_after=roads.from_base(after),
        band_before=band_of_stop(before, roads, bands),
        band_after=band_of_stop(after, roads, bands),
        marked_after=there.filter(status=LessonStatus.DONE).count(),
    )


def _series(old: Place, from_date: date, lessons: Sequence[Lesson]) -> tuple[Series, ...]:
    """The series at the old place that still have lessons to come there."""
    pks = {lesson.series_id for lesson in lessons if lesson.series_id is not None}
    rows = Series.objects.filter(pk__in=pks, place=old, last_date__gte=from_date)
    return tuple(rows.prefetch_related("students").order_by("pk"))
