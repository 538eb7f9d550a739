"""Core figures from numbers: strokes spread evenly, and pulses against each other.

A stream is one limb's even spread over the whole figure: 5 strokes in 16 steps, or, with as many
strokes as steps, a plain pulse. Several pulses in different limbs are a polyrhythm (3 against 2).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from exercises.rhythm.errors import Refused
from exercises.rhythm.euclid import MOST_STEPS, euclid
from exercises.rhythm.figure import TICKS_PER_BEAT, Figure, Loudness, Stroke
from exercises.rhythm.kit import Kit
from exercises.rhythm.limbs import Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.playability import check
from exercises.rhythm.surfaces import Surface


@dataclass(frozen=True, slots=True)
class Stream:
    """One limb's part: ``strokes`` spread over ``steps``, begun ``turn`` steps later."""

    limb: Limb
    surface: Surface
    strokes: int
    steps: int
    turn: int = 0
    is_first_accented: bool = False

    @property
    def is_pulse(self) -> bool:
        """True when every step is struck."""
        return self.strokes == self.steps


def generated(
    streams: Sequence[Stream], meter: Meter, kit: Kit, *, bars: int = 1, title: str = ""
) -> Figure:
    """Return the figure that the streams make together.

    :raises Refused: when nothing is struck, two streams share a limb, the steps do not fall on the
        engine's ticks, or nobody could play it
    """
    limbs = [stream.limb for stream in streams]
    if len(set(limbs)) != len(limbs):
        raise Refused("one limb plays one stream; give the second to another limb")
    strokes = [stroke for stream in streams for stroke in _strokes(stream, meter, bars)]
    if not strokes:
        raise Refused("nothing is struck yet: give at least one limb some strokes")
    figure = Figure.of(meter, bars, strokes, title=title or streams_words(streams))
    check(figure, kit)
    return figure


def streams_words(streams: Sequence[Stream]) -> str:
    """Return a title: "3 against 2", or "5 in 16"."""
    busy = [stream for stream in streams if stream.strokes]
    if len(busy) > 1 and all(stream.is_pulse for stream in busy):
        return " against ".join(str(stream.strokes) for stream in busy)
    return ", ".join(
        str(stream.strokes) if stream.is_pulse else f"{stream.strokes} in {stream.steps}"
        for stream in busy
    )


def _strokes(stream: Stream, meter: Meter, bars: int) -> list[Stroke]:
    if not stream.strokes:
        return []
    if not 1 <= stream.steps <= MOST_STEPS or not 0 <= stream.strokes <= stream.steps:
        raise Refused(
            f"the {stream.limb.spoken} has {stream.strokes} strokes in {stream.steps} steps; there "
            f"are 1 to {MOST_STEPS} steps, and no more strokes than steps"
        )
    step = meter.bar_beats * bars / stream.steps
    if (step * TICKS_PER_BEAT).denominator != 1:
        raise Refused(
            f"{stream.steps} equal steps cannot be written in {bars} bar{'' if bars == 1 else 's'} "
            f"of {meter}: beats are cut into 2 to 8 parts; choose another meter or number of steps"
        )
    cells = euclid(stream.strokes, stream.steps, turn=stream.turn)
    onsets: list[Fraction] = [step * place for place, struck in enumerate(cells) if struck]
    return [
        Stroke(
            onset,
            stream.limb,
            stream.surface,
            Loudness.ACCENT if stream.is_first_accented and not number else Loudness.NORMAL,
        )
        for number, onset in enumerate(onsets)
    ]
