"""What a score shows beside its notes."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ScoreOptions:
    """What is written beside the notes.

    ``bpm`` counts the meter's beat and prints a tempo. ``prefix`` starts every id (see
    :func:`exercises.rhythm.record.stroke_id`). ``for_drawing`` writes the half-open mark as an open
    one, because the engraver knows no half-open sign and the drawing adds its stroke afterwards.
    ``cuts_bars`` writes each bar on two lines (see :mod:`exercises.notation.bar_cuts`).
    """

    bpm: float | None = None
    sticking: bool = False
    counting: bool = False
    prefix: str | None = None
    bars_per_line: int | None = None
    left_handed_view: bool = False
    is_repeated: bool = True
    for_drawing: bool = False
    cuts_bars: bool = False
