"""How far it is and how long it takes by an estimate.

Road distance is the geodesic on the WGS 84 ellipsoid (C. F. F. Karney, "Algorithms for geodesics",
Journal of Geodesy 87, 2013; the ``geographiclib`` library) times a circuity factor. Time is that
distance driven at speeds that rise with it, *cumulatively* (the first kilometres at town speed, the
next ones faster): time then grows with distance, never faster than distance does, so a longer road
is never the quicker one and a detour never saves time.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from geographiclib.geodesic import Geodesic

Position = tuple[float, float]

# Road kilometres per straight kilometre. Published ratios for whole countries lie between 1.2 and
# 1.65 (from memory: Ballou, Rahardja & Sakai, Transportation Research A 36, 2002) and 1.4 for
# journeys in the United States (from memory: Boscoe, Henry & Zdeb, Professional Geographer 2012).
CIRCUITY = 1.4
# Finding a space and carrying the bag to the door: common practice, no source.
PARKING_MINUTES = 4


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
