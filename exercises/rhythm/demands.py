"""What each stroke of a looping line asks of its limb: so many seconds, and the time there is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from exercises.rhythm.figure import TICKS_PER_BEAT, Line
from exercises.rhythm.kit import Kit, Place, Role
from exercises.rhythm.limits import (
    DOUBLE_SECONDS,
    journey_seconds,
    pedal_place,
    run_seconds,
)
from exercises.rhythm.surfaces import Piece, Surface


@dataclass(frozen=True, slots=True)
class Touch:
    """A limb meeting a surface at a tick; ``lead_seconds`` is how much earlier it must be there."""

    tick: int
    surface: Surface
    lead_seconds: float = 0.0

    @property
    def piece(self) -> Piece:
        """The piece that is struck."""
        return self.surface.facts.piece


@dataclass(frozen=True, slots=True)
class Demand:
    """A limb needs ``seconds`` and has ``ticks``, ending with the stroke ``end``.

    ``strokes`` is 2 for one step from a stroke to the next, 3 for a run of two steps.
    """

    seconds: float
    ticks: int
    start: Touch
    end: Touch
    strokes: int

    @property
    def top_bpm(self) -> float:
        """The tempo at which the two are equal."""
        return 60 * self.ticks / (TICKS_PER_BEAT * self.seconds)

    @property
    def is_journey(self) -> bool:
        """True when the limb goes from one piece to another."""
        return self.strokes == 2 and self.start.piece is not self.end.piece


def touches(line: Line) -> tuple[Touch, ...]:
    """The line as touches, grace strokes left aside."""
    return tuple(Touch(stroke.tick, stroke.surface) for stroke in line)


def demands(line: Sequence[Touch], cycle_ticks: int, role: Role, kit: Kit) -> tuple[Demand, ...]:
    """Everything a line asks of its limb when it loops after ``cycle_ticks``.

    A single step must leave time for the journey, or for the bounce of a double; two steps together
    must leave time for a run, so that doubles may be faster than runs. The step from the last
    stroke to the first counts.
    """
    found: list[Demand] = []
    for number, end in enumerate(line):
        start = line[number - 1]
        ticks = (end.tick - start.tick) % cycle_ticks or cycle_ticks
        found.append(Demand(_step_seconds(start, end, role, kit), ticks, start, end, 2))
        first = line[(number - 2) % len(line)]
        before = (start.tick - first.tick) % cycle_ticks or cycle_ticks
        run = 2 * run_seconds(role) + end.lead_seconds
        found.append(Demand(run, ticks + before, start, end, 3))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Pressure:
    """The same without its strokes, for searches: shares of time, in seconds a tick.

    ``staying`` is the largest of repetitions and runs, ``least_run_ticks`` the shortest run of two
    steps (0 without strokes), ``journeys`` the share and the two pieces of every journey.
    """

    staying: float
    least_run_ticks: int
    journeys: tuple[tuple[float, Piece, Piece], ...]


def pressure(line: Line, cycle_ticks: int, role: Role, kit: Kit) -> Pressure:
    """Return what :func:`demands` would say of the line, summed up: it is asked for every line."""
    count = len(line)
    ticks = [stroke.tick for stroke in line]
    pieces = [stroke.surface.facts.piece for stroke in line]
    gaps = [(ticks[n] - ticks[n - 1]) % cycle_ticks or cycle_ticks for n in range(count)]
    seconds = _seconds_between(role, kit)
    staying, journeys = 0.0, []
    for number, gap in enumerate(gaps):
        here, there = pieces[number - 1], pieces[number]
        needed = seconds.get((here, there))
        if needed is None:
            needed = seconds[here, there] = _piece_seconds(here, there, role, kit)
        if here is not there:
            journeys.append((needed / gap, here, there))
        elif needed / gap > staying:
            staying = needed / gap
    runs = [gaps[number] + gaps[number - 1] for number in range(count)]
    least_run = min(runs, default=0)
    if least_run:
        staying = max(staying, 2 * run_seconds(role) / least_run)
    return Pressure(staying, least_run, tuple(journeys))


@lru_cache(maxsize=64)
def _seconds_between(role: Role, kit: Kit) -> dict[tuple[Piece, Piece], float]:
    """What is known so far of the steps from piece to piece; filled as lines ask."""
    return {}


def _step_seconds(start: Touch, end: Touch, role: Role, kit: Kit) -> float:
    return _piece_seconds(start.piece, end.piece, role, kit) + end.lead_seconds


def _piece_seconds(start: Piece, end: Piece, role: Role, kit: Kit) -> float:
    if start is end:
        return DOUBLE_SECONDS[role].value
    return journey_seconds(role, _place(start, role, kit), _place(end, role, kit))


def _place(piece: Piece, role: Role, kit: Kit) -> Place:
    if role in (Role.BASS_FOOT, Role.HAT_FOOT):
        return pedal_place(piece)
    return kit.where(piece)
