"""The library a new studio starts with: core figures to open up, and the rudiments."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import cycle
from types import MappingProxyType
from typing import Literal

from exercises.rhythm.figure import Figure, Loudness, Ornament, Stroke
from exercises.rhythm.kit import KITS, Kit
from exercises.rhythm.library_backbeats import BACKBEATS
from exercises.rhythm.library_flams import FLAMS
from exercises.rhythm.library_limbs import LIMBS as SKILLS
from exercises.rhythm.library_pad import PAD
from exercises.rhythm.library_rolls import ROLLS
from exercises.rhythm.library_rudiment import Rudiment
from exercises.rhythm.library_swing import SWING
from exercises.rhythm.limbs import Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed import read_typed
from exercises.rhythm.typed_words import RESTS, STEPS

__all__ = ["BY_SLUG", "CORES", "LIBRARY", "RUDIMENTS", "LibraryFigure", "cores_training"]

_HANDS = {"R": Limb.RH, "L": Limb.LH}
_GRACES = {0: Ornament.NONE, 1: Ornament.FLAM, 2: Ornament.DRAG}


@dataclass(frozen=True, slots=True)
class LibraryFigure:
    """A figure with its style, what it trains, and a tempo (beats a minute) to start at.

    A rudiment has its ``number`` in the international list and its ``sticking``, and tells where
    public lists disagree about it (``is_disputed``).
    """

    slug: str
    figure: Figure
    style: str
    trains: tuple[str, ...]
    bpm: int
    kit_key: str
    kind: Literal["core", "rudiment"] = "core"
    number: int | None = None
    sticking: str = ""
    is_disputed: bool = False

    @property
    def title(self) -> str:
        """The figure's title."""
        return self.figure.title

    @property
    def kit(self) -> Kit:
        """The kit it is written for."""
        return KITS[self.kit_key]


def _rudiment(row: Rudiment) -> LibraryFigure:
    slug = row.name.lower().replace(".", "").replace(" ", "-")
    return LibraryFigure(
        slug=f"rudiment-{row.number:02}-{slug}",
        figure=_struck(row),
        style=row.family,
        trains=row.trains,
        bpm=row.bpm,
        kit_key="five_piece",
        kind="rudiment",
        number=row.number,
        sticking=row.sticking,
        is_disputed=row.is_disputed,
    )


def _struck(row: Rudiment) -> Figure:
    """The strokes of a rudiment on the snare, one for each character that is no rest."""
    meter = Meter.parse(row.meter)
    words = cycle(row.sticking.split())
    beats = row.beats.replace("|", " ").split()
    strokes = [
        _stroke(onset, character, next(words))
        for onset, character in _placed(meter, beats)
        if character not in RESTS
    ]
    bars = row.beats.count("|") + 1
    return Figure.of(meter, bars, strokes, title=row.name)


def _placed(meter: Meter, beats: list[str]) -> Iterator[tuple[Fraction, str]]:
    onset = Fraction(0)
    lengths = cycle(meter.groups)
    for beat, length in zip(beats, lengths, strict=False):
        for step, character in enumerate(beat):
            yield onset + length * Fraction(step, len(beat)), character
        onset += length


def _stroke(onset: Fraction, character: str, word: str) -> Stroke:
    loudness, ornament = STEPS[character]
    if ornament is Ornament.NONE:
        ornament = _GRACES[len(word) - 1]
    loudness = Loudness.ACCENT if character.isupper() else loudness
    return Stroke(onset, _HANDS[word[-1]], Surface.SNARE, loudness, ornament)


CORES: tuple[LibraryFigure, ...] = tuple(
    LibraryFigure(
        entry.slug, read_typed(entry.typed), entry.style, entry.trains, entry.bpm, entry.kit
    )
    for entry in (*BACKBEATS, *SWING, *SKILLS, *PAD)
)
"""Every core figure, in the order in which a page lists them: by style, the easier ones first."""

RUDIMENTS: tuple[LibraryFigure, ...] = tuple(_rudiment(row) for row in (*ROLLS, *FLAMS))
"""The forty rudiments, by their numbers."""

LIBRARY: tuple[LibraryFigure, ...] = (*CORES, *RUDIMENTS)

BY_SLUG = MappingProxyType({entry.slug: entry for entry in LIBRARY})


def cores_training(what: str) -> tuple[LibraryFigure, ...]:
    """The core figures that train something, named as in ``trains``."""
    return tuple(core for core in CORES if what in core.trains)
