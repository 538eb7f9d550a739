"""The area on one sheet: rings round the base, homes in their true direction and distance.

No map is needed for it: every place is put down by its bearing and straight distance from the base
(an azimuthal equidistant projection about the base, on the WGS 84 ellipsoid by ``geographiclib``).
North is up. The sheet is a square of ``SIDE`` units; all positions here are in those units.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geographiclib.geodesic import Geodesic

from lessons.planning.sheet_room import Point, Room
from lessons.planning.travel import Position

SIDE = 800.0
MARGIN = 34.0
BADGE = 20.0
# A place much further off than the outermost ring would make everything else too small to see.
MOST_OF_RADIUS = 1.5
LEAST_REACH_KM = 2.0
WINDS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on the sheet: where it is, where its letter stands, where its name would fit.

    ``point`` of a place beyond the sheet is where the way to it leaves the sheet. A name that has
    no room is None; the table beside the picture has it.
    """

    key: int
    letter: str
    name: str
    kind: str
    point: Point
    badge: Point
    name_at: Point | None
    name_anchor: str
    is_beyond: bool

    @property
    def is_aside(self) -> bool:
        """True when the letter had to stand beside the place."""
        return self.badge != self.point


@dataclass(frozen=True, slots=True)
class Ring:
    """A band's edge: its radius on the sheet, and the road kilometres that it stands for."""

    radius: float
    label: str
    is_outermost: bool

    @property
    def label_y(self) -> float:
        """Where its label stands: on the ring, due south."""
        return SIDE / 2 + self.radius


@dataclass(frozen=True, slots=True)
class Way:
    """A road of the day: a bent line from place to place, its words, and an arrow half-way."""

    number: int
    start: Point
    bend: Point
    end: Point
    words: str
    words_at: Point
    arrow: tuple[Point, Point, Point]

    @property
    def path(self) -> str:
        """The line as SVG path data."""
        (x1, y1), (xc, yc), (x2, y2) = self.start, self.bend, self.end
        return f"M{x1:.1f} {y1:.1f} Q{xc:.1f} {yc:.1f} {x2:.1f} {y2:.1f}"

    @property
    def arrow_points(self) -> str:
        """The arrow as SVG points."""
        return " ".join(f"{x:.1f},{y:.1f}" for x, y in self.arrow)

    @property
    def words_half(self) -> float:
        """Half of that."""
        return self.words_width / 2

    @property
    def words_width(self) -> float:
        """How wide the words are, roughly."""
        return _words_width(self.words)


