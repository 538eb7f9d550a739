"""Which surface another program's score means, by instrument name or by place on the staff.

Staff places differ between programs, so the table of places is data that a teacher may change:
:data:`STAFF_PLACES` starts from Weinberg ("Guidelines for Drumset Notation", Percussive Notes,
June 1994), with six toms made three as in :mod:`exercises.notation.drum_keys`, and adds other
places in common use (no source).
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from exercises.rhythm.surfaces import Surface

Place = tuple[str, int, str]
"""Display step, display octave (as in a treble clef) and the family of the notehead."""

_HEAD_FAMILIES = {
    "x": "cross",
    "cross": "cross",
    "circle-x": "circle-cross",
    "circled": "circle-cross",
    "diamond": "diamond",
    "triangle": "triangle",
    "inverted triangle": "triangle",
    "slashed": "slashed",
    "back slashed": "slashed",
    "slash": "slashed",
}

STAFF_PLACES: dict[Place, Surface] = {
    ("D", 4, "normal"): Surface.BASS_DRUM,
    ("E", 4, "normal"): Surface.BASS_DRUM,
    ("F", 4, "normal"): Surface.BASS_DRUM,
    ("G", 4, "normal"): Surface.FLOOR_TOM,
    ("A", 4, "normal"): Surface.FLOOR_TOM,
    ("B", 4, "normal"): Surface.MID_TOM,
    ("C", 5, "normal"): Surface.SNARE,
    ("D", 5, "normal"): Surface.MID_TOM,
    ("E", 5, "normal"): Surface.HIGH_TOM,
    ("F", 5, "normal"): Surface.HIGH_TOM,
    ("C", 5, "slashed"): Surface.RIM_SHOT,
    ("C", 5, "diamond"): Surface.RIM_SHOT,
    ("C", 5, "circle-cross"): Surface.RIM_SHOT,
    ("C", 5, "cross"): Surface.CROSS_STICK,
    ("D", 4, "cross"): Surface.HI_HAT_FOOT,
    ("E", 4, "cross"): Surface.HI_HAT_FOOT,
    ("F", 4, "cross"): Surface.HI_HAT_FOOT,
    ("D", 4, "circle-cross"): Surface.HI_HAT_SPLASH,
    ("D", 5, "cross"): Surface.RIDE,
    ("E", 5, "cross"): Surface.RIDE,
    ("F", 5, "cross"): Surface.RIDE,
    ("F", 5, "diamond"): Surface.RIDE_BELL,
    ("G", 5, "cross"): Surface.HI_HAT,
    ("G", 5, "diamond"): Surface.HI_HAT,
    ("G", 5, "circle-cross"): Surface.HI_HAT_OPEN,
    ("A", 5, "cross"): Surface.CRASH,
    ("A", 5, "circle-cross"): Surface.CRASH,
    ("A", 5, "diamond"): Surface.SPLASH,
    ("B", 5, "cross"): Surface.CHINA,
    ("B", 5, "diamond"): Surface.SPLASH,
    ("B", 5, "circle-cross"): Surface.CHINA,
    ("C", 6, "cross"): Surface.CHINA,
    ("E", 5, "triangle"): Surface.COWBELL,
    ("F", 5, "triangle"): Surface.COWBELL,
    ("G", 5, "triangle"): Surface.COWBELL,
}

# The first row with all of its words in the name decides.
_NAMES: tuple[tuple[tuple[str, ...], Surface], ...] = (
    (("half", "hihat"), Surface.HI_HAT_HALF_OPEN),
    (("splash", "hihat"), Surface.HI_HAT_SPLASH),
    (("foot", "hihat"), Surface.HI_HAT_FOOT),
    (("pedal", "hihat"), Surface.HI_HAT_FOOT),
    (("open", "hihat"), Surface.HI_HAT_OPEN),
    (("hihat",), Surface.HI_HAT),
    (("bell", "ride"), Surface.RIDE_BELL),
    (("ride",), Surface.RIDE),
    (("crash",), Surface.CRASH),
    (("splash",), Surface.SPLASH),
    (("china",), Surface.CHINA),
    (("chinese",), Surface.CHINA),
    (("cowbell",), Surface.COWBELL),
    (("crossstick",), Surface.CROSS_STICK),
    (("sidestick",), Surface.CROSS_STICK),
    (("rimshot",), Surface.RIM_SHOT),
    (("rim", "snare"), Surface.RIM_SHOT),
    (("snare",), Surface.SNARE),
    (("floor", "tom"), Surface.FLOOR_TOM),
    (("lowmid", "tom"), Surface.MID_TOM),
    (("himid", "tom"), Surface.HIGH_TOM),
    (("mid", "tom"), Surface.MID_TOM),
    (("medium", "tom"), Surface.MID_TOM),
    (("low", "tom"), Surface.MID_TOM),
    (("tom",), Surface.HIGH_TOM),
    (("bassdrum",), Surface.BASS_DRUM),
    (("kick",), Surface.BASS_DRUM),
    (("practicepad",), Surface.PAD),
    (("cymbal",), Surface.CRASH),
)


def named_surface(name: str) -> Surface | None:
    """Return the surface that an instrument's name says, or None."""
    letters = re.sub(r"custom|bottom|[^a-z]", "", name.lower()[:100])
    for words, surface in _NAMES:
        if all(word in letters for word in words):
            return surface
    return None


def placed_surface(
    step: str, octave: int, notehead: str, places: Mapping[Place, Surface] = STAFF_PLACES
) -> Surface | None:
    """Return the surface at a place on the staff under a notehead, or None."""
    return places.get((step, octave, _HEAD_FAMILIES.get(notehead, "normal")))
