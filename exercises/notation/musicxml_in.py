"""Drum parts of MusicXML scores by other programs, and our own read back exactly.

Programs write drums in several ways. A stroke's surface is found by the first of these that says
something: the note's instrument and its ``midi-unpitched``; the instrument's name; the place on the
staff with the notehead; a pitch read as a General MIDI key.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from lxml import etree

from exercises.notation.assemble import Stretch, imported
from exercises.notation.foreign_surfaces import STAFF_PLACES, Place
from exercises.notation.imported import (
    NO_HINTS,
    Heard,
    Hints,
    Imported,
    ImportRefused,
    NoSuchBars,
)
from exercises.notation.musicxml_guard import parse_musicxml
from exercises.notation.musicxml_notes import Walk, read_attributes, walk_measure
from exercises.notation.musicxml_part import (
    DrumPart,
    find_drum_part,
    has_strokes,
    is_pickup,
    measure_meters,
)
from exercises.notation.musicxml_strokes import StrokeReader
from exercises.notation.quantise import snap
from exercises.rhythm.figure import MOST_BARS, TICKS_PER_BEAT
from exercises.rhythm.kit import FIVE_PIECE, Kit
from exercises.rhythm.meter import Meter
from exercises.rhythm.surfaces import Surface

_NUMBER = re.compile(r"\d{1,4}(\.\d{1,6})?")
_BEAT_UNITS = {
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
}
# What music21 writes where it was given no title.
_NO_TITLES = frozenset({"Music21 Fragment", "Music21"})
_SLOWEST_BPM, _FASTEST_BPM = 10.0, 500.0


def read_musicxml(
    data: bytes,
    *,
    start_bar: int | None = None,
    bars: int = MOST_BARS,
    part: str | None = None,
    kit: Kit = FIVE_PIECE,
    places: Mapping[Place, Surface] = STAFF_PLACES,
    hints: Hints = NO_HINTS,
) -> Imported:
    """Read a stretch of the drum part of a score, plain or compressed (.mxl).

    At most ``bars`` bars (eight are the most a figure has) are taken from ``start_bar``; when that
    is not given, from the beginning of a score of up to eight bars, or else from the first bar in
    which anything is struck. An incomplete first bar is passed over. ``part`` is the id of the part
    wanted; without it, the one that looks most like drums is taken. ``places`` says what the places
    on the staff mean where the file does not.

    :raises ImportRefused: for whatever is not a sound score with a drum part
    """
    root = parse_musicxml(data)
    drums = find_drum_part(root, part)
    return take_musicxml(
        root, drums, start_bar=start_bar, bars=bars, kit=kit, places=places, hints=hints
    )


def take_musicxml(
    root: etree._Element,
    drums: DrumPart,
    *,
    start_bar: int | None = None,
    bars: int = MOST_BARS,
    kit: Kit = FIVE_PIECE,
    places: Mapping[Place, Surface] = STAFF_PLACES,
    hints: Hints = NO_HINTS,
) -> Imported:
    """Take a stretch of a score that is parsed already; see :func:`read_musicxml`.

    :raises ImportRefused: when the bars are not there or hold nothing that a drum set plays
    """
    if not 1 <= bars <= MOST_BARS:
        raise NoSuchBars(f"1 to {MOST_BARS} bars can be taken at once, not {bars}")
    strokes = StrokeReader(drums, places, hints.surfaces)
    return _Score(root, drums, kit, strokes, hints).take(start_bar, bars)


class _Score:
    """One drum part on its way to a figure."""

    def __init__(
        self,
        root: etree._Element,
        drums: DrumPart,
        kit: Kit,
        strokes: StrokeReader,
        hints: Hints,
    ) -> None:
        self._root = root
        self._drums = drums
        self._kit = kit
        self._strokes = strokes
        self._notes = list(drums.notes)
        self._hints = hints
        self._says_meter = any(m.find("attributes/time") is not None for m in drums.measures)
        self._meters = measure_meters(drums.measures)
        if not self._says_meter and hints.meter is not None:
            self._meters = [hints.meter] * len(self._meters)
        # Measures before this one are an upbeat and count as no bar.
        self._upbeats = 1 if drums.measures and is_pickup(drums.measures[0]) else 0

    def take(self, start_bar: int | None, bars: int) -> Imported:
        first, last, meter = self._choose(start_bar, bars)
        walk = Walk()
        for measure in self._drums.measures[:first]:
            for attributes in measure.iterfind("attributes"):
                read_attributes(attributes, walk)
        heard: list[Heard] = []
        beyond = 0
        for number, measure in enumerate(self._drums.measures[first:last]):
            start = meter.bar_beats * number
            absolute = meter.bar_beats * (first - self._upbeats + number)
            for stem in walk_measure(measure, walk):
                in_bar = stem.onset / meter.beat_quarters
                if in_bar >= meter.bar_beats:
                    beyond += len(stem.notes)
                    continue
                heard += self._strokes.read(stem, start + in_bar, absolute + in_bar)
        self._say(first, last, beyond)
        tempo = self._tempo(last, meter)
        stretch = Stretch(
            meter=meter,
            bars=last - first,
            title=self._title(),
            bpm=self._hints.bpm if tempo is None else tempo,
            first_bar=first - self._upbeats + 1,
            bars_in_file=len(self._meters) - self._upbeats,
            meanings=self._strokes.meanings(),
            says_meter=self._says_meter,
            says_tempo=tempo is not None,
        )
        length = meter.bar_beats * stretch.bars
        on_ticks = [stroke for stroke in _on_ticks(heard, meter) if stroke.onset < length]
        return imported(on_ticks, stretch, self._kit, self._notes)

    def _choose(self, start_bar: int | None, bars: int) -> tuple[int, int, Meter]:
        """The first measure to take, the one after the last, and their meter."""
        measures = self._drums.measures
        in_file = len(measures) - self._upbeats
        if start_bar is not None and not 1 <= start_bar <= in_file:
            raise NoSuchBars(f"this score has {in_file} bars, so there is no bar {start_bar}")
        if start_bar is not None:
            first = start_bar - 1 + self._upbeats
        elif in_file <= MOST_BARS:
            first = self._upbeats
        else:
            sounding = (n for n, m in enumerate(measures) if n >= self._upbeats and has_strokes(m))
            first = next(sounding, self._upbeats)
        if first >= len(measures):
            raise ImportRefused("this score has no complete bar")
        meter = self._meters[first]
        if isinstance(meter, str):
            raise NoSuchBars(f"bar {first - self._upbeats + 1} cannot be taken: {meter}")
        last = first
        while last < min(first + bars, len(measures)) and self._meters[last] == meter:
            last += 1
        return first, last, meter

    def _say(self, first: int, last: int, beyond: int) -> None:
        measures = self._drums.measures
        in_file = len(measures) - self._upbeats
        said = self._notes
        if self._upbeats:
            said.append("The upbeat before the first whole bar was left out.")
        if last - first < in_file:
            taken_from = first - self._upbeats + 1
            said.append(f"Taken: bars {taken_from} to {last - self._upbeats} of {in_file}.")
        if last < len(measures) and self._meters[last] != self._meters[first]:
            said.append(f"From bar {last - self._upbeats + 1} on the meter is another one.")
        if beyond:
            said.append(f"Left out: {beyond} × a note written after its bar was full.")
        repeats = [m for m in measures if m.find("barline/repeat") is not None]
        if any(repeat is not measures[-1] for repeat in repeats):
            said.append("Repeat signs are not played out: each bar was read once, as written.")
        said += self._strokes.sentences()

    def _title(self) -> str:
        for path in ("work/work-title", "movement-title"):
            title = " ".join((self._root.findtext(path) or "").split())
            if title and title not in _NO_TITLES:
                return title
        return ""

    def _tempo(self, last: int, meter: Meter) -> float | None:
        """The tempo last given before the stretch ends in this part, else the score's first one."""
        quarters = [
            found for m in self._drums.measures[:last] if (found := _measure_tempo(m)) is not None
        ]
        if not quarters:
            every = (_measure_tempo(m) for m in self._root.iterfind("part/measure"))
            quarters = [found for found in every if found is not None][:1]
        if not quarters:
            return None
        bpm = round(quarters[-1] / float(meter.beat_quarters), 3)
        if not _SLOWEST_BPM <= bpm <= _FASTEST_BPM:
            self._notes.append(f"The score's tempo, {bpm:g} beats per minute, was left out.")
            return None
        return bpm


