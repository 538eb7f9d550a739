"""Typefaces for printed papers: embedded, and wide enough for any European script.

DejaVu comes with matplotlib, an installed dependency; its licence allows embedding. The faces are
registered once in a process, under names of our own.
"""

from __future__ import annotations

import threading
from importlib.resources import files

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

SANS = "StudioSans"
SANS_BOLD = "StudioSans-Bold"
SERIF = "StudioSerif"
SERIF_BOLD = "StudioSerif-Bold"
MONO = "StudioMono"

_FILES = {
    SANS: "DejaVuSans.ttf",
    SANS_BOLD: "DejaVuSans-Bold.ttf",
    SERIF: "DejaVuSerif.ttf",
    SERIF_BOLD: "DejaVuSerif-Bold.ttf",
    MONO: "DejaVuSansMono.ttf",
}
_lock = threading.Lock()
_is_done = False


def register_fonts() -> None:
    """Make the typefaces known to reportlab; calling it again costs nothing."""
    global _is_done
    if _is_done:
        return
    with _lock:
        if _is_done:
            return
        # Found without importing matplotlib, which takes most of a second.
        folder = files("matplotlib").joinpath("mpl-data", "fonts", "ttf")
        for name, file in _FILES.items():
            pdfmetrics.registerFont(TTFont(name, str(folder.joinpath(file))))
        pdfmetrics.registerFontFamily(SANS, SANS, SANS_BOLD, SANS, SANS_BOLD)
        pdfmetrics.registerFontFamily(SERIF, SERIF, SERIF_BOLD, SERIF, SERIF_BOLD)
        _is_done = True
