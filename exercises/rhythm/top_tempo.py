"""The highest tempo at which a figure can be played over and over, and what stands in the way."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from exercises.rhythm.counting import place_words
from exercises.rhythm.demands import Demand, Touch, demands, touches
from exercises.rhythm.figure import TICKS_PER_BEAT, Figure, Line, Ornament
from exercises.rhythm.kit import Kit, Role
from exercises.rhythm.limits import DRAG_SECONDS, MOST_BPM
from exercises.rhythm.meter import Meter

_OTHER_HAND = {Role.STRONG_HAND: Role.WEAK_HAND, Role.WEAK_HAND: Role.STRONG_HAND}


@dataclass(frozen=True, slots=True)
class TopTempo:
    """A tempo in beats per minute of the meter's beat, and the stroke that binds it.

    ``binding`` reads "left hand, floor tom to hi-hat, beat 3 a".
    """

    bpm: int
    binding: str


def top_tempo(figure: Figure, kit: Kit) -> TopTempo:
    """Return the highest whole tempo at which no limb is asked for more than its limits.

    Grace strokes count for the hand that plays them. The figure is taken to loop. Limits are those
    of :mod:`exercises.rhythm.limits`; nothing above its ``MOST_BPM`` is given.
    """
    cycle = int(figure.length_beats * TICKS_PER_BEAT)
    tightest: tuple[float, Demand, Role] | None = None
    for role in Role:
        own = figure.line(kit.limb_by_role[role])
        other = _OTHER_HAND.get(role)
        helped = figure.line(kit.limb_by_role[other]) if other else ()
        found = _tightest(own, helped, cycle, role, kit)
        if found and (tightest is None or found[0] < tightest[0]):
            tightest = (*found, role)
    if tightest is None or int(tightest[0]) >= MOST_BPM:
        return TopTempo(MOST_BPM, f"nothing in it keeps the tempo below {MOST_BPM}")
    bpm, demand, role = tightest
    words = _binding(demand, role, kit, figure.meter, figure.bars)
    return TopTempo(max(1, int(bpm)), words)


@lru_cache(maxsize=65536)
def _tightest(
    own: Line, helped: Line, cycle: int, role: Role, kit: Kit
) -> tuple[float, Demand] | None:
    """The demand of one limb that binds first; the earliest of equals."""
    line = sorted((*touches(own), *_graces(helped, own)), key=lambda touch: touch.tick)
    asked = demands(line, cycle, role, kit)
    if not asked:
        return None
    tightest = min(asked, key=lambda demand: (demand.top_bpm, demand.end.tick))
    return tightest.top_bpm, tightest


def _graces(helped: Line, own: Line) -> list[Touch]:
    """The grace strokes this hand plays for the other, each at its main stroke's tick."""
    busy = {stroke.tick for stroke in own}
    return [
        Touch(
            stroke.tick,
            stroke.surface,
            DRAG_SECONDS.value if stroke.ornament is Ornament.DRAG else 0.0,
        )
        for stroke in helped
        if stroke.ornament.graces and stroke.tick not in busy
    ]


def _binding(demand: Demand, role: Role, kit: Kit, meter: Meter, bars: int) -> str:
    limb = kit.limb_by_role[role].spoken
    start, end = demand.start.surface.spoken, demand.end.surface.spoken
    where = place_words(meter, Fraction(demand.end.tick, TICKS_PER_BEAT), bars=bars)
    if demand.is_journey:
        return f"{limb}, {start} to {end}, {where}"
    how = "repeated" if demand.strokes == 2 else "kept up"
    return f"{limb}, {end} {how}, {where}"
