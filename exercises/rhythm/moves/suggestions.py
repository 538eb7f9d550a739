"""Patterns that teachers reach for first, by meter. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil

from exercises.rhythm.meter import Meter
from exercises.rhythm.moves.values import NoteValue, Pattern


@dataclass(frozen=True, slots=True)
class Suggestions:
    """What to try in one meter, straight or in triplets."""

    bass: tuple[Pattern, ...]
    pedal: tuple[Pattern, ...]
    accents: tuple[Pattern, ...]
    time: tuple[Pattern, ...]
    backbeat: tuple[Pattern, ...]
    opened: tuple[Pattern, ...]
    values: tuple[NoteValue, ...]
    parts: int


_STRAIGHT = (NoteValue.HALF, NoteValue.QUARTER, NoteValue.EIGHTH, NoteValue.SIXTEENTH)
_TRIPLET = (NoteValue.HALF, NoteValue.QUARTER, NoteValue.EIGHTH_TRIPLET)
_COMPOUND = (NoteValue.DOTTED_QUARTER, NoteValue.QUARTER, NoteValue.EIGHTH, NoteValue.SIXTEENTH)

_BASS = {
    "2/4": "1x- 1xx 2x--x 4x--x 4x--xx--x",
    "2/2": "1x- 1xx 2x--x 4x--xx--x",
    "3/4": "1x-- 1xxx 2x--x-- 2x---x- 2x--x-x",
    "4/4": (
        "1x--- 1x-x- 1xxxx 2x---xx-- 2x--xx--- 2x--x--x- 2x-x--x-- 2x--xx--x "
        "4x------x--x----- 4x--x----x-x----- 4x--xx--xx--xx--x"
    ),
    "5/4": "1x---- 1x--x- 2x--x--x--- 2x----xx---",
    "6/8": "3x----- 3x--x-- 3x----x 3x-xx-- 3x--x-x",
    "9/8": "3x-------- 3x--x--x-- 3x-----x--",
    "12/8": "3x----------- 3x-----x----- 3x--x--x--x-- 3x----xx----- 3x-----x-x---",
    "5/8": "2x---- 2x--x- 2x-x--",
    "7/8": "2x------ 2x---x-- 2x--x--x 2x--x-x-",
}
_BASS_TRIPLET = "1x--- 1x-x- 1xxxx 3x----xx----- 3x-----x-x--- 3x-xx-xx-xx-x"
_PEDAL = {
    "2/4": "1-x 1xx 2-x-x",
    "2/2": "1-x 1xx 2-x-x",
    "3/4": "1-xx 1--x 1xxx 2-x-x-x",
    "4/4": "1-x-x 1x-x- 1xxxx 2-x-x-x-x 2xxxxxxxx",
    "5/4": "1-x-x- 1xxxxx 2-x-x-x-x-x",
    "6/8": "1-x 1xx 3--x--x",
    "9/8": "1-xx 1xxx 3--x--x--x",
    "12/8": "1-x-x 1xxxx 3--x--x--x--x",
    "5/8": "2x-x-- 2---x- 2-x-x-",
    "7/8": "2x-x-x-- 2----x-- 2-x-x-x-",
}
_PEDAL_TRIPLET = "1-x-x 1xxxx 3--x--x--x--x"
_BACKBEAT = {
    "2/4": "1-x",
    "2/2": "1-x",
    "3/4": "1-xx 1--x",
    "4/4": "1-x-x 1--x-",
    "5/4": "1-x--x 1---x-",
    "6/8": "1-x",
    "9/8": "1-xx 1--x",
    "12/8": "1-x-x",
    "5/8": "2---x-",
    "7/8": "2----x-- 2--x---x",
}
_ACCENTS_STRAIGHT = "1x 2-x 4-x-- 4---x 4x-- 2x--"
_ACCENTS_TRIPLET = "1x 3--x 3-x- 3x-"
_TIME_STRAIGHT = "4x-xx 4xxx- 2xX"
_TIME_TRIPLET = "3x--x-x 3x-x 3x--x-xx-xx-x"
_OPENED = {
    "2/4": "2---x 2-x-x",
    "2/2": "4-------x 4---x---x",
    "3/4": "2-----x 2-x-x-x",
    "4/4": "2-------x 2---x---x 2-x-x-x-x",
    "5/4": "2---------x 2-----x---x",
    "6/8": "3-----x 3--x--x",
    "9/8": "3--------x 3--x--x--x",
    "12/8": "3-----------x 3-----x-----x",
    "5/8": "2----x",
    "7/8": "2------x",
}
_OPENED_TRIPLET = "3-----------x 3-----x-----x"


@lru_cache(maxsize=256)
def suggestions(meter: Meter, *, triplet: bool) -> Suggestions:
    """The patterns for a meter; ``triplet`` when the figure cuts its beats in three.

    A meter that is not listed gets its first beat, every beat, and the beats after the first.
    """
    by_three = meter.is_compound
    triplet = triplet and not by_three
    key = str(meter)
    quarter_bars = triplet and key == "4/4"
    return Suggestions(
        bass=_read(_BASS_TRIPLET if quarter_bars else _BASS.get(key)) or _plain(meter),
        pedal=_read(_PEDAL_TRIPLET if quarter_bars else _PEDAL.get(key)) or _plain(meter),
        accents=_read(_ACCENTS_TRIPLET if by_three or triplet else _ACCENTS_STRAIGHT),
        time=_read(_TIME_TRIPLET if by_three or triplet else _TIME_STRAIGHT),
        backbeat=_read(_BACKBEAT.get(key)) or _plain(meter)[-1:],
        opened=_read(_OPENED_TRIPLET if quarter_bars else _OPENED.get(key)),
        values=_COMPOUND if by_three else _TRIPLET if triplet else _STRAIGHT,
        parts=3 if by_three or triplet else 4,
    )


def _read(codes: str | None) -> tuple[Pattern, ...]:
    return tuple(Pattern.parse(code) for code in codes.split()) if codes else ()


def _plain(meter: Meter) -> tuple[Pattern, ...]:
    beats = ceil(meter.bar_beats)
    first = Pattern(1, "x" + "-" * (beats - 1))
    rest = Pattern(1, "-" + "x" * (beats - 1)) if beats > 1 else first
    return (first, Pattern(1, "x" * beats), rest)
