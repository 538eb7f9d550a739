"""A MIDI file's drum notes, bars and tempo, with every tick turned into beats of one stretch.

A stretch is a run of bars in one meter. Bars are counted by arithmetic, never one by one, so that a
file that claims a thousand million of them costs nothing.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO

import mido

from exercises.notation.imported import ImportRefused, NoSuchBars
from exercises.notation.midi_guard import check_midi
from exercises.rhythm.errors import BadMeter
from exercises.rhythm.figure import MOST_BARS
from exercises.rhythm.meter import Meter

DRUM_CHANNEL = 9
_DRUM_WORDS = ("drum", "perc", "kit")
_USUAL_TEMPO = 500_000
_MOST_METER_CHANGES = 2_000
# All that mido is known to raise about files that pass the guard but mean nothing.
_DAMAGED = (OSError, EOFError, ValueError, LookupError, TypeError, AttributeError)


@dataclass(frozen=True, slots=True)
class Hit:
    """One drum note: where, what key, how hard, and the text that stood right before it."""

    tick: int
    key: int
    velocity: int
    text: str = ""


@dataclass(frozen=True, slots=True)
class MidiPart:
    """The drum part of a file, on the file's own ticks; ``ticks`` are those of its hits."""

    ticks_per_quarter: int
    hits: tuple[Hit, ...]
    ticks: tuple[int, ...]
    meters: tuple[tuple[int, int, int], ...]
    tempos: tuple[tuple[int, int], ...]
    texts: tuple[str, ...]
    title: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run of bars in one meter: the first bar's number (from 1) and tick, and how many bars."""

    meter: Meter
    first_bar: int
    bars: int
    first_tick: Fraction
    bars_in_file: int

    def beat_ticks(self, ticks_per_quarter: int) -> Fraction:
        """The meter's beat in ticks."""
        return ticks_per_quarter * self.meter.beat_quarters


def read_part(data: bytes) -> MidiPart:
    """Read the drum part: channel 10, or the only channel of a file that says it is drums.

    :raises ImportRefused: when the file is broken, too big, or has no drums
    """
    check_midi(data)
    try:
        file = mido.MidiFile(file=BytesIO(data))
    except (*_DAMAGED, mido.KeySignatureError) as bad:
        raise ImportRefused("this MIDI file is damaged and cannot be read") from bad
    events = sorted(_absolute(file.tracks), key=lambda event: event[0])
    channel, notes = _drum_channel(events)
    tempos = tuple((tick, m.tempo) for tick, m in events if m.type == "set_tempo")
    if any(tempo == 0 for _, tempo in tempos):
        raise ImportRefused("this MIDI file has a tempo of zero, at which nothing can be played")
    meters = tuple(
        (tick, m.numerator, m.denominator) for tick, m in events if m.type == "time_signature"
    )
    if len(meters) > _MOST_METER_CHANGES:
        raise ImportRefused(f"this MIDI file changes its meter {len(meters)} times")
    hits = tuple(sorted(_hits(file.tracks, channel), key=lambda hit: hit.tick))
    return MidiPart(
        ticks_per_quarter=file.ticks_per_beat,
        hits=hits,
        ticks=tuple(hit.tick for hit in hits),
        meters=meters,
        tempos=tempos,
        texts=tuple(m.text for _, m in events if m.type == "text"),
        title=_title(file.tracks),
        notes=notes,
    )


def _absolute(tracks: Iterable[mido.MidiTrack]) -> Iterator[tuple[int, mido.Message]]:
    for track in tracks:
        now = 0
        for message in track:
            now += message.time
            yield now, message


def _drum_channel(events: list[tuple[int, mido.Message]]) -> tuple[int, tuple[str, ...]]:
    used = {m.channel for _, m in events if m.type == "note_on" and m.velocity}
    if not used:
        raise ImportRefused("nothing is played in this MIDI file")
    if DRUM_CHANNEL in used:
        others = len(used) - 1
        said = f"{others} other channels of the file were left out." if others else ""
        return DRUM_CHANNEL, (said,) if said else ()
    names = " ".join(m.name.lower() for _, m in events if m.type == "track_name")
    if len(used) == 1 and any(word in names for word in _DRUM_WORDS):
        channel = used.pop()
        return channel, (f"The drums were on channel {channel + 1}; drums belong on channel 10.",)
    raise ImportRefused(
        "this MIDI file has no drum part: nothing is played on channel 10, where drums belong"
    )


