"""Outlines of music glyphs that the engraver leaves out or writes as text.

Code points are those of SMuFL 1.4 (W3C Music Notation Community Group). Outlines are read from the
font data that the engraver's package carries; the triangle, which that font lacks, is our own.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files

from lxml import etree

MUSIC_FONT = "Leland"

NOTEHEAD_BLACK = "E0A4"
NOTEHEAD_TRIANGLE = "E0BE"
NOTEHEAD_SLASHED = "E0CF"
OPEN_MARK = "E5E7"
BUZZ = "E22A"

# Font units, y upwards, a staff space is 250.
_OWN = {NOTEHEAD_TRIANGLE: "M0 -125L325 -125L162 150Z"}


class NoGlyph(LookupError):
    """The font has no outline for a code point."""


@lru_cache(maxsize=64)
def outline(code: str) -> str:
    """The glyph's outline as SVG path data, y upwards, 1000 units to the em.

    :raises NoGlyph: when neither the font nor this module has it
    """
    if code in _OWN:
        return _OWN[code]
    file = files("verovio") / "data" / MUSIC_FONT / f"{code}.xml"
    try:
        root = etree.fromstring(file.read_bytes())
    except FileNotFoundError as missing:
        raise NoGlyph(f"{MUSIC_FONT} has no glyph {code}") from missing
    path = root.find(".//{*}path")
    if path is None:
        raise NoGlyph(f"{MUSIC_FONT} draws nothing for {code}")
    return path.get("d", "")


@lru_cache(maxsize=1)
def _advances() -> dict[str, float]:
    root = etree.fromstring((files("verovio") / "data" / f"{MUSIC_FONT}.xml").read_bytes())
    return {g.get("c", ""): float(g.get("h-a-x", "0")) for g in root.iter("{*}g", "g")}


def advance(code: str) -> float:
    """How far the next glyph stands to the right, in font units."""
    return _advances().get(code, 0.0)
