"""The printed sheet's typefaces: TrueType files that an installed package carries.

matplotlib (which music21 brings) ships STIX General, a Times-like serif with the very widths that
the engraver lays text out with, and DejaVu, which has nearly every European letter. Nothing is
copied: the files are embedded, cut down to the letters used, when a sheet is printed.
"""

from __future__ import annotations

from functools import lru_cache
from html import escape
from importlib.util import find_spec
from pathlib import Path
from threading import Lock

from reportlab import rl_config
from reportlab.lib.fonts import addMapping
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

SERIF = "SheetSerif"
SERIF_BOLD = "SheetSerif-Bold"
SERIF_ITALIC = "SheetSerif-Italic"
SANS = "SheetSans"
SANS_BOLD = "SheetSans-Bold"
WIDE_SERIF = "SheetWideSerif"
"""The serif that steps in, letter by letter, for what :data:`SERIF` lacks."""
WIDE_SERIF_BOLD = "SheetWideSerif-Bold"
WIDE_SERIF_ITALIC = "SheetWideSerif-Italic"

_FILES = {
    SERIF: "STIXGeneral.ttf",
    SERIF_BOLD: "STIXGeneralBol.ttf",
    SERIF_ITALIC: "STIXGeneralItalic.ttf",
    SANS: "DejaVuSans.ttf",
    SANS_BOLD: "DejaVuSans-Bold.ttf",
    WIDE_SERIF: "DejaVuSerif.ttf",
    WIDE_SERIF_BOLD: "DejaVuSerif-Bold.ttf",
    WIDE_SERIF_ITALIC: "DejaVuSerif-Italic.ttf",
}
_WIDER = {SERIF: WIDE_SERIF, SERIF_BOLD: WIDE_SERIF_BOLD, SERIF_ITALIC: WIDE_SERIF_ITALIC}
_REPLACEMENT = "?"
_lock = Lock()
# Streams as they are, not spelt out in letters: a quarter smaller, and quicker to write.
rl_config.useA85 = 0


class FontsMissing(RuntimeError):
    """The package that carries the typefaces is not installed."""


def register_fonts() -> None:
    """Make the typefaces known to reportlab; cheap after the first call, safe in any thread.

    :raises FontsMissing: when matplotlib's font files are not there
    """
    with _lock:
        _register_once()


@lru_cache(maxsize=1)
def _register_once() -> None:
    folder = _folder()
    for name, file in _FILES.items():
        pdfmetrics.registerFont(TTFont(name, str(folder / file)))
    for bold, italic, name in (
        (0, 0, SERIF),
        (1, 0, SERIF_BOLD),
        (0, 1, SERIF_ITALIC),
        (1, 1, SERIF_BOLD),
    ):
        addMapping(SERIF, bold, italic, name)
    for bold in (0, 1):
        for italic in (0, 1):
            addMapping(SANS, bold, italic, SANS_BOLD if bold else SANS)


def _folder() -> Path:
    # Found without importing matplotlib, which costs a third of a second.
    spec = find_spec("matplotlib")
    if spec is None or not spec.submodule_search_locations:
        raise FontsMissing("the printed sheet needs the fonts that the package matplotlib carries")
    return Path(spec.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf"


@lru_cache(maxsize=16)
def _letters(font: str) -> frozenset[int]:
    register_fonts()
    return frozenset(pdfmetrics.getFont(font).face.charToGlyph)


def runs(text: str, font: str) -> list[tuple[str, str]]:
    """Cut a text into stretches of (font, text), each printable in its font.

    A letter that no typeface here has becomes a question mark.
    """
    stretches: list[tuple[str, str]] = []
    for character in text:
        chosen, shown = font, character
        if ord(character) not in _letters(font):
            wider = next((f for f in (_WIDER.get(font), SANS) if f and _has(f, character)), None)
            chosen, shown = (wider, character) if wider else (font, _REPLACEMENT)
        if stretches and stretches[-1][0] == chosen:
            stretches[-1] = (chosen, stretches[-1][1] + shown)
        else:
            stretches.append((chosen, shown))
    return stretches


def _has(font: str, character: str) -> bool:
    return ord(character) in _letters(font)


def markup(text: str, font: str = SERIF) -> str:
    """Escape a person's text for a paragraph set in ``font``, with stand-in fonts marked."""
    return "".join(
        escape(part) if name == font else f'<font name="{name}">{escape(part)}</font>'
        for name, part in runs(text, font)
    )
