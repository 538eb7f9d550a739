"""Hypothesis strategies for meters, strokes and figures, for every test that wants them.

``figures()`` makes any figure the engine can hold, playable or not; ``sensible_figures()`` makes
figures whose limbs strike what those limbs can reach, on the grids that teachers write.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from hypothesis import strategies as st

from exercises.rhythm.figure import TICKS_PER_BEAT, Figure, Loudness, Ornament, Stroke
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.surfaces import Surface

COMMON_METERS = tuple(
    Meter.parse(text)
    for text in ("4/4", "3/4", "2/4", "5/4", "6/8", "7/8", "9/8", "12/8", "5/8", "2/2")
)
GRIDS = (1, 2, 3, 4, 6, 8)

HAND_SURFACES = (
    Surface.SNARE,
    Surface.HI_HAT,
    Surface.RIDE,
    Surface.HIGH_TOM,
    Surface.MID_TOM,
    Surface.FLOOR_TOM,
    Surface.CRASH,
    Surface.CROSS_STICK,
    Surface.HI_HAT_OPEN,
    Surface.RIDE_BELL,
)
SENSIBLE_SURFACES: dict[Limb, tuple[Surface, ...]] = {
    Limb.RH: HAND_SURFACES,
    Limb.LH: HAND_SURFACES,
    Limb.RF: (Surface.BASS_DRUM,),
    Limb.LF: (Surface.HI_HAT_FOOT, Surface.HI_HAT_SPLASH),
}


def meters() -> st.SearchStrategy[Meter]:
    """Meters that drummers are asked to count."""
    return st.sampled_from(COMMON_METERS)


def any_meters() -> st.SearchStrategy[Meter]:
    """Every meter the engine accepts."""
    return st.builds(Meter, st.integers(1, 32), st.sampled_from((2, 4, 8, 16)))


def tempos() -> st.SearchStrategy[int]:
    """Beats per minute between a crawl and far too fast."""
    return st.integers(20, 400)


@st.composite
def onsets(draw: st.DrawFn, meter: Meter, bars: int) -> Fraction:
    """One onset inside the bars, on a tick."""
    last = int(meter.bar_beats * bars * TICKS_PER_BEAT) - 1
    return Fraction(draw(st.integers(0, last)), TICKS_PER_BEAT)


def grid_onsets(meter: Meter, bars: int, grid: int) -> list[Fraction]:
    """Every onset of an even grid, ``grid`` steps to the beat, inside the bars."""
    length = meter.bar_beats * bars
    return [Fraction(step, grid) for step in range(-(-length * grid // 1)) if step < length * grid]


@st.composite
def lines(
    draw: st.DrawFn,
    limb: Limb,
    meter: Meter,
    bars: int,
    *,
    surfaces: Sequence[Surface] = tuple(Surface),
    grids: Sequence[int] = GRIDS,
    max_strokes: int = 24,
    ornaments: bool = True,
) -> tuple[Stroke, ...]:
    """One limb's strokes on one grid, in any order; often none, often every step."""
    places = grid_onsets(meter, bars, draw(st.sampled_from(grids)))
    how_many = draw(st.sampled_from(("none", "some", "some", "all")))
    if how_many == "none":
        return ()
    chosen = (
        places[:max_strokes]
        if how_many == "all"
        else draw(st.lists(st.sampled_from(places), unique=True, max_size=max_strokes))
    )
    palette = draw(st.lists(st.sampled_from(surfaces), min_size=1, max_size=3))
    ways = list(Ornament) if ornaments and limb.is_hand else [Ornament.NONE]
    return tuple(
        Stroke(
            onset,
            limb,
            draw(st.sampled_from(palette)),
            draw(st.sampled_from(list(Loudness))),
            draw(st.sampled_from(ways)),
        )
        for onset in chosen
    )


@st.composite
def figures(
    draw: st.DrawFn,
    *,
    meters: st.SearchStrategy[Meter] = meters(),  # noqa: B008 - strategies are immutable
    max_bars: int = 2,
    max_strokes: int = 24,
) -> Figure:
    """Any figure the engine can hold: any surface in any limb, any grids side by side."""
    meter = draw(meters)
    bars = draw(st.integers(1, max_bars))
    strokes = [
        stroke
        for limb in LIMBS
        for stroke in draw(lines(limb, meter, bars, max_strokes=max_strokes))
    ]
    return Figure.of(meter, bars, strokes, title=draw(st.sampled_from(("", "Étude no. 1"))))


@st.composite
def sensible_figures(
    draw: st.DrawFn,
    *,
    meters: st.SearchStrategy[Meter] = meters(),  # noqa: B008 - strategies are immutable
    max_bars: int = 2,
    grids: Sequence[int] = (1, 2, 3, 4, 6),
    max_strokes: int = 24,
) -> Figure:
    """A figure whose limbs strike what they can reach on the five-piece kit; it may be refused."""
    meter = draw(meters)
    bars = draw(st.integers(1, max_bars))
    strokes = [
        stroke
        for limb in LIMBS
        for stroke in draw(
            lines(
                limb,
                meter,
                bars,
                surfaces=SENSIBLE_SURFACES[limb],
                grids=grids,
                max_strokes=max_strokes,
            )
        )
    ]
    return Figure.of(meter, bars, strokes)
