"""How fast limbs can go: numbers a healthy, trained, amateur player can keep up, as data.

They are ceilings for choosing exercises, not goals, and say nothing about any one player. What has
been published brackets them: people in general tap with one hand at 5 to 7 strokes a second, and
the fastest drummer measured played 10 with one stick (S. Fujii, K. Kudo, T. Ohtsuki, S. Oda,
Neuroscience Letters 459, 2009, 69-73; from the abstract, not recomputed). Foot rates of 4 to 5
for people in general are from memory. The values between are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log2

from exercises.rhythm.kit import Place, Role
from exercises.rhythm.surfaces import Piece


@dataclass(frozen=True, slots=True)
class Limit:
    """One number and where it comes from."""

    value: float
    unit: str
    source: str


_BETWEEN = "between the published 5-7 (people in general) and 10 (fastest drummer), Fujii 2009"
_FOOT = "below the hands; people in general 4-5, from memory"
_PRACTICE = "common practice, no source"

STROKES_PER_SECOND: dict[Role, Limit] = {
    Role.STRONG_HAND: Limit(8.0, "strokes per second", _BETWEEN),
    Role.WEAK_HAND: Limit(7.0, "strokes per second", _BETWEEN),
    Role.BASS_FOOT: Limit(6.0, "strokes per second", _FOOT),
    Role.HAT_FOOT: Limit(5.0, "strokes per second", _FOOT),
}
"""What a limb keeps up in a run of three strokes or more on one surface."""

DOUBLE_SECONDS: dict[Role, Limit] = {
    Role.STRONG_HAND: Limit(0.062, "seconds", _PRACTICE),
    Role.WEAK_HAND: Limit(0.070, "seconds", _PRACTICE),
    Role.BASS_FOOT: Limit(0.100, "seconds", _PRACTICE),
    Role.HAT_FOOT: Limit(0.120, "seconds", _PRACTICE),
}
"""The least time between the two strokes of a double, which bounces and so beats the run's rate."""

# The shape is Fitts's law in the form of I. S. MacKenzie (1992), time = a + b log2(D / W + 1), from
# memory. Fitts's own numbers are for placing a stylus to rest; a drum is struck in passing, so the
# constant is the limb's own stroke and the slope is smaller.
SECONDS_PER_BIT: dict[Role, Limit] = {
    Role.STRONG_HAND: Limit(0.045, "seconds per bit", _PRACTICE),
    Role.WEAK_HAND: Limit(0.052, "seconds per bit", _PRACTICE),
    Role.BASS_FOOT: Limit(0.060, "seconds per bit", _PRACTICE),
    Role.HAT_FOOT: Limit(0.068, "seconds per bit", _PRACTICE),
}

DRAG_SECONDS = Limit(0.080, "seconds", _PRACTICE)
"""How long before its main stroke the two grace strokes of a drag begin."""

MOST_BPM = 400
"""No tempo above this is given, however easy the figure."""


def run_seconds(role: Role) -> float:
    """Seconds from one stroke to the next in a run at the limb's limit."""
    return 1 / STROKES_PER_SECOND[role].value


def journey_seconds(role: Role, start: Place, end: Place) -> float:
    """Seconds from a stroke at one place to a stroke at another, at the limb's limit."""
    bits = log2(start.distance(end) / end.width + 1)
    return run_seconds(role) + SECONDS_PER_BIT[role].value * bits


def pedal_place(piece: Piece) -> Place:
    """Where a foot goes for a piece: two footboards side by side, in centimetres.

    The second bass pedal stands beside the hi-hat's, so feet travel between pedals and not between
    the pieces that the pedals move.
    """
    return _BASS_PEDAL if piece is Piece.BASS_DRUM else _HAT_PEDAL


_HAT_PEDAL = Place(0, 0, 10)
_BASS_PEDAL = Place(20, 0, 10)
