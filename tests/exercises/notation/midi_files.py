"""MIDI files as other programs write them, and broken ones, built in code."""

from __future__ import annotations

from collections.abc import Iterable
from io import BytesIO

import mido

from exercises.notation.midi_marks import COUNT, LEAD

Hit = tuple[int, int, int]
"""Tick, key, velocity."""


def drum_file(
    hits: Iterable[Hit],
    *,
    ticks_per_beat: int = 480,
    channel: int = 9,
    before: Iterable[mido.MetaMessage] = (),
    track_name: str = "",
) -> bytes:
    """A file of type 0 with these notes; ``before`` are events at its start."""
    events = [
        event
        for tick, key, velocity in hits
        for event in (
            (tick, 1, mido.Message("note_on", channel=channel, note=key, velocity=velocity)),
            (tick + 10, 0, mido.Message("note_off", channel=channel, note=key)),
        )
    ]
    track = mido.MidiTrack([mido.MetaMessage("track_name", name=track_name), *before])
    now = 0
    for tick, _, message in sorted(events, key=lambda event: event[:2]):
        track.append(message.copy(time=tick - now))
        now = tick
    return saved([track], ticks_per_beat=ticks_per_beat)


def saved(tracks: list[mido.MidiTrack], *, ticks_per_beat: int = 480, kind: int = 0) -> bytes:
    """The bytes of a file with these tracks."""
    out = BytesIO()
    mido.MidiFile(type=kind, ticks_per_beat=ticks_per_beat, tracks=tracks).save(file=out)
    return out.getvalue()


def notes_of(data: bytes) -> list[tuple[int, int, int, str]]:
    """Every note of a file as mido reads it: tick, key, velocity and the text before it."""
    found: list[tuple[int, int, int, str]] = []
    for track in mido.MidiFile(file=BytesIO(data), charset="utf-8").tracks:
        now, text = 0, ""
        for message in track:
            now += message.time
            if message.type == "text":
                text = message.text
            elif message.type == "note_on" and message.velocity:
                assert message.channel == 9
                found.append((now, message.note, message.velocity, text))
    return found


def strokes_of(data: bytes) -> list[tuple[int, int, int, str]]:
    """The notes that are strokes: neither clicks nor grace strokes."""
    return [note for note in notes_of(data) if note[3] not in (COUNT, LEAD)]


def without_texts(data: bytes) -> bytes:
    """The file as a program leaves it that throws all text away."""
    file = mido.MidiFile(file=BytesIO(data), charset="utf-8")
    for track in file.tracks:
        kept: list[mido.Message] = []
        waiting = 0
        for message in track:
            if message.type == "text":
                waiting += message.time
            else:
                kept.append(message.copy(time=message.time + waiting))
                waiting = 0
        track[:] = kept
    out = BytesIO()
    file.save(file=out)
    return out.getvalue()


def raw_file(track: bytes, *, division: int = 480, kind: int = 0, tracks: int = 1) -> bytes:
    """A file whose one track holds exactly these bytes, sound or not."""
    header = b"MThd" + (6).to_bytes(4, "big")
    for number in (kind, tracks, division):
        header += number.to_bytes(2, "big")
    return header + b"MTrk" + len(track).to_bytes(4, "big") + track
