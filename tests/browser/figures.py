"""Figures for the player's tests, with the exact times that the player must keep."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from exercises.rhythm.figure import TICKS_PER_BEAT, Figure, Loudness, Ornament, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Surface

GRACE_LEADS = {
    Ornament.NONE: (),
    Ornament.FLAM: (Fraction(28, 1000),),
    Ornament.DRAG: (Fraction(70, 1000), Fraction(35, 1000)),
}


def run(
    limb: Limb, surface: Surface, beats: Fraction, step: Fraction, *, start: Fraction = Fraction(0)
) -> list[Stroke]:
    """Even strokes from ``start`` to the end of ``beats``."""
    count = int((beats - start) / step)
    return [Stroke(start + step * i, limb, surface) for i in range(count)]


def mixed(meter: str, bars: int = 1) -> Figure:
    """All four limbs: eighths, a sextuplet on the first beat, a flam, a drag, a ghost."""
    empty = Figure.of(meter, bars, [])
    length = empty.length_beats
    strokes = run(Limb.RH, Surface.RIDE, length, Fraction(1, 2), start=Fraction(1))
    strokes += [Stroke(Fraction(i, 6), Limb.RH, Surface.HIGH_TOM) for i in range(6)]
    strokes += [
        Stroke(Fraction(1), Limb.LH, Surface.SNARE, Loudness.ACCENT, Ornament.FLAM),
        Stroke(Fraction(5, 4), Limb.LH, Surface.SNARE, Loudness.GHOST),
        Stroke(Fraction(5, 3), Limb.LH, Surface.SNARE, Loudness.SOFT, Ornament.DRAG),
        Stroke(Fraction(0), Limb.RF, Surface.BASS_DRUM),
        Stroke(Fraction(7, 4), Limb.RF, Surface.BASS_DRUM),
        Stroke(Fraction(13, 8), Limb.LF, Surface.HI_HAT_FOOT),
    ]
    return Figure.of(meter, bars, strokes, title=f"Mixed in {meter}")


def playback_of(figure: Figure, bpm: float, prefix: str = "f") -> dict[str, Any]:
    """The playback JSON of the contract, written out here so that the tests stand alone."""
    ticks = [int(group * TICKS_PER_BEAT) for group in figure.meter.groups]
    return {
        "title": figure.title,
        "meter": str(figure.meter),
        "bars": figure.bars,
        "bpm": bpm,
        "ticks_per_beat": TICKS_PER_BEAT,
        "length_ticks": int(figure.length_beats * TICKS_PER_BEAT),
        "group_ticks": ticks,
        "strokes": [
            {
                "id": f"{prefix}-{stroke.limb}-{stroke.tick}",
                "tick": stroke.tick,
                "limb": str(stroke.limb),
                "surface": str(stroke.surface),
                "loudness": str(stroke.loudness),
                "ornament": str(stroke.ornament),
            }
            for stroke in figure.strokes
        ],
    }


def stroke_times(
    figure: Figure, bpm: float, *, rounds: int, limbs: set[Limb], lead_in: Fraction
) -> list[Fraction]:
    """When every stroke and grace stroke of these limbs starts, exactly, in seconds."""
    beat = Fraction(60) / Fraction(str(bpm))
    times = []
    for turn in range(rounds):
        for stroke in figure.strokes:
            if stroke.limb not in limbs:
                continue
            due = lead_in + (figure.length_beats * turn + stroke.onset) * beat
            times.append(due)
            times += [due - lead for lead in GRACE_LEADS[stroke.ornament]]
    return sorted(times)
