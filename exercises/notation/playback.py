"""What the browser's player needs to know about a figure, as JSON-able data."""

from __future__ import annotations

from typing import Any

from exercises.rhythm.figure import TICKS_PER_BEAT, Figure
from exercises.rhythm.record import default_prefix, stroke_id


def playback(figure: Figure, *, bpm: float, prefix: str | None = None) -> dict[str, Any]:
    """Return the figure as the player reads it.

    Ticks are figure ticks, ``ticks_per_beat`` to the meter's beat, which is what ``bpm`` counts.
    Every stroke carries the id of its notehead in the engraving with the same ``prefix``, so that
    the player can light it. ``group_ticks`` are the lengths of one bar's beat groups, for the click
    and the lanes.
    """
    prefix = prefix or default_prefix(figure)
    return {
        "title": figure.title,
        "meter": str(figure.meter),
        "bars": figure.bars,
        "bpm": bpm,
        "ticks_per_beat": TICKS_PER_BEAT,
        "length_ticks": int(figure.length_beats * TICKS_PER_BEAT),
        "group_ticks": [int(group * TICKS_PER_BEAT) for group in figure.meter.groups],
        "strokes": [
            {
                "id": stroke_id(prefix, stroke),
                "tick": stroke.tick,
                "limb": stroke.limb.value,
                "surface": stroke.surface.value,
                "loudness": stroke.loudness.value,
                "ornament": stroke.ornament.value,
            }
            for stroke in figure.strokes
        ],
    }