def _measure_tempo(measure: etree._Element) -> float | None:
    """A measure's tempo in quarters per minute, from what sounds or from what is printed."""
    for sound in measure.iter("sound"):
        tempo = sound.get("tempo", "").strip()
        if _NUMBER.fullmatch(tempo):
            return float(tempo)
    for mark in measure.iterfind("direction/direction-type/metronome"):
        number = (mark.findtext("per-minute") or "").strip()
        unit = _BEAT_UNITS.get((mark.findtext("beat-unit") or "").strip())
        if unit is not None and _NUMBER.fullmatch(number):
            dots = min(len(mark.findall("beat-unit-dot")), 3)
            return float(number) * float(unit * (2 - Fraction(1, 2**dots)))
    return None


def _on_ticks(heard: Sequence[Heard], meter: Meter) -> list[Heard]:
    """The strokes with those of subdivisions no figure has (nines, elevens) moved to the nearest.

    Only beats that hold such a stroke are touched.
    """
    odd_beats = {_beat(s.onset) for s in heard if TICKS_PER_BEAT % s.onset.denominator}
    if not odd_beats:
        return list(heard)
    odd = [stroke for stroke in heard if _beat(stroke.onset) in odd_beats]
    snapped = snap([s.onset for s in odd], [s.surface for s in odd], meter)
    moved = [
        replace(stroke, onset=onset, error_beats=float(onset - stroke.onset))
        for stroke, onset in zip(odd, snapped, strict=True)
    ]
    return [s for s in heard if _beat(s.onset) not in odd_beats] + moved


def _beat(onset: Fraction) -> int:
    return int(onset // 1)
