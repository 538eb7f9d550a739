"""A figure as it is written: two voices, note by note, with rests, tuplets and beams.

Hands are one voice (stems up), feet the other (stems down). Times are in quarter notes from the
start of the bar, as exact fractions. This is the one place that decides how a figure is spelt; the
MusicXML writer only writes it down.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache

from exercises.notation.beams import Beam
from exercises.notation.cells import Tuplet
from exercises.notation.note_values import NoteValue
from exercises.notation.spelling import Sign, spelt
from exercises.rhythm.figure import Figure, Loudness, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.meter import Meter


class VoiceName(StrEnum):
    """The two voices of a drum-set part."""

    HANDS = "hands"
    FEET = "feet"


@dataclass(frozen=True, slots=True)
class Event:
    """One moment of one voice: strokes written as one stem, or a rest.

    ``onset`` and ``length`` sound, ``value`` is written. ``group`` numbers the beat group in its
    bar. ``edge`` is ``"start"``, ``"stop"``, both or neither of a tuplet; ``bracket`` says whether
    the tuplet is shown; at a tuplet's start ``is_one_beam`` says that a beam holds all of it, so
    that its number needs no bracket. ``beams`` has one entry per beam level. A rest of a whole bar
    has ``whole_bar`` set, whatever its value.
    """

    onset: Fraction
    length: Fraction
    value: NoteValue
    group: int
    strokes: tuple[Stroke, ...] = ()
    is_hidden: bool = False
    whole_bar: bool = False
    tuplet: Tuplet | None = None
    edge: frozenset[str] = frozenset()
    bracket: bool = True
    is_one_beam: bool = False
    beams: tuple[Beam, ...] = ()

    @property
    def is_rest(self) -> bool:
        """True when nothing is struck."""
        return not self.strokes

    @property
    def is_accented(self) -> bool:
        """True when any of the strokes is an accent."""
        return any(s.loudness is Loudness.ACCENT for s in self.strokes)


Voice = tuple[Event, ...]


@dataclass(frozen=True, slots=True)
class WrittenBar:
    """One bar: what the hands' voice and the feet's voice have in it."""

    hands: Voice
    feet: Voice

    def voice(self, name: VoiceName) -> Voice:
        """The voice of this name."""
        return self.hands if name is VoiceName.HANDS else self.feet


def written(figure: Figure) -> tuple[WrittenBar, ...]:
    """Spell a figure, bar by bar."""
    by_bar: list[tuple[list[Stroke], list[Stroke]]] = [([], []) for _ in range(figure.bars)]
    for stroke in figure.strokes:
        bar = by_bar[int(stroke.onset // figure.meter.bar_beats)]
        bar[0 if stroke.limb.is_hand else 1].append(stroke)
    return tuple(
        _written_bar(figure.meter, tuple(hands), tuple(feet), index)
        for index, (hands, feet) in enumerate(by_bar)
    )


@lru_cache(maxsize=1024)
def _written_bar(
    meter: Meter, hands: tuple[Stroke, ...], feet: tuple[Stroke, ...], index: int
) -> WrittenBar:
    start = meter.bar_beats * index
    upper = _by_onset(meter, hands, start)
    lower = _by_onset(meter, feet, start)
    if not upper and not lower:
        return WrittenBar((_bar_rest(meter),), (_bar_rest(meter, is_hidden=True),))
    upper_voice = _voice(meter, upper) or (_bar_rest(meter, is_hidden=True),)
    lower_voice = _voice(meter, lower)
    if lower_voice:
        lower_voice = _quiet_lower(lower_voice, upper_voice)
    else:
        lower_voice = (_bar_rest(meter, is_hidden=True),)
    return WrittenBar(
        _joined_rests(meter, upper_voice),
        _joined_rests(meter, lower_voice),
    )


Moments = dict[Fraction, tuple[Stroke, ...]]


def _by_onset(meter: Meter, strokes: Iterable[Stroke], start: Fraction) -> Moments:
    together: dict[Fraction, tuple[Stroke, ...]] = {}
    for stroke in strokes:
        onset = (stroke.onset - start) * meter.beat_quarters
        together[onset] = (*together.get(onset, ()), stroke)
    return together


def _bar_rest(meter: Meter, *, is_hidden: bool = False) -> Event:
    length = meter.bar_beats * meter.beat_quarters
    value = NoteValue(Fraction(4))
    return Event(Fraction(0), length, value, 0, is_hidden=is_hidden, whole_bar=True)


def _voice(meter: Meter, moments: Moments) -> Voice:
    """One voice of one bar, group by group; empty when the voice is silent."""
    if not moments:
        return ()
    events: list[Event] = []
    start = Fraction(0)
    for group, beats in enumerate(meter.groups):
        length = beats * meter.beat_quarters
        onsets = tuple(onset - start for onset in moments if start <= onset < start + length)
        signs = spelt(length, meter.beat_quarters, onsets)
        for index, sign in enumerate(signs):
            onset = start + sign.onset
            events.append(
                Event(
                    onset,
                    sign.length,
                    sign.value,
                    group,
                    () if sign.is_rest else moments[onset],
                    tuplet=sign.tuplet,
                    edge=sign.edge,
                    is_one_beam="start" in sign.edge and _is_one_beam(signs[index:]),
                    beams=sign.beams,
                )
            )
        start += length
    return tuple(events)


def _is_one_beam(signs: tuple[Sign, ...]) -> bool:
    """Tell whether one beam runs from the first of these signs to the end of its tuplet."""
    last = next(index for index, sign in enumerate(signs) if "stop" in sign.edge)
    main = [sign.beams[0] if sign.beams else None for sign in signs[: last + 1]]
    inner = {beam for beam, sign in zip(main, signs, strict=False) if not sign.is_rest}
    return (main[0], main[-1]) == (Beam.BEGIN, Beam.END) and None not in inner


def _quiet_lower(lower: Voice, upper: Voice) -> Voice:
    """Hide what the lower voice need not say, because the hands above it say it already.

    Rests of a group are needless where the hands strike in the group and every foot stroke of the
    group falls together with a hand's. A tuplet's number is needless where the hands have the same
    tuplet at the same place.
    """
    struck = {event.onset for event in upper if event.strokes}
    busy = {event.group for event in upper if event.strokes}
    alone = {e.group for e in lower if e.strokes and e.onset not in struck}
    quiet = busy - alone
    tuplets = {(e.onset, e.tuplet) for e in upper if "start" in e.edge}
    shown = True
    events: list[Event] = []
    for event in lower:
        if "start" in event.edge:
            shown = (event.onset, event.tuplet) not in tuplets
        changed = event
        if event.is_rest and event.group in quiet:
            changed = replace(changed, is_hidden=True)
        if event.tuplet and not shown:
            changed = replace(changed, bracket=False)
        events.append(changed)
    return tuple(events)


def _joined_rests(meter: Meter, voice: Voice) -> Voice:
    """Write two silent quarters as one half rest where they make the first or second half of a bar.

    Only in meters whose beat is a quarter and whose bars halve into pairs of beats.
    """
    if meter.unit != 4 or meter.count % 2 or len(meter.groups) % 2:
        return voice
    events: list[Event] = []
    for event in voice:
        before = events[-1] if events else None
        if (
            before is not None
            and _is_silent_beat(before)
            and _is_silent_beat(event)
            and before.is_hidden == event.is_hidden
            and before.group % 2 == 0
            and event.group == before.group + 1
        ):
            events[-1] = replace(before, length=Fraction(2), value=NoteValue(Fraction(2)))
        else:
            events.append(event)
    return tuple(events)


def _is_silent_beat(event: Event) -> bool:
    return event.is_rest and not event.whole_bar and event.length == 1 and event.tuplet is None


def sticking_letter(limb: Limb, *, left_handed_view: bool) -> str:
    """R or L for a hand; the letters change places in the left-handed view."""
    seen = limb.other_side if left_handed_view else limb
    return "R" if seen is Limb.RH else "L"
