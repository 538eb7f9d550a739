"""The road between two places: the teacher's own time, a router's, an estimate, or not known.

The estimate itself is in :mod:`lessons.planning.road_model`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import permutations
from typing import Literal

from lessons.planning.road_model import (
    CIRCUITY,
    PARKING_MINUTES,
    SPEEDS,
    Position,
    RoadModel,
    SpeedBand,
    geodesic_km,
)

__all__ = [
    "CIRCUITY",
    "NO_ROAD",
    "PARKING_MINUTES",
    "SPEEDS",
    "UNKNOWN",
    "UNKNOWN_ROAD_MINUTES",
    "Detour",
    "HourTime",
    "Position",
    "Road",
    "RoadBook",
    "RoadModel",
    "Routed",
    "Source",
    "SpeedBand",
    "Stop",
    "detours_that_save",
    "geodesic_km",
]

Source = Literal["estimate", "own", "router", "unknown", "none"]

# With no idea of the road, a gap shorter than this is worth a warning: common practice, no source.
UNKNOWN_ROAD_MINUTES = 60


@dataclass(frozen=True, slots=True)
class Stop:
    """A place as the road sees it. ``key`` tells places apart, not positions.

    ``is_anywhere`` is no place at all: the teacher may be wherever the day has led.
    ``surcharge_by_hand`` beats the last band's outside the radius.
    """

    key: int
    position: Position | None = None
    minutes_from_base: int | None = None
    is_online: bool = False
    name: str = ""
    is_anywhere: bool = False
    surcharge_by_hand: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Road:
    """The way between two stops. ``None`` means not known, which is never the same as 0."""

    km: float | None
    minutes: int | None
    source: Source

    @property
    def is_known(self) -> bool:
        """True when the minutes are known from somewhere."""
        return self.minutes is not None

    @property
    def source_words(self) -> str:
        """Where the minutes come from, for the page."""
        return {
            "estimate": "estimate",
            "own": "your own time",
            "router": "road router",
            "unknown": "distance unknown",
            "none": "no road",
        }[self.source]


NO_ROAD = Road(0.0, 0, "none")
UNKNOWN = Road(None, None, "unknown")


@dataclass(frozen=True, slots=True)
class HourTime:
    """The teacher’s own minutes for arrivals from ``begins`` up to ``ends``, minutes of the day."""

    begins: int
    ends: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Routed:
    """What a router said of a road, and for which two positions: elsewhere it says nothing."""

    from_position: Position
    to_position: Position
    minutes: int
    km: float | None = None


@dataclass(frozen=True, slots=True)
class RoadBook:
    """Every road the teacher could drive, and what is known of it.

    ``by_hour`` and ``corrections`` map (from key, to key) to the teacher's own minutes, those of an
    hour first; they win over everything else. ``routed`` is what a router said; parking is added to
    it once, as to the estimate. Online lessons are given at the base while ``is_desk_needed``,
    otherwise from wherever one is.
    """

    model: RoadModel = field(default_factory=RoadModel)
    base: Stop | None = None
    corrections: Mapping[tuple[int, int], int] = field(default_factory=dict)
    is_desk_needed: bool = True
    by_hour: Mapping[tuple[int, int], tuple[HourTime, ...]] = field(default_factory=dict)
    routed: Mapping[tuple[int, int], Routed] = field(default_factory=dict)

    def is_anywhere(self, stop: Stop) -> bool:
        """Return True for a stretch that leaves the teacher where they were before."""
        return stop.is_anywhere or (stop.is_online and not self.is_desk_needed)

    def between(self, a: Stop, b: Stop, at: int | None = None) -> Road:
        """Return the road from one stop to another.

        No road leads to or from a stretch that is anywhere. Two places without positions are
        joined by way of the base if the teacher gave their minutes from it; otherwise the road is
        not known.

        :param at: the minute of the day of arrival, for times of the teacher's own that hold for
            some hours only; None leaves those out
        """
        start, end = self._where(a), self._where(b)
        if start is None or end is None or start.key == end.key:
            return NO_ROAD
        routed = self._routed(start, end)
        km = self._km(start, end) if routed is None or routed.km is None else routed.km
        own = self._own_minutes(start, end, at)
        if own is not None:
            return Road(km, own, "own")
        if routed is not None:
            return Road(km, routed.minutes + self.model.parking_minutes, "router")
        if km is not None:
            return Road(km, self.model.whole_minutes(km), "estimate")
        return self._by_way_of_base(start, end, at)

    def from_base(self, stop: Stop, at: int | None = None) -> Road:
        """Return the road from the base; not known while there is no base."""
        if stop.is_online or stop.is_anywhere:
            return NO_ROAD
        if self.base is None:
            if stop.minutes_from_base is None:
                return UNKNOWN
            return Road(None, stop.minutes_from_base, "own")
        return self.between(self.base, stop, at)

    def to_base(self, stop: Stop, at: int | None = None) -> Road:
        """Return the road back to the base."""
        if self.base is None or stop.is_online or stop.is_anywhere:
            return self.from_base(stop, at)
        return self.between(stop, self.base, at)

    def km_between(self, a: Stop, b: Stop) -> tuple[float | None, Source]:
        """Return the road kilometres from one stop to another, and what they rest on.

        A place known only by minutes is as far as those minutes usually reach.
        """
        road = self.between(a, b)
        if road.source == "none":
            return 0.0, "none"
        start, end = self._where(a), self._where(b)
        if road.km is not None and start is not None and end is not None:
            routed = self._routed(start, end)
            return road.km, "estimate" if routed is None or routed.km is None else "router"
        if road.minutes is not None:
            return self.model.km_in(road.minutes), "own"
        return None, "unknown"

    def km_for_band(self, stop: Stop) -> tuple[float | None, Source]:
        """Return the road kilometres that decide the band, and what they rest on."""
        if stop.is_online:
            return 0.0, "none"
        if self.base is not None:
            return self.km_between(self.base, stop)
        minutes = self.from_base(stop).minutes
        return (None, "unknown") if minutes is None else (self.model.km_in(minutes), "own")

    def _where(self, stop: Stop) -> Stop | None:
        if self.is_anywhere(stop):
            return None
        return self.base if stop.is_online else stop

    def _km(self, a: Stop, b: Stop) -> float | None:
        if a.position is None or b.position is None:
            return None
        return self.model.road_km(a.position, b.position)

    def _routed(self, a: Stop, b: Stop) -> Routed | None:
        """What the router said, unless one of the two has moved since."""
        found = self.routed.get((a.key, b.key))
        if found is None or (found.from_position, found.to_position) != (a.position, b.position):
            return None
        return found

    def _own_minutes(self, a: Stop, b: Stop, at: int | None) -> int | None:
        if at is not None:
            for hour in self.by_hour.get((a.key, b.key), ()):
                if hour.begins <= at < hour.ends:
                    return hour.minutes
        known = self.corrections.get((a.key, b.key))
        if known is not None:
            return known
        if self.base is not None and a.key == self.base.key:
            return b.minutes_from_base
        if self.base is not None and b.key == self.base.key:
            return a.minutes_from_base
        return None

    def _by_way_of_base(self, a: Stop, b: Stop, at: int | None) -> Road:
        base = self.base
        if base is None or base.key in (a.key, b.key):
            return UNKNOWN
        there, back = self.between(a, base, at), self.between(base, b, at)
        if there.minutes is None or back.minutes is None:
            return UNKNOWN
        return Road(None, there.minutes + back.minutes, "estimate")


@dataclass(frozen=True, slots=True)
class Detour:
    """A road that is longer than the way round by a third place: one of the times is a slip."""

    start: Stop
    by_way_of: Stop
    end: Stop
    minutes: int
    minutes_round: int


def detours_that_save(book: RoadBook, stops: Sequence[Stop]) -> tuple[Detour, ...]:
    """Return the roads that times of the teacher's own make longer than a way round.

    Estimates never do that. Only roads with the teacher's own time are looked at; the worst comes
    first, each once.
    """
    found: dict[tuple[int, int], Detour] = {}
    for start, end in permutations(stops, 2):
        road = book.between(start, end)
        if road.minutes is None or road.source != "own":
            continue
        for by_way_of in stops:
            if by_way_of.key in (start.key, end.key):
                continue
            first, second = book.between(start, by_way_of), book.between(by_way_of, end)
            if first.minutes is None or second.minutes is None:
                continue
            total = first.minutes + second.minutes
            pair = (start.key, end.key)
            if total < road.minutes and (pair not in found or total < found[pair].minutes_round):
                found[pair] = Detour(start, by_way_of, end, road.minutes, total)
    return tuple(
        sorted(found.values(), key=lambda one: (one.minutes_round - one.minutes, one.start.key))
    )
