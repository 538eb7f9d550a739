"""How far it is and how long it takes: an estimate, unless the teacher knows better.

Road distance is the geodesic on the WGS 84 ellipsoid (C. F. F. Karney, "Algorithms for geodesics",
Journal of Geodesy 87, 2013; the ``geographiclib`` library) times a circuity factor. Time is that
distance driven at speeds that rise with it, *cumulatively* (the first kilometres at town speed, the
next ones faster): time then grows with distance, never faster than distance does, so a longer road
is never the quicker one and a detour never saves time.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from typing import Literal

from geographiclib.geodesic import Geodesic

Position = tuple[float, float]
Source = Literal["estimate", "own", "unknown", "none"]

# Road kilometres per straight kilometre. Published ratios for whole countries lie between 1.2 and
# 1.65 (from memory: Ballou, Rahardja & Sakai, Transportation Research A 36, 2002) and 1.4 for
# journeys in the United States (from memory: Boscoe, Henry & Zdeb, Professional Geographer 2012).
CIRCUITY = 1.4
# Finding a space and carrying the bag to the door: common practice, no source.
PARKING_MINUTES = 4
# With no idea of the road, a gap shorter than this is worth a warning: common practice, no source.
UNKNOWN_ROAD_MINUTES = 60


@dataclass(frozen=True, slots=True)
class SpeedBand:
    """The speed on the kilometres of a road between the last band and ``up_to_km``."""

    up_to_km: float
    kmh: float


# Door to door by car with lights and junctions: common practice, no source.
SPEEDS = (SpeedBand(2, 22), SpeedBand(10, 38), SpeedBand(math.inf, 62))


@lru_cache(maxsize=65_536)
def geodesic_km(a: Position, b: Position) -> float:
    """Return the length of the shortest way over the ellipsoid, in kilometres.

    Ends are put in one order first, so that there and back are the same number to the last bit.
    """
    (lat1, lon1), (lat2, lon2) = sorted((a, b))
    inverse = Geodesic.WGS84.Inverse(lat1, lon1, lat2, lon2, Geodesic.DISTANCE)
    return float(inverse["s12"]) / 1000


@dataclass(frozen=True, slots=True)
class RoadModel:
    """The numbers of the estimate; all can be changed by the teacher.

    :raises ValueError: if a longer road could be quicker, or a number makes no sense
    """

    circuity: float = CIRCUITY
    speeds: tuple[SpeedBand, ...] = SPEEDS
    parking_minutes: int = PARKING_MINUTES

    def __post_init__(self) -> None:
        if not 1 <= self.circuity <= 5:
            raise ValueError("roads are between 1 and 5 times as long as the straight line")
        if self.parking_minutes < 0 or not self.speeds or self.speeds[-1].up_to_km != math.inf:
            raise ValueError(
                "the last speed must have no limit, and parking cannot take less than 0"
            )
        for slower, faster in pairwise(self.speeds):
            if faster.kmh < slower.kmh or faster.up_to_km <= slower.up_to_km:
                raise ValueError("speeds must not fall as the road gets longer")
        if self.speeds[0].kmh <= 0 or self.speeds[0].up_to_km <= 0:
            raise ValueError("speeds and distances must be above 0")

    def road_km(self, a: Position, b: Position) -> float:
        """Return the estimated kilometres by road."""
        return self.circuity * geodesic_km(a, b)

    def driving_minutes(self, km: float) -> float:
        """Return minutes at the wheel for this many road kilometres, not rounded."""
        minutes, begun = 0.0, 0.0
        for band in self.speeds:
            part = min(km, band.up_to_km) - begun
            if part <= 0:
                break
            minutes += part * 60 / band.kmh
            begun = band.up_to_km
        return minutes

    def whole_minutes(self, km: float) -> int:
        """Return driving plus parking, rounded up to whole minutes."""
        # A millionth of a minute is a rounding slip of the arithmetic, not another minute.
        return math.ceil(self.driving_minutes(km) + self.parking_minutes - 1e-6)

    def km_in(self, minutes: int) -> float:
        """Return the road kilometres that take this long, parking included."""
        left, km, begun = float(max(0, minutes - self.parking_minutes)), 0.0, 0.0
        for band in self.speeds:
            whole = (band.up_to_km - begun) * 60 / band.kmh
            if left <= whole:
                return km + left * band.kmh / 60
            left, km, begun = left - whole, band.up_to_km, band.up_to_km
        raise AssertionError("the last speed has no limit")  # pragma: no cover


@dataclass(frozen=True, slots=True)
class Stop:
    """A place as the road sees it. ``key`` tells places apart, not positions."""

    key: int
    position: Position | None = None
    minutes_from_base: int | None = None
    is_online: bool = False
    name: str = ""


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
            "unknown": "distance unknown",
            "none": "no road",
        }[self.source]


NO_ROAD = Road(0.0, 0, "none")
UNKNOWN = Road(None, None, "unknown")


@dataclass(frozen=True, slots=True)
class RoadBook:
    """Every road the teacher could drive: the model, the base, and what the teacher knows better.

    ``corrections`` maps (from key, to key) to minutes; they win over everything else.
    """

    model: RoadModel = field(default_factory=RoadModel)
    base: Stop | None = None
    corrections: Mapping[tuple[int, int], int] = field(default_factory=dict)

    def between(self, a: Stop, b: Stop) -> Road:
        """Return the road from one stop to another.

        An online lesson is given at the base. Two places without positions are joined by way of
        the base if the teacher gave their minutes from it; otherwise the road is not known.
        """
        start, end = self._where(a), self._where(b)
        if start is None or end is None or start.key == end.key:
            return NO_ROAD
        km = self._km(start, end)
        own = self._own_minutes(start, end)
        if own is not None:
            return Road(km, own, "own")
        if km is not None:
            return Road(km, self.model.whole_minutes(km), "estimate")
        return self._by_way_of_base(start, end)

    def from_base(self, stop: Stop) -> Road:
        """Return the road from the base; not known while there is no base."""
        if stop.is_online:
            return NO_ROAD
        if self.base is None:
            if stop.minutes_from_base is None:
                return UNKNOWN
            return Road(None, stop.minutes_from_base, "own")
        return self.between(self.base, stop)

    def to_base(self, stop: Stop) -> Road:
        """Return the road back to the base."""
        if self.base is None or stop.is_online:
            return self.from_base(stop)
        return self.between(stop, self.base)

    def km_for_band(self, stop: Stop) -> tuple[float | None, Source]:
        """Return the road kilometres that decide the band, and what they rest on.

        A place known only by minutes is as far as those minutes usually reach.
        """
        if stop.is_online:
            return 0.0, "none"
        road = self.from_base(stop)
        if road.km is not None:
            return road.km, "none" if road.source == "none" else "estimate"
        if road.minutes is not None:
            return self.model.km_in(road.minutes), "own"
        return None, "unknown"

    def _where(self, stop: Stop) -> Stop | None:
        return self.base if stop.is_online else stop

    def _km(self, a: Stop, b: Stop) -> float | None:
        if a.position is None or b.position is None:
            return None
        return self.model.road_km(a.position, b.position)

    def _own_minutes(self, a: Stop, b: Stop) -> int | None:
        known = self.corrections.get((a.key, b.key))
        if known is not None:
            return known
        if self.base is not None and a.key == self.base.key:
            return b.minutes_from_base
        if self.base is not None and b.key == self.base.key:
            return a.minutes_from_base
        return None

    def _by_way_of_base(self, a: Stop, b: Stop) -> Road:
        base = self.base
        if base is None or base.key in (a.key, b.key):
            return UNKNOWN
        there, back = self.between(a, base), self.between(base, b)
        if there.minutes is None or back.minutes is None:
            return UNKNOWN
        return Road(None, there.minutes + back.minutes, "estimate")