def _hits(tracks: Iterable[mido.MidiTrack], channel: int) -> Iterator[Hit]:
    for track in tracks:
        now = 0
        text = ""
        for message in track:
            now += message.time
            if message.time:
                text = ""
            if message.type == "text":
                text = message.text
            elif message.type == "note_on" and message.velocity and message.channel == channel:
                yield Hit(now, message.note, message.velocity, text)
                text = ""


def _title(tracks: list[mido.MidiTrack]) -> str:
    for message in tracks[0] if tracks else ():
        if message.type == "track_name":
            # mido reads text as Latin-1; most programs, this one included, write UTF-8.
            raw = str(message.name).encode("latin-1", "replace")
            return raw.decode("utf-8", "replace")
    return ""


def choose_stretch(part: MidiPart, start_bar: int | None, bars: int) -> Stretch:
    """Choose the bars to take: from ``start_bar``, or from the first bar in which anything sounds.

    There are fewer than ``bars`` of them where the meter changes or the music ends sooner.

    :raises ImportRefused: when the bars asked for are not there, or in a meter nobody counts
    """
    if not 1 <= bars <= MOST_BARS:
        raise NoSuchBars(f"1 to {MOST_BARS} bars can be taken at once, not {bars}")
    if start_bar is not None and start_bar < 1:
        raise NoSuchBars("bars are counted from 1")
    ticks = part.ticks
    last_tick = ticks[-1]
    # A stroke this little before a bar line was meant for the bar after it.
    early = part.ticks_per_quarter // 8
    segments = _segments(part, last_tick)
    bars_in_file = segments[-1].first_bar + segments[-1].bars - 1
    for segment in segments:
        bar_ticks = _bar_ticks(segment.meter, part)
        end = segment.first_tick + bar_ticks * segment.bars
        if start_bar is None:
            number = bisect_left(ticks, segment.first_tick - early)
            wanted = max(segment.first_tick, ticks[number] + early if number < len(ticks) else end)
            skipped = int((wanted - segment.first_tick) // bar_ticks)
        else:
            skipped = start_bar - segment.first_bar
        if 0 <= skipped < segment.bars:
            return Stretch(
                meter=segment.meter,
                first_bar=segment.first_bar + skipped,
                bars=min(bars, segment.bars - skipped),
                first_tick=segment.first_tick + skipped * bar_ticks,
                bars_in_file=bars_in_file,
            )
    raise NoSuchBars(f"this file has {bars_in_file} bars, so there is no bar {start_bar}")


def _segments(part: MidiPart, last_tick: int) -> list[Stretch]:
    """The file cut where its meter changes, each segment in whole bars (the last one cut short)."""
    changes = [change for change in part.meters if change[0] <= last_tick]
    if not changes or changes[0][0] > 0:
        changes.insert(0, (0, 4, 4))
    segments: list[Stretch] = []
    bar = 1
    for number, (tick, count, unit) in enumerate(changes):
        is_last = number + 1 == len(changes)
        until = last_tick + 1 if is_last else changes[number + 1][0]
        if until <= tick:
            continue
        try:
            meter = Meter(count, unit)
        except BadMeter as bad:
            raise ImportRefused(f"from bar {bar} on this file is in {count}/{unit}: {bad}") from bad
        bars = int(-((tick - until) // _bar_ticks(meter, part)))
        segments.append(Stretch(meter, bar, bars, Fraction(tick), 0))
        bar += bars
    return segments


def _bar_ticks(meter: Meter, part: MidiPart) -> Fraction:
    return part.ticks_per_quarter * meter.bar_beats * meter.beat_quarters


def beat_tempo(part: MidiPart, stretch: Stretch) -> float:
    """Return the tempo where the stretch begins, in beats of its meter per minute."""
    tempo = _USUAL_TEMPO
    for tick, value in part.tempos:
        if tick <= stretch.first_tick:
            tempo = value
    return round(60_000_000 / tempo / float(stretch.meter.beat_quarters), 3)
