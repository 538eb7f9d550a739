"""A figure as a Standard MIDI File: channel 10, General MIDI keys, loudness as velocity.

The resolution is 3360 ticks to the quarter note, four times the figure's own, so that every onset,
fives and sevens and compound meters included, falls on a whole tick.
"""

from __future__ import annotations

from fractions import Fraction
from io import BytesIO
from itertools import pairwise
from math import isfinite

import mido

from exercises.notation.midi_marks import (
    COUNT,
    LEAD,
    LEAD_VELOCITY,
    VELOCITIES,
    Header,
    write_header,
    write_mark,
)
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure, Ornament

TICKS_PER_QUARTER = 3360
DRUM_CHANNEL = 9
SLOWEST_BPM, FASTEST_BPM = 10, 500
MOST_ROUNDS = 64
# How far a grace stroke leads its main stroke, in seconds: our choice, within what players do.
_LEADS = {
    Ornament.NONE: (),
    Ornament.FLAM: (0.030,),
    Ornament.DRAG: (0.070, 0.035),
    Ornament.BUZZ: (),
}
_LONGEST_NOTE = TICKS_PER_QUARTER // 8
_CLICK_FIRST, _CLICK_OTHER = 76, 77

Note = tuple[int, int, int, str]
"""Tick, key, velocity, and the text that stands before it."""


def midi(figure: Figure, *, bpm: float, rounds: int = 1, count_in: bool = False) -> bytes:
    """Write a figure as a MIDI file that plays it ``rounds`` times, after a bar of clicks if asked.

    ``bpm`` counts the meter's beat. A flam's or drag's grace strokes sound shortly before their
    stroke; one that would sound before the file begins is left to its text.

    :raises RhythmError: when the tempo or the number of rounds is out of range
    """
    if not isfinite(bpm) or not SLOWEST_BPM <= bpm <= FASTEST_BPM:
        raise RhythmError(f"a tempo is {SLOWEST_BPM} to {FASTEST_BPM} beats per minute")
    if not 1 <= rounds <= MOST_ROUNDS:
        raise RhythmError(f"a figure is played 1 to {MOST_ROUNDS} times, not {rounds}")
    bar = _ticks(figure, figure.meter.bar_beats)
    start = bar if count_in else 0
    notes = _clicks(figure) if count_in else []
    for number in range(rounds):
        notes += _round(figure, start + number * figure.bars * bar, bpm)
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS_PER_QUARTER, charset="utf-8")
    header = Header(figure.bars, 1 if count_in else 0)
    file.tracks.append(_tempo_track(figure, bpm, header))
    file.tracks.append(_drum_track(notes, end=start + rounds * figure.bars * bar))
    out = BytesIO()
    file.save(file=out)
    return out.getvalue()


def _ticks(figure: Figure, beats: Fraction) -> int:
    return int(beats * figure.meter.beat_quarters * TICKS_PER_QUARTER)


def _clicks(figure: Figure) -> list[Note]:
    notes: list[Note] = []
    onset = Fraction(0)
    for group in figure.meter.groups:
        key = _CLICK_OTHER if notes else _CLICK_FIRST
        notes.append((_ticks(figure, onset), key, 100, COUNT))
        onset += group
    return notes


def _round(figure: Figure, start: int, bpm: float) -> list[Note]:
    ticks_per_second = bpm / 60 * float(figure.meter.beat_quarters) * TICKS_PER_QUARTER
    notes: list[Note] = []
    for stroke in figure.strokes:
        tick = start + _ticks(figure, stroke.onset)
        key = stroke.surface.facts.gm_key
        for seconds in _LEADS[stroke.ornament]:
            lead = tick - round(seconds * ticks_per_second)
            if lead >= 0:
                notes.append((lead, key, LEAD_VELOCITY, LEAD))
        notes.append((tick, key, VELOCITIES[stroke.loudness], write_mark(stroke)))
    return notes


def _tempo_track(figure: Figure, bpm: float, header: Header) -> mido.MidiTrack:
    meter = figure.meter
    quarter_bpm = bpm * float(meter.beat_quarters)
    return mido.MidiTrack(
        [
            mido.MetaMessage("track_name", name=figure.title),
            mido.MetaMessage("text", text=write_header(header)),
            mido.MetaMessage(
                "time_signature",
                numerator=meter.count,
                denominator=meter.unit,
                clocks_per_click=int(24 * meter.beat_quarters),
            ),
            mido.MetaMessage("set_tempo", tempo=round(60_000_000 / quarter_bpm)),
            mido.MetaMessage("end_of_track"),
        ]
    )


def _drum_track(notes: list[Note], *, end: int) -> mido.MidiTrack:
    """The notes as messages; at one tick notes end before others begin, each after its own text."""
    events: list[tuple[int, int, mido.Message | mido.MetaMessage]] = []
    lengths = _lengths(notes, end)
    for place, (tick, key, velocity, text) in enumerate(notes):
        on = mido.Message("note_on", channel=DRUM_CHANNEL, note=key, velocity=velocity)
        off = mido.Message("note_off", channel=DRUM_CHANNEL, note=key)
        events.append((tick, 2 * place, mido.MetaMessage("text", text=text)))
        events.append((tick, 2 * place + 1, on))
        events.append((tick + lengths[place], -1, off))
    track = mido.MidiTrack([mido.MetaMessage("track_name", name="Drums")])
    now = 0
    for tick, _, message in sorted(events, key=lambda event: event[:2]):
        track.append(message.copy(time=tick - now))
        now = tick
    track.append(mido.MetaMessage("end_of_track", time=end - now))
    return track


def _lengths(notes: list[Note], end: int) -> list[int]:
    """How long each note sounds: short, and over before the next note on its key or the end."""
    ticks_of_key: dict[int, set[int]] = {}
    for tick, key, _, _ in notes:
        ticks_of_key.setdefault(key, {end}).add(tick)
    after = {
        (key, tick): following - tick
        for key, ticks in ticks_of_key.items()
        for tick, following in pairwise(sorted(ticks))
    }
    return [min(_LONGEST_NOTE, after[key, tick]) for tick, key, _, _ in notes]
