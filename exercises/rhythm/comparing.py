"""What tells two figures apart: stroke by stroke, and part by part of the grade."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from exercises.rhythm.counting import place_words
from exercises.rhythm.figure import Figure, Line, Loudness, Ornament, Stroke
from exercises.rhythm.grade import Grade
from exercises.rhythm.limbs import LIMBS, Limb

_WORTH_A_WORD = 0.05
"""Points that still show as a tenth."""

_PLACES_NAMED = 4


@dataclass(frozen=True, slots=True)
class LineDifference:
    """What one limb does otherwise in the second figure.

    ``changed`` holds pairs of strokes at the same moment that are struck otherwise.
    """

    limb: Limb
    added: tuple[Stroke, ...]
    removed: tuple[Stroke, ...]
    changed: tuple[tuple[Stroke, Stroke], ...]

    def applied_to(self, line: Line) -> Line:
        """Return the second figure's line, made from the first's."""
        gone = {stroke.onset for stroke in self.removed}
        other = {after.onset: after for _, after in self.changed}
        kept = [other.get(stroke.onset, stroke) for stroke in line if stroke.onset not in gone]
        return tuple(sorted((*kept, *self.added), key=lambda stroke: stroke.onset))


@dataclass(frozen=True, slots=True)
class PartDifference:
    """One part of the grade in both figures; ``points`` is the second's less the first's."""

    key: str
    label: str
    first: float
    second: float
    first_words: str
    second_words: str

    @property
    def points(self) -> float:
        """How much harder the second is in this part; below zero when it is easier."""
        return self.second - self.first

    @property
    def counts(self) -> bool:
        """True when it shows as a tenth of a point."""
        return abs(self.points) >= _WORTH_A_WORD


def line_differences(first: Figure, second: Figure) -> tuple[LineDifference, ...]:
    """Return what each limb does otherwise, limbs that do the same left out.

    A figure of fewer bars is read again and again until it is as long as the other.
    """
    bars = max(first.bars, second.bars)
    found = []
    for limb in LIMBS:
        before = {stroke.onset: stroke for stroke in _written_out(first, limb, bars)}
        after = {stroke.onset: stroke for stroke in _written_out(second, limb, bars)}
        both = sorted(before.keys() & after.keys())
        difference = LineDifference(
            limb,
            added=tuple(after[onset] for onset in sorted(after.keys() - before.keys())),
            removed=tuple(before[onset] for onset in sorted(before.keys() - after.keys())),
            changed=tuple((before[o], after[o]) for o in both if before[o] != after[o]),
        )
        if difference.added or difference.removed or difference.changed:
            found.append(difference)
    return tuple(found)


def part_differences(first: Grade, second: Grade) -> tuple[PartDifference, ...]:
    """Return every part of both grades, the largest difference first."""
    pairs = zip(first.parts, second.parts, strict=True)
    found = [PartDifference(a.key, a.label, a.points, b.points, a.words, b.words) for a, b in pairs]
    return tuple(sorted(found, key=lambda part: -abs(part.points)))


def difference_words(difference: LineDifference, figure: Figure) -> str:
    """Return one limb's difference as a phrase: "2 more on the bass drum (beat 2 &, beat 4 a)"."""
    phrases = [
        *_counted(difference.added, "more", figure),
        *_counted(difference.removed, "fewer", figure),
        *_turned(difference.changed, figure),
    ]
    return f"{difference.limb.spoken}: {'; '.join(phrases)}"


def _written_out(figure: Figure, limb: Limb, bars: int) -> Iterable[Stroke]:
    times = -(-bars // figure.bars)
    length = figure.bars * figure.meter.bar_beats
    for again in range(times):
        for stroke in figure.line(limb):
            onset = stroke.onset + again * length
            if onset < bars * figure.meter.bar_beats:
                yield Stroke(onset, limb, stroke.surface, stroke.loudness, stroke.ornament)


def _counted(strokes: tuple[Stroke, ...], how: str, figure: Figure) -> Iterable[str]:
    for surface, count in Counter(stroke.surface for stroke in strokes).items():
        onsets = [stroke.onset for stroke in strokes if stroke.surface is surface]
        yield f"{count} {how} on the {surface.spoken} ({_places(onsets, figure)})"


def _turned(pairs: tuple[tuple[Stroke, Stroke], ...], figure: Figure) -> Iterable[str]:
    ways: dict[str, list[Fraction]] = {}
    for before, after in pairs:
        ways.setdefault(f"{_way(before)} becomes {_way(after)}", []).append(before.onset)
    for way, onsets in ways.items():
        yield f"{way} ({_places(onsets, figure)})"


def _way(stroke: Stroke) -> str:
    loud = {
        Loudness.GHOST: "ghosted ",
        Loudness.SOFT: "soft ",
        Loudness.NORMAL: "",
        Loudness.ACCENT: "accented ",
    }[stroke.loudness]
    grace = "" if stroke.ornament is Ornament.NONE else f" with a {stroke.ornament.value}"
    return f"{loud}{stroke.surface.spoken}{grace}"


def _places(onsets: list[Fraction], figure: Figure) -> str:
    bars = int(max(onsets) // figure.meter.bar_beats) + 1
    named = [
        place_words(figure.meter, onset, bars=max(bars, figure.bars))
        for onset in onsets[:_PLACES_NAMED]
    ]
    rest = len(onsets) - len(named)
    more = f" and {rest} other place{'' if rest == 1 else 's'}" if rest else ""
    return ", ".join(named) + more
