"""A figure as a MusicXML 4.0 score, valid against the published schema.

Element order follows the schema of MusicXML 4.0 (W3C Music Notation Community Group, 2021). Staff
places and noteheads are those of :mod:`exercises.rhythm.surfaces`. An open hi-hat is written as
``<open-string/>``, a half-open one as ``<half-muted/>``, a closing stroke as ``<stopped/>``.
"""

from __future__ import annotations

from fractions import Fraction
from math import lcm

from lxml import etree

from exercises.notation.bar_cuts import bar_cuts, parts_of
from exercises.notation.events import VoiceName, WrittenBar, written
from exercises.notation.note_values import NoteValue, single_value
from exercises.notation.score_notes import NoteWriter, instrument_id
from exercises.notation.score_options import ScoreOptions
from exercises.notation.xml_building import printable, sub, text
from exercises.rhythm.figure import Figure
from exercises.rhythm.meter import Meter
from exercises.rhythm.record import default_prefix
from exercises.rhythm.surfaces import Surface

_DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">'
)


def musicxml(
    figure: Figure,
    *,
    bpm: float | None = None,
    sticking: bool = False,
    counting: bool = False,
    prefix: str | None = None,
    bars_per_line: int | None = None,
    left_handed_view: bool = False,
    is_repeated: bool = True,
) -> bytes:
    """Write a figure as MusicXML 4.0, the same bytes for the same input.

    ``bpm`` counts the meter's beat and prints a tempo; ``sticking`` puts R and L, ``counting`` the
    counting syllables under the staff; ``bars_per_line`` starts a new system after so many bars.
    """
    options = ScoreOptions(
        bpm=bpm,
        sticking=sticking,
        counting=counting,
        prefix=prefix,
        bars_per_line=bars_per_line,
        left_handed_view=left_handed_view,
        is_repeated=is_repeated,
    )
    return score(figure, options)


def score(figure: Figure, options: ScoreOptions) -> bytes:
    """Write a figure as MusicXML 4.0 under the given options."""
    return _Writer(figure, options).document()


class _Writer:
    """One figure on its way to MusicXML: what every note needs to know about the whole."""

    def __init__(self, figure: Figure, options: ScoreOptions) -> None:
        self.figure = figure
        self.options = options
        self.prefix = options.prefix or default_prefix(figure)
        self.bars = written(figure)
        lengths = [e.length for bar in self.bars for e in (*bar.hands, *bar.feet)]
        self.divisions = lcm(*(length.denominator for length in lengths))
        self.notes = NoteWriter(figure, options, self.prefix, self.divisions)

    def document(self) -> bytes:
        root = etree.Element("score-partwise", version="4.0")
        if self.figure.title:
            text(sub(root, "work"), "work-title", printable(self.figure.title))
        encoding = sub(sub(root, "identification"), "encoding")
        for element in ("accidental", "beam", "stem"):
            sub(encoding, "supports", element=element, type="yes")
        self._part_list(root)
        part = sub(root, "part", id="P1")
        cuts = bar_cuts(self.figure) if self.options.cuts_bars else (None,) * len(self.bars)
        end = self.figure.meter.bar_beats * self.figure.meter.beat_quarters
        for index, (bar, cut) in enumerate(zip(self.bars, cuts, strict=True)):
            pieces = parts_of(bar, cut, end)
            for number, (piece, length) in enumerate(pieces):
                measure = self._measure(part, piece, index, length, is_later_part=number > 0)
                if number < len(pieces) - 1:
                    barline = sub(measure, "barline", location="right")
                    text(barline, "bar-style", "none")
        _closing_barline(measure, is_repeated=self.options.is_repeated)
        return etree.tostring(root, xml_declaration=True, encoding="UTF-8", doctype=_DOCTYPE)

    def _part_list(self, root: etree._Element) -> None:
        part = sub(sub(root, "part-list"), "score-part", id="P1")
        name = text(part, "part-name", "Drum set")
        name.set("print-object", "no")
        used = {stroke.surface for stroke in self.figure.strokes}
        surfaces = [surface for surface in Surface if surface in used]
        for surface in surfaces:
            instrument = sub(part, "score-instrument", id=instrument_id(surface))
            text(instrument, "instrument-name", surface.spoken)
        for surface in surfaces:
            sound = sub(part, "midi-instrument", id=instrument_id(surface))
            text(sound, "midi-channel", "10")
            # midi-unpitched counts from 1 where General MIDI counts from 0.
            text(sound, "midi-unpitched", str(surface.facts.gm_key + 1))

    def _measure(
        self,
        part: etree._Element,
        bar: WrittenBar,
        index: int,
        length: Fraction,
        *,
        is_later_part: bool,
    ) -> etree._Element:
        """Write a bar, or one part of a bar that is cut."""
        number = f"X{index + 1}" if is_later_part else str(index + 1)
        measure = sub(part, "measure", number=number)
        if is_later_part:
            measure.set("implicit", "yes")
            sub(measure, "print", **{"new-system": "yes"})
        line = self.options.bars_per_line
        # The first bar says so too for the engraver, which otherwise complains of no line breaks.
        starts_line = line and index % line == 0 and not is_later_part
        if starts_line and (index or self.options.for_drawing):
            sub(measure, "print", **{"new-system": "yes"})
        if index == 0 and not is_later_part:
            self._attributes(measure)
            self._tempo(measure)
        for event in bar.hands:
            self.notes.event(measure, event, VoiceName.HANDS, bar, index)
        backup = sub(measure, "backup")
        text(backup, "duration", self.notes.duration(length))
        for event in bar.feet:
            self.notes.event(measure, event, VoiceName.FEET, bar, index)
        return measure

    def _attributes(self, measure: etree._Element) -> None:
        attributes = sub(measure, "attributes")
        text(attributes, "divisions", str(self.divisions))
        time = sub(attributes, "time")
        text(time, "beats", str(self.figure.meter.count))
        text(time, "beat-type", str(self.figure.meter.unit))
        text(sub(attributes, "clef"), "sign", "percussion")

    def _tempo(self, measure: etree._Element) -> None:
        bpm = self.options.bpm
        if bpm is None:
            return
        direction = sub(measure, "direction", placement="above")
        mark = sub(sub(direction, "direction-type"), "metronome")
        beat = _beat_value(self.figure.meter)
        text(mark, "beat-unit", beat.name)
        for _ in range(beat.dots):
            sub(mark, "beat-unit-dot")
        text(mark, "per-minute", f"{bpm:g}")
        sub(direction, "sound", tempo=f"{float(bpm * self.figure.meter.beat_quarters):g}")


def _closing_barline(measure: etree._Element, *, is_repeated: bool) -> None:
    barline = sub(measure, "barline", location="right")
    text(barline, "bar-style", "light-heavy")
    if is_repeated:
        sub(barline, "repeat", direction="backward")


def _beat_value(meter: Meter) -> NoteValue:
    return single_value(meter.beat_quarters) or NoteValue(Fraction(1))
