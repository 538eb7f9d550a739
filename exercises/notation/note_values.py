"""Written note values: which length can be written as one note, and how a silence is cut up.

Everything here is counted in quarter notes, as exact fractions. Inside a tuplet the lengths are the
*written* ones, before the tuplet squeezes them.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

SMALLEST = Fraction(1, 256)
"""A 1024th note: the shortest value that MusicXML can name."""

_NAMES = {
    Fraction(4): "whole",
    Fraction(2): "half",
    Fraction(1): "quarter",
    Fraction(1, 2): "eighth",
    Fraction(1, 4): "16th",
    Fraction(1, 8): "32nd",
    Fraction(1, 16): "64th",
    Fraction(1, 32): "128th",
    Fraction(1, 64): "256th",
    Fraction(1, 128): "512th",
    Fraction(1, 256): "1024th",
}


@dataclass(frozen=True, slots=True)
class NoteValue:
    """A plain value (a power of two, in quarters) with or without one dot."""

    plain: Fraction
    dots: int = 0

    @property
    def length(self) -> Fraction:
        """The written length in quarters."""
        return self.plain * Fraction(3, 2) if self.dots else self.plain

    @property
    def name(self) -> str:
        """The value as MusicXML names it, without its dot."""
        return _NAMES[self.plain]

    @property
    def beam_count(self) -> int:
        """How many beams (or flags) the value carries: 1 for an eighth, 2 for a sixteenth ..."""
        return max(0, self.plain.denominator.bit_length() - 1) if self.plain < 1 else 0


def is_power_of_two(number: int) -> bool:
    """True for 1, 2, 4, 8 ..."""
    return number > 0 and number & (number - 1) == 0


def largest_power_of_two(limit: Fraction) -> Fraction:
    """The largest power of two, whole or broken, that is not above ``limit``."""
    power = Fraction(1)
    while power > limit:
        power /= 2
    while power * 2 <= limit:
        power *= 2
    return power


@lru_cache(maxsize=4096)
def single_value(length: Fraction) -> NoteValue | None:
    """The one value, dotted once at most, that has exactly this length; None if there is none."""
    if length in _NAMES:
        return NoteValue(length)
    plain = length * Fraction(2, 3)
    return NoteValue(plain, 1) if plain in _NAMES and plain / 2 >= SMALLEST else None


@lru_cache(maxsize=4096)
def ringing_value(start: Fraction, gap: Fraction) -> NoteValue:
    """The value of a note at ``start`` that is followed by nothing for ``gap``.

    It rings for the whole gap where one value says so and still shows the beat: an undotted value
    may be off its grid by half its own length (the middle of sixteenth-eighth-sixteenth), a dotted
    one must start or end on its own undotted grid. Otherwise the note is as long as its place on
    the grid allows and rests follow (see :func:`rest_values`). Common practice, no source.
    """
    whole = single_value(gap)
    if whole is not None:
        if not whole.dots and start % (whole.plain / 2) == 0:
            return whole
        if whole.dots and 0 in (start % whole.plain, (start + gap) % whole.plain):
            return whole
    plain = largest_power_of_two(gap)
    while plain > SMALLEST and start % plain:
        plain /= 2
    return NoteValue(plain)


@lru_cache(maxsize=4096)
def rest_values(start: Fraction, gap: Fraction) -> tuple[NoteValue, ...]:
    """Rests that fill ``gap`` from ``start``, each on the grid of its own value.

    One dotted rest stands where it starts a beat, so that a note on the last quarter of a beat is
    led by one sign.
    """
    rests: list[NoteValue] = []
    while gap > 0:
        whole = single_value(gap)
        if whole is not None and whole.dots and start % (whole.plain * 2) == 0:
            rests.append(whole)
            break
        plain = largest_power_of_two(gap)
        while plain > SMALLEST and start % plain:
            plain /= 2
        rests.append(NoteValue(plain))
        start += plain
        gap -= plain
    return tuple(rests)
