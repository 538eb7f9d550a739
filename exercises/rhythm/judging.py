"""Playability and grade of the figures in a search, put together from remembered parts."""

from __future__ import annotations

from functools import lru_cache

from exercises.rhythm.figure import InternedLine
from exercises.rhythm.grade_parts.bench import Bench, bench
from exercises.rhythm.kit import Kit
from exercises.rhythm.meter import Meter
from exercises.rhythm.playability import Referee

Interned = tuple[InternedLine, InternedLine, InternedLine, InternedLine]


class Judge:
    """Answers "can it be played" and "how hard is it" for lines of one meter, kit and tempo.

    The answers are those of :func:`exercises.rhythm.playability.refusal` and
    :func:`exercises.rhythm.grade.grade`, without building a figure for each question.
    """

    def __init__(self, meter: Meter, kit: Kit, bpm: float) -> None:
        self._meter = meter
        self._kit = kit
        self._bpm = bpm
        self._referees: dict[int, Referee] = {}
        self._benches: dict[int, Bench] = {}

    def refusal(self, lines: Interned, bars: int) -> str | None:
        """Why nobody could play this on the kit, or None."""
        referee = self._referees.get(bars)
        if referee is None:
            referee = self._referees[bars] = _referee(self._meter, bars, self._kit)
        return referee.refusal(lines)

    def thousandths(self, lines: Interned, bars: int) -> int:
        """The total of the grade in thousandths of a point."""
        at = self._benches.get(bars)
        if at is None:
            at = self._benches[bars] = bench(self._meter, bars, self._kit, self._bpm)
        return sum(at.marks(lines))


@lru_cache(maxsize=64)
def _referee(meter: Meter, bars: int, kit: Kit) -> Referee:
    return Referee(meter, bars, kit)
