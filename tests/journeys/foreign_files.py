"""Drum parts as other programs write them."""

from __future__ import annotations

import io
from pathlib import Path

import pretty_midi
from music21 import instrument, meter, note, stream
from music21.musicxml.m21ToXml import GeneralObjectExporter


def foreign_musicxml(path: Path) -> Path:
    """Write a bar of hi-hat eighths and snare on two and four with music21's own exporter."""
    part = stream.Part()
    part.insert(0, instrument.UnpitchedPercussion())
    bar = stream.Measure(number=1)
    bar.timeSignature = meter.TimeSignature("4/4")
    hands, feet = stream.Voice(id="1"), stream.Voice(id="2")
    for beat in range(8):
        stroke = note.Unpitched(displayName="G5" if beat % 4 != 2 else "C5")
        if beat % 4 != 2:
            stroke.notehead = "x"
        stroke.duration.quarterLength = 0.5
        hands.append(stroke)
    for _ in range(2):
        kick = note.Unpitched(displayName="F4")
        kick.duration.quarterLength = 2
        feet.append(kick)
    bar.insert(0, hands)
    bar.insert(0, feet)
    part.append(bar)
    path.write_bytes(GeneralObjectExporter(stream.Score([part])).parse())
    return path


def foreign_midi(path: Path) -> Path:
    """Write two bars of a played-in beat at 96 with pretty_midi, each note a little off."""
    score = pretty_midi.PrettyMIDI(initial_tempo=96)
    drums = pretty_midi.Instrument(program=0, is_drum=True)
    beat = 60 / 96
    for eighth in range(16):
        start = eighth * beat / 2 + (0.006 if eighth % 3 else 0.002)
        drums.notes.append(pretty_midi.Note(80, 42, start, start + 0.05))
        if eighth % 4 == 0:
            drums.notes.append(pretty_midi.Note(100, 36, start + 0.004, start + 0.1))
        if eighth % 4 == 2:
            drums.notes.append(pretty_midi.Note(110, 38, start + 0.003, start + 0.1))
    score.instruments.append(drums)
    data = io.BytesIO()
    score.write(data)
    path.write_bytes(data.getvalue())
    return path
