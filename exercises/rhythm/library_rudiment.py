"""How a rudiment of the library is written down: sticking, rhythm, and a tempo to start at.

Names, numbers and stickings follow the Percussive Arts Society's International Drum Rudiments
(1984), rhythms common practice; tempos and what each trains are our own. Public lists disagree
about the stickings of numbers 35 to 37: they are given as most drummers play them, and marked. An
alternating rudiment is written out until it has begun on either hand.

How a row is read. ``sticking`` is a word per stroke: a capital letter is the hand that strikes,
one small letter before it a flam's grace note, two a drag's. ``beats`` places the strokes as the
typed form does (a character per step, beats apart, ``.`` a rest, a capital an accent, ``|`` a bar
line); it takes the words in turn, and begins again with them when they are used up.
"""

from __future__ import annotations

from typing import NamedTuple


class Rudiment(NamedTuple):
    """One rudiment as it is written down here."""

    number: int
    name: str
    family: str
    meter: str
    beats: str
    sticking: str
    bpm: int
    trains: tuple[str, ...]
    is_disputed: bool = False
