"""The baseline: the measurements that a grade rests on, taken on music21 streams.

What a programmer with a good general music library would write: a part for each limb, chordify for
what sounds together, ``beatStrength`` for the syncopation, offsets for rates and relations.
"""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import Any

from music21 import meter, note, stream

from exercises.rhythm.figure import Figure
from exercises.rhythm.limbs import LIMBS


def score_of(figure: Figure) -> stream.Score:
    """Build a score with one part a limb."""
    score = stream.Score()
    beat = figure.meter.beat_quarters
    for limb in LIMBS:
        part = stream.Part(id=limb.value)
        part.insert(0, meter.TimeSignature(str(figure.meter)))
        for stroke in figure.line(limb):
            struck = note.Unpitched(displayName="C5")
            struck.volume.velocity = 40 + 20 * stroke.loudness.level
            part.insert(stroke.onset * beat, struck)
        score.insert(0, part)
    return score


def measures_of(score: stream.Score) -> dict[str, Any]:
    """Measure limbs, relations, combinations, successions, rate, syncopation, contrast."""
    parts = [part for part in score.parts if part.notes]
    offsets = {part.id: [struck.offset for struck in part.notes] for part in parts}
    relations = {}
    for one, other in combinations(offsets, 2):
        shared = set(offsets[one]) & set(offsets[other])
        relations[one, other] = (
            len(shared),
            len(offsets[one]) - len(shared),
            len(offsets[other]) - len(shared),
        )
    together: dict[Any, list[tuple[str, int]]] = {}
    for part in parts:
        for struck in part.notes:
            together.setdefault(struck.offset, []).append((part.id, struck.volume.velocity))
    moments = [together[offset] for offset in sorted(together)]
    combos = [frozenset(limb for limb, _ in moment) for moment in moments]
    gaps = {
        limb: min((b - a for a, b in pairwise(at)), default=None) for limb, at in offsets.items()
    }
    chords = score.chordify()
    strengths = [chord.beatStrength for chord in chords.recurse().notes]
    return {
        "limbs": len(parts),
        "relations": relations,
        "combinations": len(set(combos)),
        "successions": len(set(pairwise(combos))),
        "shortest": gaps,
        "syncopation": sum(max(0.0, after - before) for before, after in pairwise(strengths)),
        "contrast": max((max(v for _, v in m) - min(v for _, v in m) for m in moments), default=0),
    }
