"""The vocabulary of the typed form: a character for each way of striking, a word per surface."""

from __future__ import annotations

import difflib

from exercises.rhythm.figure import Loudness, Ornament
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Surface

REST = "."
RESTS = frozenset(".-")

Way = tuple[Loudness, Ornament]
"""How a stroke is struck, apart from where."""

STEPS: dict[str, Way] = {
    "x": (Loudness.NORMAL, Ornament.NONE),
    "X": (Loudness.ACCENT, Ornament.NONE),
    "s": (Loudness.SOFT, Ornament.NONE),
    "g": (Loudness.GHOST, Ornament.NONE),
    "f": (Loudness.NORMAL, Ornament.FLAM),
    "F": (Loudness.ACCENT, Ornament.FLAM),
    "v": (Loudness.SOFT, Ornament.FLAM),
    "w": (Loudness.GHOST, Ornament.FLAM),
    "d": (Loudness.NORMAL, Ornament.DRAG),
    "D": (Loudness.ACCENT, Ornament.DRAG),
    "y": (Loudness.SOFT, Ornament.DRAG),
    "z": (Loudness.GHOST, Ornament.DRAG),
    "b": (Loudness.NORMAL, Ornament.BUZZ),
    "B": (Loudness.ACCENT, Ornament.BUZZ),
    "h": (Loudness.SOFT, Ornament.BUZZ),
    "q": (Loudness.GHOST, Ornament.BUZZ),
}
LETTERS: dict[Way, str] = {way: letter for letter, way in STEPS.items()}

USUAL_SURFACE = {
    Limb.RH: Surface.HI_HAT,
    Limb.LH: Surface.SNARE,
    Limb.RF: Surface.BASS_DRUM,
    Limb.LF: Surface.HI_HAT_FOOT,
}
"""What a limb strikes when its line names no surface."""

_SHORT = {
    "bass": Surface.BASS_DRUM,
    "hat": Surface.HI_HAT,
    "openhat": Surface.HI_HAT_OPEN,
    "foot": Surface.HI_HAT_FOOT,
    "bell": Surface.RIDE_BELL,
}


def surface_word(surface: Surface) -> str:
    """Return the one word that names a surface: "hi-hat-open"."""
    return surface.value.replace("_", "-")


def read_surface(words: str) -> Surface | None:
    """Return the surface that is named, forgiving capitals, spaces and hyphens; None if unknown."""
    return _BY_LETTERS.get(_letters(words))


def nearest_words(words: str) -> str:
    """Return the surfaces that were most likely meant, for an error message."""
    every = [surface_word(surface) for surface in Surface]
    return ", ".join(difflib.get_close_matches(words.strip()[:40], every, n=3) or every)


def _letters(words: str) -> str:
    return "".join(letter for letter in words.lower() if letter not in " -_\t")


_BY_LETTERS: dict[str, Surface] = {
    **_SHORT,
    **{_letters(surface.spoken): surface for surface in Surface},
    **{_letters(surface.value): surface for surface in Surface},
}
