"""Finding room on a drawn sheet for letters and names, so that none stands on another."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

Point = tuple[float, float]


@dataclass(slots=True)
class Room:
    """What is taken on a square sheet of ``side`` units: boxes by centre and half sizes."""

    side: float
    taken: list[tuple[Point, float, float]] = field(default_factory=list)

    def take(self, centre: Point, half: float, high: float) -> None:
        """Mark a box as taken."""
        self.taken.append((centre, half, high))

    def is_free(self, centre: Point, half: float, high: float) -> bool:
        """Return True for a box on the sheet that touches no other."""
        x, y = centre
        inside = half <= x <= self.side - half and high <= y <= self.side - high
        return inside and not self.is_hit(centre, half, high)

    def is_hit(self, centre: Point, half: float, high: float) -> bool:
        """Return True when the box touches another."""
        return any(
            abs(centre[0] - x) < half + other_half and abs(centre[1] - y) < high + other_high
            for (x, y), other_half, other_high in self.taken
        )

    def for_letter(self, point: Point, size: float) -> Point:
        """Take the point itself, or the nearest spot round it where a letter has room."""
        candidates = [point]
        for distance in (2.3 * size, 4.4 * size, 6.5 * size):
            for step in range(12):
                angle = math.radians(30 * step)
                x = point[0] + distance * math.cos(angle)
                y = point[1] + distance * math.sin(angle)
                candidates.append((round(x, 1), round(y, 1)))
        free = (one for one in candidates if self.is_free(one, size + 2, size + 2))
        found = next(free, point)
        self.take(found, size, size)
        return found

    def for_name(self, name: str, badge: Point, size: float) -> tuple[Point | None, str]:
        """Take room for a name beside its letter: where its text begins, and the anchor."""
        half, high = 5.2 * len(name) + 4, 12.0
        x, y = badge
        for centre, at, anchor in (
            ((x + size + 6 + half, y), (x + size + 6, y + 6), "start"),
            ((x - size - 6 - half, y), (x - size - 6, y + 6), "end"),
            ((x, y + size + 14), (x, y + size + 20), "middle"),
            ((x, y - size - 14), (x, y - size - 8), "middle"),
        ):
            if self.is_free(centre, half, high):
                self.take(centre, half, high)
                return at, anchor
        return None, "start"
