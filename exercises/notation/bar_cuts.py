"""Where a bar may be cut in two when it is too long for one line, as copyists do by hand.

Only between two beat groups, only where nothing sounds across, and where both parts hold as nearly
as can be the same number of notes: a roll that fills one half of a bar is what makes it long.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import lru_cache, partial
from itertools import accumulate

from exercises.notation.events import Event, Voice, WrittenBar, written
from exercises.rhythm.figure import Figure


@lru_cache(maxsize=512)
def bar_cuts(figure: Figure) -> tuple[Fraction | None, ...]:
    """Return each bar's cut in quarter notes from its start; None where it must stay whole."""
    meter = figure.meter
    *inner, end = accumulate(group * meter.beat_quarters for group in meter.groups)
    cuts: list[Fraction | None] = []
    for bar in written(figure):
        fitting = [place for place in inner if _can_cut(bar, place)]
        cuts.append(min(fitting, key=partial(_unevenness, bar, end), default=None))
    return tuple(cuts)


def parts_of(
    bar: WrittenBar, cut: Fraction | None, end: Fraction
) -> list[tuple[WrittenBar, Fraction]]:
    """Return the bar as one or two, each with its length in quarter notes."""
    if cut is None:
        return [(bar, end)]
    first = WrittenBar(_before(bar.hands, cut), _before(bar.feet, cut))
    second = WrittenBar(_from(bar.hands, cut, end), _from(bar.feet, cut, end))
    return [(first, cut), (second, end - cut)]


def _unevenness(bar: WrittenBar, end: Fraction, place: Fraction) -> tuple[int, Fraction, Fraction]:
    """Notes in the fuller part; among equals the nearest to the middle, then the later place."""
    onsets = {e.onset for voice in (bar.hands, bar.feet) for e in voice if e.strokes}
    before = sum(onset < place for onset in onsets)
    return max(before, len(onsets) - before), abs(place - end / 2), -place


def _can_cut(bar: WrittenBar, place: Fraction) -> bool:
    return all(
        event.whole_bar or event.onset + event.length <= place or event.onset >= place
        for voice in (bar.hands, bar.feet)
        for event in voice
    )


def _before(voice: Voice, cut: Fraction) -> Voice:
    return tuple(_shortened(event, cut) for event in voice if event.onset < cut)


def _from(voice: Voice, cut: Fraction, end: Fraction) -> Voice:
    if len(voice) == 1 and voice[0].whole_bar:
        return (replace(voice[0], onset=cut, length=end - cut),)
    return tuple(event for event in voice if event.onset >= cut)


def _shortened(event: Event, cut: Fraction) -> Event:
    return replace(event, length=cut) if event.whole_bar else event
