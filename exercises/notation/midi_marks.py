"""The text that our own MIDI files carry, so that they read back exactly.

A MIDI note knows its key and velocity, but no limb, and General MIDI has one key for the open and
the half-open hi-hat. So each note is preceded, at the same tick, by a text event that says what it
is: ``RH hi_hat_half_open accent none``. Text events are part of the Standard MIDI File format
(meta type 01) and every other program passes over them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from exercises.rhythm.figure import Loudness, Ornament, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Surface

LEAD = "lead"
COUNT = "count"

# General MIDI leaves loudness free; these are our steps, even to the ear, out of 127.
VELOCITIES = {Loudness.GHOST: 30, Loudness.SOFT: 52, Loudness.NORMAL: 85, Loudness.ACCENT: 118}
LEAD_VELOCITY = 28

_HEADER = re.compile(r"drum figure: (\d) bars?, count-in (\d) bars?")
_STROKE = re.compile(r"([RL][HF]) (\w{1,20}) (\w{1,10}) (\w{1,10})")


@dataclass(frozen=True, slots=True)
class Header:
    """What the file says of itself: the figure's bars, and bars of count-in before it."""

    bars: int
    count_in_bars: int


@dataclass(frozen=True, slots=True)
class StrokeMark:
    """What the text before a note says the note is."""

    limb: Limb
    surface: Surface
    loudness: Loudness
    ornament: Ornament


def write_header(header: Header) -> str:
    """Return the text that opens our files."""
    bars, count_in = header.bars, header.count_in_bars
    return (
        f"drum figure: {bars} bar{'' if bars == 1 else 's'}, "
        f"count-in {count_in} bar{'' if count_in == 1 else 's'}"
    )


def read_header(text: str) -> Header | None:
    """Return the header in a text event, or None when it is some other text."""
    match = _HEADER.fullmatch(text)
    return Header(int(match.group(1)), int(match.group(2))) if match else None


def write_mark(stroke: Stroke) -> str:
    """Return the text that stands before a stroke's note."""
    return " ".join((stroke.limb, stroke.surface, stroke.loudness, stroke.ornament))


def read_mark(text: str) -> StrokeMark | None:
    """Return what a text event says of the next note, or None when it is some other text."""
    match = _STROKE.fullmatch(text)
    if match is None:
        return None
    limb, surface, loudness, ornament = match.groups()
    try:
        return StrokeMark(Limb(limb), Surface(surface), Loudness(loudness), Ornament(ornament))
    except ValueError:
        return None
