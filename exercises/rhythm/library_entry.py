"""How a core figure of the library is written down.

The figures are composed for this library from the common stock of each style; none is taken from a
book or a song. Each is in the typed form (see :mod:`exercises.rhythm.typed`).
"""

from __future__ import annotations

from typing import NamedTuple


class Entry(NamedTuple):
    """One core figure as it is written down; ``kit`` is a key of ``KITS``."""

    slug: str
    style: str
    trains: tuple[str, ...]
    bpm: int
    typed: str
    kit: str = "five_piece"
