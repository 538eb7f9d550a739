"""Figures as plain data: for the database, for JSON in a page, and for telling them apart.

A record is ``{"version": 1, "meter": "4/4", "bars": 1, "title": "...", "strokes": [[tick, limb,
surface, loudness, ornament], ...]}`` with the strokes in the figure's own order, so equal figures
have equal records but for their titles.
"""

from __future__ import annotations

import hashlib
import json
import unicodedata
from enum import StrEnum
from fractions import Fraction
from typing import Any, TypeVar

from exercises.rhythm.errors import BadFigure, BadMeter
from exercises.rhythm.figure import (
    MOST_BARS,
    MOST_STROKES,
    TICKS_PER_BEAT,
    Figure,
    Loudness,
    Ornament,
    Stroke,
)
from exercises.rhythm.limbs import Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.surfaces import Surface

VERSION = 1
LONGEST_TITLE = 200
_LAST_TICK = 64 * MOST_BARS * TICKS_PER_BEAT
# Control characters, lone surrogates and code points that are no characters: XML and PDF cannot
# carry them.
_UNWRITABLE = ("Cc", "Cs", "Cn")

_Choice = TypeVar("_Choice", bound=StrEnum)


def to_record(figure: Figure) -> dict[str, Any]:
    """Return the figure as data that ``json.dumps`` takes."""
    return {
        "version": VERSION,
        "meter": str(figure.meter),
        "bars": figure.bars,
        "title": figure.title,
        "strokes": [
            [s.tick, s.limb.value, s.surface.value, s.loudness.value, s.ornament.value]
            for s in figure.strokes
        ],
    }


def from_record(record: object) -> Figure:
    """Build the figure that a record describes; keys it does not know are passed over.

    Records come back from browsers and old databases, so nothing about them is taken on trust.

    :raises BadFigure: whatever is wrong with the record
    """
    if not isinstance(record, dict):
        raise BadFigure("a figure's record is a JSON object with meter, bars and strokes")
    if not _is_whole(record.get("version"), VERSION, VERSION):
        raise BadFigure(f"this is not a figure's record of version {VERSION}")
    meter = record.get("meter")
    if not isinstance(meter, str):
        raise BadFigure("a figure's meter is text such as 4/4")
    try:
        parsed = Meter.parse(meter)
    except BadMeter as bad:
        raise BadFigure(str(bad)) from bad
    bars = record.get("bars")
    if not isinstance(bars, int) or not _is_whole(bars, 1, MOST_BARS):
        raise BadFigure(f"a figure has 1 to {MOST_BARS} bars")
    strokes = record.get("strokes")
    if not isinstance(strokes, list):
        raise BadFigure("a figure's strokes are a list")
    if len(strokes) > MOST_STROKES:
        raise BadFigure(f"a figure has at most {MOST_STROKES} strokes")
    title = checked_title(record.get("title", ""))
    return Figure.of(
        parsed, bars, [_stroke(row, number) for number, row in enumerate(strokes, 1)], title=title
    )


def content_hash(figure: Figure) -> str:
    """Return the SHA-256, in hex, of the figure without its title.

    Equal figures give equal hashes on every machine and in every release, so it may be stored.
    """
    record = to_record(figure)
    del record["title"]
    text = json.dumps(record, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def default_prefix(figure: Figure) -> str:
    """Return the prefix of stroke ids when the page does not give one: a letter and eight digits.

    It starts with a letter because XML names may not start with a digit.
    """
    return "f" + content_hash(figure)[:8]


def stroke_id(prefix: str, stroke: Stroke) -> str:
    """Return the name that one stroke has in MusicXML, in the engraving and in the player."""
    return f"{prefix}-{stroke.limb.value}-{stroke.tick}"


def checked_title(title: object) -> str:
    """Return the title if every place that shows it can show it.

    :raises BadFigure: when it is not text, too long, or holds characters that nothing can print
    """
    if not isinstance(title, str):
        raise BadFigure("a figure's title is text")
    if len(title) > LONGEST_TITLE:
        raise BadFigure(f"a title has at most {LONGEST_TITLE} characters")
    if any(unicodedata.category(letter) in _UNWRITABLE for letter in title):
        raise BadFigure("a title is one line of ordinary characters")
    return title


def _stroke(row: object, number: int) -> Stroke:
    if not isinstance(row, list | tuple) or len(row) != 5:
        raise BadFigure(
            f"stroke {number} needs five parts: tick, limb, surface, loudness and ornament"
        )
    tick, limb, surface, loudness, ornament = row
    if not _is_whole(tick, 0, _LAST_TICK):
        raise BadFigure(f"stroke {number} is at no tick that a figure can have")
    return Stroke(
        Fraction(tick, TICKS_PER_BEAT),
        _choice(Limb, limb, number),
        _choice(Surface, surface, number),
        _choice(Loudness, loudness, number),
        _choice(Ornament, ornament, number),
    )


def _choice(kind: type[_Choice], value: object, number: int) -> _Choice:
    if isinstance(value, str):
        try:
            return kind(value)
        except ValueError:
            pass
    raise BadFigure(f"stroke {number} has a {kind.__name__.lower()} that is not known here")


def _is_whole(value: object, low: int, high: int) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and low <= value <= high