@dataclass(frozen=True, slots=True)
class PlaceToDraw:
    """What the sheet is told of a place."""

    key: int
    name: str
    kind: str
    position: Position


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything that is drawn, in units of the sheet."""

    rings: tuple[Ring, ...]
    spots: tuple[Spot, ...]
    ways: tuple[Way, ...]
    scale_km: int
    scale_length: float


def letters() -> Iterator[str]:
    """Go through A to Z, then AA, AB and so on."""
    alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    size = 1
    while True:
        for number in range(len(alphabet) ** size):
            word = ""
            for _ in range(size):
                number, rest = divmod(number, len(alphabet))
                word = alphabet[rest] + word
            yield word
        size += 1


def bearing(base: Position, place: Position) -> tuple[float, float]:
    """Return degrees from north, clockwise, and straight kilometres."""
    found = Geodesic.WGS84.Inverse(*base, *place, Geodesic.DISTANCE | Geodesic.AZIMUTH)
    return float(found["azi1"]) % 360, float(found["s12"]) / 1000


def wind(degrees: float) -> str:
    """Return the direction in words: eight winds are enough for a door."""
    return WINDS[round(degrees / 45) % 8]


def draw(
    base: Position,
    places: Sequence[PlaceToDraw],
    ring_km: Sequence[float],
    circuity: float,
    roads: Sequence[tuple[int, int, str]] = (),
) -> Sheet:
    """Lay the area out.

    :param places: in the order of their letters; the base is not among them
    :param ring_km: the bands' edges in road kilometres; drawn at what that is in a straight line
    :param roads: the day's roads in order: from key, to key, words; 0 is the base
    """
    polar = [bearing(base, place.position) for place in places]
    radii = sorted(km / circuity for km in ring_km)
    reach = _reach([km for _, km in polar], radii)
    unit = (SIDE / 2 - MARGIN) / reach
    room = Room(SIDE)
    for radius in radii:
        room.take((SIDE / 2, SIDE / 2 + radius * unit - 13), 70.0, 12.0)
    spots = _spots(places, polar, reach, unit, room)
    where = {spot.key: spot.point for spot in spots} | {0: (SIDE / 2, SIDE / 2)}
    km_of_bar = _bar(unit)
    rings = tuple(
        Ring(radius * unit, f"{km:g} km by road", place == len(radii) - 1)
        for place, (radius, km) in enumerate(zip(radii, sorted(ring_km), strict=True))
    )
    return Sheet(rings, spots, _ways(roads, where, room), km_of_bar, km_of_bar * unit)


def _reach(distances: Sequence[float], radii: Sequence[float]) -> float:
    """The straight kilometres from the middle of the sheet to its edge."""
    furthest = max(distances, default=0.0)
    if radii:
        return max(LEAST_REACH_KM, radii[-1], min(furthest, radii[-1] * MOST_OF_RADIUS))
    return max(LEAST_REACH_KM, furthest)


def _bar(unit: float) -> int:
    """A round number of kilometres that is at most a fifth of the sheet."""
    fitting = [km for km in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000) if km * unit <= SIDE / 5]
    return max(fitting, default=1)


def _spots(
    places: Sequence[PlaceToDraw],
    polar: Sequence[tuple[float, float]],
    reach: float,
    unit: float,
    room: Room,
) -> tuple[Spot, ...]:
    """Put the letters down one by one, beside their places where others are in the way."""
    room.take((SIDE / 2, SIDE / 2), BADGE, BADGE)
    points = [_point(degrees, min(km, reach), unit) for degrees, km in polar]
    badges = [room.for_letter(point, BADGE) for point in points]
    spots: list[Spot] = []
    for place, letter, point, badge, (_, km) in zip(
        places, letters(), points, badges, polar, strict=False
    ):
        at, anchor = room.for_name(place.name, badge, BADGE)
        is_beyond = km > reach + 1e-9
        spots.append(
            Spot(place.key, letter, place.name, place.kind, point, badge, at, anchor, is_beyond)
        )
    return tuple(spots)


def _point(degrees: float, km: float, unit: float) -> Point:
    angle = math.radians(degrees)
    return (
        round(SIDE / 2 + math.sin(angle) * km * unit, 1),
        round(SIDE / 2 - math.cos(angle) * km * unit, 1),
    )


def _ways(
    roads: Sequence[tuple[int, int, str]], where: dict[int, Point], room: Room
) -> tuple[Way, ...]:
    """Bend each road to the right of its direction, so that there and back are two lines."""
    ways: list[Way] = []
    for number, (start_key, end_key, words) in enumerate(roads, start=1):
        if start_key not in where or end_key not in where:
            continue
        start, end = where[start_key], where[end_key]
        (x1, y1), (x2, y2) = start, end
        dx, dy = x2 - x1, y2 - y1
        bend = ((x1 + x2) / 2 - dy * 0.14, (y1 + y2) / 2 + dx * 0.14)
        label = f"{number}: {words}"
        half = _words_width(label) / 2
        at = _label_point(start, bend, end, half, room)
        room.take(at, half, 15.0)
        ways.append(Way(number, start, bend, end, label, at, _arrow(start, bend, end)))
    return tuple(ways)


def _label_point(start: Point, bend: Point, end: Point, half: float, room: Room) -> Point:
    """On the line if there is room, else as near to it as there is."""
    first = _on_curve(start, bend, end, 0.5)
    for aside in (0.0, -36.0, 36.0, -58.0, 58.0, -80.0, 80.0):
        for share in (0.5, 0.38, 0.62, 0.26, 0.74):
            x, y = _on_curve(start, bend, end, share)
            at = (round(x, 1), round(y + aside, 1))
            if room.is_free(at, half, 15.0):
                return at
    return first


def _words_width(words: str) -> float:
    return 12.0 + 12.2 * len(words)


def _on_curve(start: Point, bend: Point, end: Point, share: float) -> Point:
    a, b, c = (1 - share) ** 2, 2 * share * (1 - share), share**2
    return (
        round(a * start[0] + b * bend[0] + c * end[0], 1),
        round(a * start[1] + b * bend[1] + c * end[1], 1),
    )


def _arrow(start: Point, bend: Point, end: Point) -> tuple[Point, Point, Point]:
    """A small arrow four fifths along the line, pointing where the line goes."""
    (x, y), (bx, by) = _on_curve(start, bend, end, 0.82), _on_curve(start, bend, end, 0.76)
    length = math.hypot(x - bx, y - by) or 1.0
    ux, uy = (x - bx) / length, (y - by) / length
    size = 9.0
    left = (x - ux * size * 1.6 - uy * size * 0.8, y - uy * size * 1.6 + ux * size * 0.8)
    right = (x - ux * size * 1.6 + uy * size * 0.8, y - uy * size * 1.6 - ux * size * 0.8)
    return (x, y), left, right
