"""The parts of a grade in words, from the facts that the points were made of."""

from __future__ import annotations

from collections.abc import Callable

from exercises.rhythm.grade_parts.bench import Bench, Lines, combination_count
from exercises.rhythm.grade_parts.one_limb import LineMarks
from exercises.rhythm.kit import Role
from exercises.rhythm.limbs import LIMBS, Limb

PART_LABELS: dict[str, str] = {
    "limbs": "Limbs in use",
    "coordination": "Coordination",
    "rate": "Rate",
    "travel": "Travel",
    "syncopation": "Syncopation",
    "loudness": "Loudness",
    "weaker_hand": "Weaker hand",
    "ornaments": "Ornaments",
    "length": "Length",
}
"""Keys and headings of the parts, in the order in which they are added up."""


def part_words(key: str, lines: Lines, at: Bench) -> str:
    """Return what a part counts in this figure, as a clause or a few."""
    busy = [
        (limb, at.line(place, line))
        for place, (limb, line) in enumerate(zip(LIMBS, lines, strict=True))
        if line
    ]
    if key == "coordination":
        return _coordination(lines, at)
    if key == "loudness":
        return _loudness(busy, lines, at)
    return _OF_LINES[key](busy, at)


Busy = list[tuple[Limb, LineMarks]]


def _limbs(busy: Busy, _: Bench) -> str:
    return _joined([limb.spoken for limb, _ in busy]) or "nothing is played"


def _coordination(lines: Lines, at: Bench) -> str:
    pairs = at.pairs(lines)
    if not pairs:
        return "one limb alone"
    masks = [at.line(place, line).facts.mask if line else 0 for place, line in enumerate(lines)]
    clauses = [f"{a.spoken} and {b.spoken}: {marks.relation.spoken}" for a, b, marks in pairs]
    combinations = _counted(combination_count(masks), "different combination")
    successions = _counted(sum(marks.successions for *_, marks in pairs), "different succession")
    return "; ".join(clauses) + f"; {combinations} of limbs, {successions} within the pairs"


def _rate(busy: Busy, _: Bench) -> str:
    clauses = [
        f"{limb.spoken} {marks.facts.mean_rate:.1f} strokes a second, at its fastest "
        f"{_percent(marks.facts.limit_share)} of its limit"
        for limb, marks in busy
    ]
    return "; ".join(clauses) or "nothing is played"


def _travel(busy: Busy, _: Bench) -> str:
    clauses = [
        f"{limb.spoken}: {_counted(marks.facts.journeys, 'different journey')}, the tightest "
        f"needs {_percent(marks.facts.journey_share)} of its time"
        for limb, marks in busy
        if marks.facts.journeys
    ]
    return "; ".join(clauses) or "every limb stays where it is"


def _syncopation(busy: Busy, at: Bench) -> str:
    clauses = [
        f"{limb.spoken} {_number(marks.facts.displacement / at.frame.bars)}"
        for limb, marks in busy
        if marks.facts.displacement
    ]
    if not clauses:
        return "no stroke pulls against the beat"
    return f"by Longuet-Higgins and Lee, per bar: {', '.join(clauses)}"


def _loudness(busy: Busy, lines: Lines, at: Bench) -> str:
    clauses = [
        f"{a.spoken} and {b.spoken} up to {_counted(marks.contrast, 'level')} apart at one moment"
        for a, b, marks in at.pairs(lines)
        if marks.contrast
    ]
    clauses += [
        f"{_counted(marks.facts.loudness_changes, 'different change')} within the {limb.spoken}"
        for limb, marks in busy
        if marks.facts.loudness_changes
    ]
    return "; ".join(clauses) or "all equally loud"


def _weaker_hand(busy: Busy, at: Bench) -> str:
    weak = at.kit.limb_by_role[Role.WEAK_HAND]
    for limb, marks in busy:
        if limb is weak:
            return f"{limb.spoken}: {marks.facts.mean_rate:.1f} strokes a second"
    return f"the {weak.spoken} rests"


def _ornaments(busy: Busy, _: Bench) -> str:
    flams = sum(marks.facts.flams for _, marks in busy)
    drags = sum(marks.facts.drags for _, marks in busy)
    buzzes = sum(marks.facts.buzzes for _, marks in busy)
    counts = ((flams, "flam"), (drags, "drag"), (buzzes, "buzzed stroke"))
    return _joined([_counted(count, what) for count, what in counts if count]) or "none"


def _length(busy: Busy, _: Bench) -> str:
    bars = max((marks.facts.repeats_after for _, marks in busy), default=1)
    return f"repeats after {_counted(bars, 'bar')}"


_OF_LINES: dict[str, Callable[[Busy, Bench], str]] = {
    "limbs": _limbs,
    "rate": _rate,
    "travel": _travel,
    "syncopation": _syncopation,
    "weaker_hand": _weaker_hand,
    "ornaments": _ornaments,
    "length": _length,
}


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _joined(words: list[str]) -> str:
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
