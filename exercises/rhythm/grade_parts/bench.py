"""Marks of whole figures, put together from remembered marks of lines and pairs of lines.

A search asks about many thousands of figures that share their lines, so nothing is measured twice:
a move changes one or two lines, and only their marks and their pairs' are new.
"""

from __future__ import annotations

from itertools import combinations

from exercises.rhythm.figure import InternedLine
from exercises.rhythm.grade_parts.frame import Frame, frame_of
from exercises.rhythm.grade_parts.one_limb import LineMarks, line_marks
from exercises.rhythm.grade_parts.two_limbs import Heard, PairMarks, heard, pair_marks
from exercises.rhythm.grade_parts.weights import SCALE_TOP, WEIGHTS
from exercises.rhythm.kit import Kit
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.meter import Meter

Lines = tuple[InternedLine, InternedLine, InternedLine, InternedLine]
Thousandths = tuple[int, ...]

_MOST_REMEMBERED = 200_000
_MOST_BENCHES = 64
_PLACES = tuple(combinations(range(len(LIMBS)), 2))


class Bench:
    """Marks figures of one meter, number of bars, kit and tempo."""

    def __init__(self, meter: Meter, bars: int, kit: Kit, bpm: float) -> None:
        self.frame: Frame = frame_of(meter, bars)
        self.kit = kit
        self.bpm = bpm
        self._line_marks: dict[tuple[int, int], LineMarks] = {}
        self._heard: dict[int, Heard] = {}
        self._pair_marks: dict[tuple[int, int], PairMarks] = {}

    def line(self, place: int, line: InternedLine) -> LineMarks:
        """The marks of a line that is not empty; ``place`` is its limb's place in LIMBS."""
        key = (place, line.number)
        known = self._line_marks.get(key)
        if known is None:
            if len(self._line_marks) > _MOST_REMEMBERED:
                self._line_marks.clear()
            role = self.kit.roles[LIMBS[place]]
            known = line_marks(line, self.frame, role, self.kit, self.bpm)
            self._line_marks[key] = known
        return known

    def pair(self, one: InternedLine, other: InternedLine) -> PairMarks:
        """The marks of two lines of which neither is empty."""
        key = (one.number, other.number)
        known = self._pair_marks.get(key)
        if known is None:
            if len(self._pair_marks) > _MOST_REMEMBERED:
                self._pair_marks.clear()
            known = pair_marks(self._hear(one), self._hear(other))
            self._pair_marks[key] = known
        return known

    def _hear(self, line: InternedLine) -> Heard:
        known = self._heard.get(line.number)
        if known is None:
            if len(self._heard) > _MOST_REMEMBERED:
                self._heard.clear()
            known = self._heard[line.number] = heard(line, self.frame)
        return known

    def marks(self, lines: Lines) -> Thousandths:
        """Thousandths of a point for each part, cut off where the scale ends.

        One long loop on purpose: this runs once for every figure of a search.
        """
        rate = travel = syncopation = loudness = weaker_hand = ornaments = coordination = 0
        repeats_after = 1
        busy: list[InternedLine] = []
        masks: list[int] = []
        for place, line in enumerate(lines):
            if not line:
                masks.append(0)
                continue
            marks = self.line(place, line)
            rate += marks.rate
            travel += marks.travel
            syncopation += marks.syncopation
            loudness += marks.loudness
            weaker_hand += marks.weaker_hand
            ornaments += marks.ornaments
            masks.append(marks.facts.mask)
            if marks.facts.repeats_after > repeats_after:
                repeats_after = marks.facts.repeats_after
            for before in busy:
                pair = self.pair(before, line)
                coordination += pair.coordination
                loudness += pair.loudness
            busy.append(line)
        if len(busy) > 1:
            coordination += WEIGHTS.combination * (combination_count(masks) - 1)
        parts = (
            WEIGHTS.limbs[len(busy)],
            coordination,
            rate,
            travel,
            syncopation,
            loudness,
            weaker_hand,
            ornaments,
            WEIGHTS.bars_doubled * (repeats_after.bit_length() - 1) if repeats_after > 1 else 0,
        )
        return parts if sum(parts) <= SCALE_TOP else _cut_off(parts)

    def pairs(self, lines: Lines) -> tuple[tuple[Limb, Limb, PairMarks], ...]:
        """Every pair of busy limbs with its marks."""
        return tuple(
            (LIMBS[a], LIMBS[b], self.pair(lines[a], lines[b]))
            for a, b in _PLACES
            if lines[a] and lines[b]
        )


def combination_count(masks: list[int]) -> int:
    """How many different sets of limbs sound together; one bit per tick in each limb's mask."""
    right, left, right_foot, left_foot = masks
    hands = [both for both in (right & left, right & ~left, left & ~right) if both]
    feet = [
        both
        for both in (
            right_foot & left_foot,
            right_foot & ~left_foot,
            left_foot & ~right_foot,
        )
        if both
    ]
    any_hand, any_foot = right | left, right_foot | left_foot
    found = 0
    for hand in hands:
        found += hand & ~any_foot != 0
        for foot in feet:
            found += hand & foot != 0
    for foot in feet:
        found += foot & ~any_hand != 0
    return found


def _cut_off(parts: Thousandths) -> Thousandths:
    """The parts in their order until the scale's top is reached; what is beyond does not count."""
    left = SCALE_TOP
    cut: list[int] = []
    for part in parts:
        counted = min(part, left)
        cut.append(counted)
        left -= counted
    return tuple(cut)


_benches: dict[tuple[Meter, int, Kit, float], Bench] = {}


def bench(meter: Meter, bars: int, kit: Kit, bpm: float) -> Bench:
    """Return the bench for these, with all that it remembers."""
    key = (meter, bars, kit, bpm)
    found = _benches.get(key)
    if found is None:
        if len(_benches) >= _MOST_BENCHES:
            _benches.clear()
        found = _benches[key] = Bench(meter, bars, kit, bpm)
    return found
