"""The library a new studio starts with: core figures to open up."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from exercises.rhythm.figure import Figure
from exercises.rhythm.kit import KITS, Kit
from exercises.rhythm.library_cores import ENTRIES
from exercises.rhythm.typed import read_typed

__all__ = ["BY_SLUG", "CORES", "LibraryFigure", "cores_training"]


@dataclass(frozen=True, slots=True)
class LibraryFigure:
    """A core figure with its style, what it trains, and a tempo (beats a minute) to start at."""

    slug: str
    figure: Figure
    style: str
    trains: tuple[str, ...]
    bpm: int
    kit_key: str

    @property
    def title(self) -> str:
        """The figure's title."""
        return self.figure.title

    @property
    def kit(self) -> Kit:
        """The kit it is written for."""
        return KITS[self.kit_key]


CORES: tuple[LibraryFigure, ...] = tuple(
    LibraryFigure(
        entry.slug, read_typed(entry.typed), entry.style, entry.trains, entry.bpm, entry.kit
    )
    for entry in ENTRIES
)
"""Every core figure, in the order in which a page lists them: by style, the easier ones first."""

BY_SLUG = MappingProxyType({core.slug: core for core in CORES})


def cores_training(what: str) -> tuple[LibraryFigure, ...]:
    """The core figures that train something, named as in ``trains``."""
    return tuple(core for core in CORES if what in core.trains)
