"""The figure that the journey's teacher types."""

from __future__ import annotations

from fractions import Fraction

from exercises.rhythm.figure import Figure, Loudness, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed import write_typed


def harbour_walk() -> str:
    """A bar of hi-hat eighths, snare on two and four with a ghost between, bass drum."""
    hands = [Stroke(Fraction(n, 2), Limb.RH, Surface.HI_HAT) for n in range(8)]
    snare = [
        Stroke(Fraction(1), Limb.LH, Surface.SNARE, Loudness.ACCENT),
        Stroke(Fraction(7, 4), Limb.LH, Surface.SNARE, Loudness.GHOST),
        Stroke(Fraction(3), Limb.LH, Surface.SNARE, Loudness.ACCENT),
    ]
    bass = [Stroke(Fraction(n, 2), Limb.RF, Surface.BASS_DRUM) for n in (0, 3, 4)]
    return write_typed(Figure.of("4/4", 1, [*hands, *snare, *bass]))
