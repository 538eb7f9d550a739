"""What one limb's line is worth by itself."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import gcd, log2

from exercises.rhythm.demands import Pressure, pressure
from exercises.rhythm.figure import TICKS_PER_BEAT, Line, Ornament
from exercises.rhythm.grade_parts.frame import Frame
from exercises.rhythm.grade_parts.weights import WEIGHTS
from exercises.rhythm.kit import Kit, Role
from exercises.rhythm.limits import STROKES_PER_SECOND
from exercises.rhythm.syncopation import metric_displacement


@dataclass(frozen=True, slots=True)
class LineFacts:
    """What there is to say about one line, apart from its points.

    ``mask`` has a bit for each tick struck. Rates are strokes per second; ``limit_share`` is the
    tempo over the limb's own top tempo for repetition, ``journey_share`` the largest share of the
    time between two strokes that a journey takes at the limb's limit.
    """

    mask: int
    mean_rate: float
    limit_share: float
    journeys: int
    journey_share: float
    displacement: int
    loudness_changes: int
    flams: int
    drags: int
    buzzes: int
    repeats_after: int


@dataclass(frozen=True, slots=True)
class LineMarks:
    """Thousandths of a point for one line, and the facts behind them."""

    facts: LineFacts
    rate: int
    travel: int
    syncopation: int
    loudness: int
    weaker_hand: int
    ornaments: int


def line_marks(line: Line, frame: Frame, role: Role, kit: Kit, bpm: float) -> LineMarks:
    """Measure one line that loops; all of it is the same for a line written out twice."""
    mean_rate = len(line) / frame.beats * bpm / 60
    asked = pressure(line, frame.ticks, role, kit)
    per_second = TICKS_PER_BEAT * bpm / 60
    limit_share = asked.staying * per_second
    rate = _rate(asked, per_second, mean_rate)
    travel, journeys, journey_share = _travel(asked, per_second, len(line))
    ticks = [stroke.tick for stroke in line]
    displacement = metric_displacement(frame.meter, ticks, bars=frame.bars)
    levels = [stroke.loudness for stroke in line]
    changes = len({(a, b) for a, b in zip(levels, levels[1:] + levels[:1], strict=True) if a != b})
    flams = sum(stroke.ornament is Ornament.FLAM for stroke in line)
    drags = sum(stroke.ornament is Ornament.DRAG for stroke in line)
    buzzes = sum(stroke.ornament is Ornament.BUZZ for stroke in line)
    load = mean_rate / STROKES_PER_SECOND[role].value if role is Role.WEAK_HAND else 0.0
    facts = LineFacts(
        mask=sum(1 << tick for tick in ticks),
        mean_rate=mean_rate,
        limit_share=limit_share,
        journeys=journeys,
        journey_share=journey_share,
        displacement=displacement,
        loudness_changes=changes,
        flams=flams,
        drags=drags,
        buzzes=buzzes,
        repeats_after=_repeats_after(line, frame),
    )
    return LineMarks(
        facts=facts,
        rate=rate,
        travel=travel,
        syncopation=round(WEIGHTS.syncopation * displacement / frame.bars),
        loudness=WEIGHTS.loudness_change * changes,
        weaker_hand=round(WEIGHTS.weak_hand * load),
        ornaments=_ornaments(flams, drags, buzzes, frame),
    )


def _rate(asked: Pressure, per_second: float, mean_rate: float) -> int:
    """Points for how often the limb strikes, and how near that is to its limit."""
    fastest = 2 * per_second / asked.least_run_ticks if asked.least_run_ticks else mean_rate
    share = asked.staying * per_second
    points = WEIGHTS.doubling * (_doublings(mean_rate) + _doublings(fastest))
    return round(points + WEIGHTS.at_limit * share * share)


def _doublings(rate: float) -> float:
    return max(0.0, log2(rate / WEIGHTS.floor_per_second))


def _travel(asked: Pressure, per_second: float, steps: int) -> tuple[int, int, float]:
    """Points for journeys between pieces, how many different ones, and the tightest's share."""
    if not asked.journeys:
        return 0, 0, 0.0
    shares = [share * per_second for share, _, _ in asked.journeys]
    different = len({(start, end) for _, start, end in asked.journeys})
    points = (
        WEIGHTS.journey * different
        + WEIGHTS.journey_time * _mean(shares, steps)
        + WEIGHTS.journey_tightest * max(shares) ** 2
    )
    return round(points), different, max(shares)


def _mean(values: list[float], among: int) -> float:
    """The sum over ``among``, to the last bit the same when everything is there several times."""
    counted = Counter(values)
    copies = gcd(among, *counted.values())
    total = sum(value * (times // copies) for value, times in sorted(counted.items()))
    return total / (among // copies)


def _ornaments(flams: int, drags: int, buzzes: int, frame: Frame) -> int:
    points = WEIGHTS.flams_per_beat * flams + WEIGHTS.drags_per_beat * drags
    points += WEIGHTS.buzzes_per_beat * buzzes
    kinds = (flams > 0) + (drags > 0) + (buzzes > 0)
    return round(points / frame.beats) + WEIGHTS.ornament_kind * kinds


def _repeats_after(line: Line, frame: Frame) -> int:
    """Bars before the line repeats; an even line of like strokes repeats from stroke to stroke."""
    if is_steady(line, frame.ticks):
        return 1
    row = [(s.tick, s.surface, s.loudness, s.ornament) for s in line]
    struck = set(row)
    for bars in range(1, frame.bars):
        shift = bars * frame.bar_ticks
        if frame.bars % bars == 0 and all(
            ((tick + shift) % frame.ticks, *how) in struck for tick, *how in row
        ):
            return bars
    return frame.bars


def is_steady(line: Line, cycle_ticks: int) -> bool:
    """True for strokes all alike and evenly spaced round the loop."""
    first = line[0]
    how = (first.surface, first.loudness, first.ornament)
    if any((s.surface, s.loudness, s.ornament) != how for s in line):
        return False
    return even_spacing(line, cycle_ticks) is not None


def even_spacing(line: Line, cycle_ticks: int) -> int | None:
    """The ticks between strokes that are evenly spaced round the loop, or None."""
    spacing, rest = divmod(cycle_ticks, len(line))
    start = line[0].tick
    if rest or any(s.tick != start + number * spacing for number, s in enumerate(line)):
        return None
    return spacing
