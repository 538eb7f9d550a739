"""How many points each thing that makes a figure harder is worth.

The values are ours. They were set so that a first beat at a walking tempo lands near 3 and four
limbs on different sixteenths near the top, and so that the laws of the grade hold: a limb that
joins, a denser ostinato or a faster tempo never lowers the total (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum


class Relation(StrEnum):
    """How the strokes of two limbs stand to each other."""

    TOGETHER = "together"
    NESTED = "nested"
    GAPS = "gaps"
    ACROSS = "across"
    CROSS_RHYTHM = "cross_rhythm"

    __hash__ = str.__hash__

    @property
    def spoken(self) -> str:
        """The relation in words, for "right hand and left hand ..."."""
        return _SPOKEN[self]


_SPOKEN = {
    Relation.TOGETHER: "always together",
    Relation.NESTED: "one nested in the other",
    Relation.GAPS: "each in the other's gaps",
    Relation.ACROSS: "now together, now apart",
    Relation.CROSS_RHYTHM: "a cross-rhythm",
}


@dataclass(frozen=True, slots=True)
class Weights:
    """Thousandths of a point, unless the comment says otherwise."""

    # A limb that plays; the first is the 1.0 at which the scale begins.
    limbs: tuple[int, ...] = (1000, 1000, 1120, 1280, 1480)
    # A pair of limbs. Even lines are marked at their hardest pulse, so growing denser never lowers
    # these; it may lower ``combination`` and ``syncopation`` (a hemiola that fills up to eighths),
    # which must stay below what the rate gains (twice ``doubling``).
    relation: dict[Relation, int] = field(
        default_factory=lambda: {
            Relation.TOGETHER: 10,
            Relation.NESTED: 60,
            Relation.GAPS: 110,
            Relation.ACROSS: 150,
            Relation.CROSS_RHYTHM: 200,
        }
    )
    state: int = 45  # each further thing the pair does at some place in the beat
    succession: int = 15  # each further step from one such thing to the next
    combination: int = 30  # each further combination of limbs
    # A limb's rate: per doubling of its mean rate and of its fastest rate above the floor ...
    doubling: int = 100
    floor_per_second: float = 0.5  # strokes
    at_limit: int = 800  # ... and this when the tempo reaches the limb's limit (grows squared)
    # A limb's journeys between pieces.
    journey: int = 60  # each different one
    journey_time: int = 900  # mean share of the time between strokes that journeys take
    journey_tightest: int = 300  # squared share of the tightest one
    syncopation: int = 40  # each unit of the published measure, per bar
    contrast_level: int = 50  # each loudness level between two limbs at one moment, at most
    contrast_kind: int = 25  # each different pair of loudnesses at one moment
    loudness_change: int = 40  # each different change of loudness within a limb
    weak_hand: int = 300  # strokes at its limit throughout
    flams_per_beat: int = 400
    drags_per_beat: int = 600
    buzzes_per_beat: int = 350
    ornament_kind: int = 80
    bars_doubled: int = 150  # each doubling of the bars before the longest line repeats


WEIGHTS = Weights()
SCALE_TOP = 10_000
