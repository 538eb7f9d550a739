"""Figures that the notation tests engrave: one for each thing that is hard to write."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from exercises.rhythm.figure import Figure, Loudness, Ornament, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Surface

RH, LH, RF, LF = Limb.RH, Limb.LH, Limb.RF, Limb.LF
GHOST, ACCENT = Loudness.GHOST, Loudness.ACCENT


def strokes(
    limb: Limb,
    surface: Surface,
    onsets: Iterable[str],
    loudness: Loudness = Loudness.NORMAL,
    ornament: Ornament = Ornament.NONE,
) -> list[Stroke]:
    """Strokes of one limb; onsets are written as fractions of beats from 0."""
    return [Stroke(Fraction(o), limb, surface, loudness, ornament) for o in onsets]


def steps(count: int, step: str, start: str = "0") -> list[str]:
    """``count`` onsets, ``step`` beats apart."""
    return [str(Fraction(start) + Fraction(step) * i) for i in range(count)]


def repeated(figure: Figure, bars: int) -> Figure:
    """A one-bar figure written out several times."""
    length = figure.meter.bar_beats
    return Figure.of(
        figure.meter,
        bars,
        [
            Stroke(s.onset + length * bar, s.limb, s.surface, s.loudness, s.ornament)
            for bar in range(bars)
            for s in figure.strokes
        ],
        title=figure.title,
    )


ROCK = Figure.of(
    "4/4",
    1,
    strokes(RH, Surface.HI_HAT, steps(8, "1/2"))
    + strokes(LH, Surface.SNARE, ["1", "3"], ACCENT)
    + strokes(RF, Surface.BASS_DRUM, ["0", "2", "5/2"]),
    title="Plain eighths",
)
FUNK = Figure.of(
    "4/4",
    1,
    strokes(RH, Surface.HI_HAT, steps(8, "1/2"))
    + strokes(LH, Surface.SNARE, ["1", "3"], ACCENT)
    + strokes(LH, Surface.SNARE, ["3/4", "7/4", "9/4", "15/4"], GHOST)
    + strokes(RF, Surface.BASS_DRUM, ["0", "3/4", "5/2", "13/4"]),
    title="Harbour walk",
)
SHUFFLE = Figure.of(
    "4/4",
    1,
    strokes(RH, Surface.RIDE, ["0", "2/3", "1", "5/3", "2", "8/3", "3", "11/3"])
    + strokes(LH, Surface.SNARE, ["1", "3"], ACCENT)
    + strokes(LH, Surface.SNARE, ["1/3", "7/3"], GHOST)
    + strokes(RF, Surface.BASS_DRUM, ["0", "5/3", "2"])
    + strokes(LF, Surface.HI_HAT_FOOT, ["1", "3"]),
    title="Shuffle",
)
SIX_EIGHT = Figure.of(
    "6/8",
    1,
    strokes(RH, Surface.HI_HAT, steps(6, "1/3"))
    + strokes(LH, Surface.SNARE, ["1"], ACCENT)
    + strokes(LH, Surface.SNARE, ["5/6"], GHOST)
    + strokes(RF, Surface.BASS_DRUM, ["0", "2/3", "5/3"]),
    title="Six eight",
)
SEVEN_EIGHT = Figure.of(
    "7/8",
    1,
    strokes(RH, Surface.RIDE_BELL, steps(7, "1/2"))
    + strokes(LH, Surface.CROSS_STICK, ["1", "3"])
    + strokes(RF, Surface.BASS_DRUM, ["0", "3/2", "5/2"])
    + strokes(LF, Surface.HI_HAT_FOOT, ["2"]),
    title="Seven eight",
)
FIVE_FOUR = Figure.of(
    "5/4",
    1,
    strokes(RH, Surface.RIDE, ["0", "1", "5/3", "2", "3", "11/3", "4"])
    + strokes(LH, Surface.SNARE, ["7/2"])
    + strokes(LH, Surface.CROSS_STICK, ["1"])
    + strokes(RF, Surface.BASS_DRUM, ["0", "3"])
    + strokes(LF, Surface.HI_HAT_FOOT, ["1", "2", "4"]),
    title="Five four",
)
FLAMS = Figure.of(
    "4/4",
    1,
    strokes(RH, Surface.SNARE, ["0", "2"], ACCENT, Ornament.FLAM)
    + strokes(RH, Surface.SNARE, ["1/2", "3/2", "5/2"])
    + strokes(LH, Surface.SNARE, ["1", "3"], Loudness.NORMAL, Ornament.DRAG)
    + strokes(LH, Surface.SNARE, ["7/4", "15/4"])
    + strokes(RF, Surface.BASS_DRUM, steps(4, "1")),
    title="Flams and drags",
)
SEXTUPLETS = Figure.of(
    "4/4",
    1,
    strokes(RH, Surface.SNARE, steps(12, "1/3"))
    + strokes(LH, Surface.HIGH_TOM, steps(12, "1/3", "1/6"))
    + strokes(RF, Surface.BASS_DRUM, steps(4, "1"))
    + strokes(LF, Surface.HI_HAT_FOOT, steps(8, "1/2")),
    title="Sextuplets",
)
THIRTY_SECONDS = Figure.of(
    "4/4",
    1,
    strokes(RH, Surface.HI_HAT, ["0", "1/4", "1/2", "5/8", "3/4", *steps(8, "1/8", "2"), "3"])
    + strokes(LH, Surface.SNARE, ["1", "29/8"])
    + strokes(RF, Surface.BASS_DRUM, ["0", "1/8", "23/8"]),
    title="Thirty-seconds",
)
OPEN_HATS = Figure.of(
    "4/4",
    1,
    strokes(RH, Surface.HI_HAT, ["0", "1", "3/2", "2", "3"])
    + strokes(RH, Surface.HI_HAT_OPEN, ["1/2", "7/2"])
    + strokes(RH, Surface.HI_HAT_HALF_OPEN, ["5/2"])
    + strokes(LH, Surface.SNARE, ["1", "3"], ACCENT)
    + strokes(RF, Surface.BASS_DRUM, ["0", "2"]),
    title="Open and shut",
)
EVERYTHING_STRUCK = Figure.of(
    "4/4",
    2,
    strokes(RH, Surface.RIDE, steps(4, "1"))
    + strokes(LH, Surface.RIM_SHOT, ["1", "3"], ACCENT)
    + strokes(LH, Surface.COWBELL, ["1/2"])
    + strokes(RH, Surface.CRASH, ["4"])
    + strokes(RH, Surface.CHINA, ["5"])
    + strokes(RH, Surface.SPLASH, ["6"])
    + strokes(RH, Surface.FLOOR_TOM, ["7"])
    + strokes(LH, Surface.MID_TOM, ["13/2"])
    + strokes(RF, Surface.BASS_DRUM, ["0", "2", "4"])
    + strokes(LF, Surface.HI_HAT_SPLASH, ["3/2", "7/2"])
    + strokes(LF, Surface.HI_HAT_FOOT, ["1"]),
    title="Round the kit",
)
FEET_ONLY = Figure.of(
    "4/4",
    1,
    strokes(RF, Surface.BASS_DRUM, ["0", "3/4", "2", "13/4"])
    + strokes(LF, Surface.HI_HAT_FOOT, ["1", "3"]),
    title="Feet",
)
CROSS_RHYTHM = Figure.of(
    "3/4",
    1,
    strokes(RH, Surface.RIDE, steps(9, "1/3"))
    + strokes(LH, Surface.SNARE, steps(4, "3/4"))
    + strokes(RF, Surface.BASS_DRUM, steps(3, "1")),
    title="Four over three",
)
EIGHT_BARS = repeated(FUNK, 8)

PIECES = (
    *(ROCK, FUNK, SHUFFLE, SIX_EIGHT, SEVEN_EIGHT, FIVE_FOUR, FLAMS, SEXTUPLETS),
    *(THIRTY_SECONDS, OPEN_HATS, EVERYTHING_STRUCK, FEET_ONLY, CROSS_RHYTHM, EIGHT_BARS),
)
