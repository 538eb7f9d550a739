"""The look of printed papers: black ink first, warm hairlines, one accent that greys well."""

from __future__ import annotations

from functools import cache

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm

from studio.pdf_fonts import SANS, SANS_BOLD, SERIF, SERIF_BOLD

INK = HexColor("#1c1a16")
FAINT = HexColor("#5c5548")
LINE = HexColor("#b9ad92")
ACCENT = HexColor("#8c2a1f")
MARGIN = 14 * mm
STUB = 6 * mm


@cache
def style(name: str) -> ParagraphStyle:
    """Return one of the paragraph styles."""
    base = {"textColor": INK, "fontName": SANS, "fontSize": 9, "leading": 12.2}
    own: dict[str, dict[str, object]] = {
        "text": {},
        "small": {"fontSize": 7.8, "leading": 10.4, "textColor": FAINT},
        "right": {"alignment": TA_RIGHT},
        "studio": {"fontName": SERIF_BOLD, "fontSize": 15, "leading": 19},
        "title": {"fontName": SERIF, "fontSize": 20, "leading": 25},
        "label": {"fontSize": 7.8, "leading": 10.4, "textColor": FAINT},
        "strong": {"fontName": SANS_BOLD},
        "strong_right": {"fontName": SANS_BOLD, "alignment": TA_RIGHT},
        "who": {"fontName": SERIF_BOLD, "fontSize": 10, "leading": 13},
        "total": {"fontName": SERIF_BOLD, "fontSize": 13, "leading": 17},
        "total_right": {
            "fontName": SERIF_BOLD,
            "fontSize": 13,
            "leading": 17,
            "alignment": TA_RIGHT,
        },
        "slip": {"fontName": SERIF_BOLD, "fontSize": 11, "leading": 15},
        "code_words": {"fontSize": 7.2, "leading": 9, "textColor": FAINT, "alignment": TA_RIGHT},
    }
    return ParagraphStyle(name, **{**base, **own[name]})
