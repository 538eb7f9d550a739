"""How a drummer counts aloud, and how a place in a figure is said in words.

What is counted is the meter's own unit (its lower number): quarters in 4/4, eighths in 6/8 and 7/8,
half notes in 2/2. Between two counts the syllables are "e & a" for fourths and "trip let" for
thirds; whatever else falls between them is "ta". Common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from exercises.rhythm.meter import Meter

_SYLLABLES = {
    Fraction(1, 4): "e",
    Fraction(1, 2): "&",
    Fraction(3, 4): "a",
    Fraction(1, 3): "trip",
    Fraction(2, 3): "let",
}
OTHER_SYLLABLE = "ta"


@lru_cache(maxsize=16384)
def syllable(meter: Meter, onset: Fraction) -> str:
    """Return what is said at an onset, in beats from the figure's start: "3", "e", "&", "let"."""
    _, count, within = _position(meter, onset)
    if within == 0:
        return str(count)
    return _SYLLABLES.get(within, OTHER_SYLLABLE)


@lru_cache(maxsize=16384)
def place_words(meter: Meter, onset: Fraction, *, bars: int = 1) -> str:
    """Return where an onset is: "beat 3 a", "bar 2, beat 1", "count 5 &".

    The bar is named when the figure has several ``bars`` or the onset lies after the first. In
    meters whose beat is not their unit (6/8, 7/8) the number is called a count, because "beat"
    would be read as the dotted quarter. A place without a syllable of its own is given as a part
    of the count ("beat 2 and 3/8").
    """
    bar, count, within = _position(meter, onset)
    name = "beat" if _unit_beats(meter) == 1 else "count"
    place = f"{name} {count}"
    if within:
        place += f" {_SYLLABLES[within]}" if within in _SYLLABLES else f" and {within}"
    return f"bar {bar}, {place}" if bars > 1 or bar > 1 else place


def _unit_beats(meter: Meter) -> Fraction:
    """The meter's unit (the note value of its lower number) as a length in beats."""
    return Fraction(4, meter.unit) / meter.beat_quarters


def _position(meter: Meter, onset: Fraction) -> tuple[int, int, Fraction]:
    """The bar and the count, both from 1, and how far into the count as a part of it."""
    bar, in_bar = divmod(onset, meter.bar_beats)
    count, within = divmod(in_bar / _unit_beats(meter), 1)
    return int(bar) + 1, int(count) + 1, within
