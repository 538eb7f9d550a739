"""The bars that a figure's lines are measured against."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from exercises.rhythm.figure import TICKS_PER_BEAT
from exercises.rhythm.meter import Meter


@dataclass(frozen=True, slots=True)
class Frame:
    """A meter and a number of bars in ticks.

    ``places`` maps each tick of one bar to how far it lies into its beat group.
    """

    meter: Meter
    bars: int
    bar_ticks: int
    places: tuple[int, ...]

    @property
    def ticks(self) -> int:
        """The whole length."""
        return self.bar_ticks * self.bars

    @property
    def beats(self) -> float:
        """The whole length in beats."""
        return self.ticks / TICKS_PER_BEAT


@lru_cache(maxsize=256)
def frame_of(meter: Meter, bars: int) -> Frame:
    """Return the frame; equal ones are one object."""
    places: list[int] = []
    for group in meter.groups:
        places.extend(range(int(group * TICKS_PER_BEAT)))
    return Frame(meter, bars, len(places), tuple(places))
