"""The notes and rests of a MusicXML score: one ``<note>`` for each stroke, grace stroke and rest.

Child elements stand in the order that the MusicXML 4.0 schema demands.
"""

from __future__ import annotations

from fractions import Fraction

from lxml import etree

from exercises.notation.count_line import said
from exercises.notation.events import Event, Voice, VoiceName, WrittenBar, sticking_letter
from exercises.notation.note_values import single_value
from exercises.notation.score_options import ScoreOptions
from exercises.notation.xml_building import sub, text
from exercises.rhythm.figure import Figure, Loudness, Ornament, Stroke
from exercises.rhythm.limbs import HANDS, Limb
from exercises.rhythm.record import stroke_id
from exercises.rhythm.surfaces import Head, Mark, Surface

_HEADS = {
    Head.NORMAL: "normal",
    Head.CROSS: "x",
    Head.CIRCLE_CROSS: "circle-x",
    Head.DIAMOND: "diamond",
    Head.TRIANGLE: "triangle",
    Head.SLASHED: "slashed",
}
_MARKS = {Mark.OPEN: "open-string", Mark.HALF_OPEN: "half-muted", Mark.CLOSED: "stopped"}
# MusicXML's "dynamics" is a percentage of velocity 90, its forte.
_DYNAMICS = {Loudness.GHOST: 30, Loudness.SOFT: 65, Loudness.NORMAL: 100, Loudness.ACCENT: 130}


class NoteWriter:
    """Writes events as notes: what every note needs to know about the whole figure."""

    def __init__(self, figure: Figure, options: ScoreOptions, prefix: str, divisions: int) -> None:
        self.figure = figure
        self.options = options
        self.prefix = prefix
        self.divisions = divisions
        self.closing = _closing_strokes(figure)
        both = any(len([s for s in m if s.limb.is_hand]) > 1 for _, m in figure.moments())
        self.sticking_rows = (2 if both else 1) if options.sticking else 0

    def duration(self, length: Fraction) -> str:
        """A length in quarters as MusicXML counts it."""
        return str(int(length * self.divisions))

    def event(
        self,
        measure: etree._Element,
        event: Event,
        voice: VoiceName,
        bar: WrittenBar,
        index: int,
    ) -> None:
        """Append a rest, or the grace notes and the chord of a moment."""
        if event.is_rest:
            self._rest(measure, event, voice)
            return
        for stroke in event.strokes:
            self._graces(measure, stroke, voice)
        for position, stroke in enumerate(event.strokes):
            note = self._stroke(measure, event, stroke, voice, is_first=position == 0)
            if position == 0:
                self._lyrics(note, event, voice, bar, index)

    def _rest(self, measure: etree._Element, event: Event, voice: VoiceName) -> None:
        note = sub(measure, "note")
        if event.is_hidden:
            note.set("print-object", "no")
        rest = sub(note, "rest")
        if event.whole_bar:
            rest.set("measure", "yes")
        elif not event.is_hidden:
            # Kept off the staff's middle, where the other voice's notes are.
            step, octave = ("D", "5") if voice is VoiceName.HANDS else ("E", "4")
            text(rest, "display-step", step)
            text(rest, "display-octave", octave)
        text(note, "duration", self.duration(event.length))
        text(note, "voice", _voice_number(voice))
        if event.whole_bar:
            return
        self._value(note, event)
        if event.edge:
            self._tuplet(sub(note, "notations"), event, voice)

    def _value(self, note: etree._Element, event: Event) -> None:
        text(note, "type", event.value.name)
        for _ in range(event.value.dots):
            sub(note, "dot")
        if event.tuplet:
            change = sub(note, "time-modification")
            text(change, "actual-notes", str(event.tuplet.actual))
            text(change, "normal-notes", str(event.tuplet.normal))
            unit = single_value(event.tuplet.unit)
            if unit and not unit.dots:
                text(change, "normal-type", unit.name)

    def _graces(self, measure: etree._Element, stroke: Stroke, voice: VoiceName) -> None:
        count = stroke.ornament.graces
        for number in range(1, count + 1):
            note = sub(measure, "note", id=f"{stroke_id(self.prefix, stroke)}-g{number}")
            sub(note, "grace", slash="yes" if count == 1 else "no")
            _place(note, stroke)
            text(note, "voice", _voice_number(voice))
            text(note, "type", "eighth" if count == 1 else "16th")
            text(note, "stem", _stem(voice))
            text(note, "notehead", _HEADS[stroke.surface.facts.head])
            if count == 2:
                for level in ("1", "2"):
                    text(note, "beam", "begin" if number == 1 else "end").set("number", level)

    def _stroke(
        self,
        measure: etree._Element,
        event: Event,
        stroke: Stroke,
        voice: VoiceName,
        *,
        is_first: bool,
    ) -> etree._Element:
        note = sub(measure, "note", id=stroke_id(self.prefix, stroke))
        if stroke.loudness is not Loudness.NORMAL:
            note.set("dynamics", str(_DYNAMICS[stroke.loudness]))
        if not is_first:
            sub(note, "chord")
        _place_and_duration(note, stroke, self.duration(event.length))
        text(note, "voice", _voice_number(voice))
        self._value(note, event)
        text(note, "stem", _stem(voice))
        head = text(note, "notehead", _HEADS[stroke.surface.facts.head])
        if stroke.loudness is Loudness.GHOST:
            head.set("parentheses", "yes")
        if is_first:
            for level, beam in enumerate(event.beams, start=1):
                text(note, "beam", beam.value).set("number", str(level))
        notations = self._notations(event, voice) if is_first else etree.Element("notations")
        if stroke.ornament is Ornament.BUZZ:
            roll = sub(sub(notations, "ornaments"), "tremolo", type="unmeasured")
            roll.text = "0"
        if len(notations):
            note.append(notations)
        return note

    def _notations(self, event: Event, voice: VoiceName) -> etree._Element:
        notations = etree.Element("notations")
        side = "above" if voice is VoiceName.HANDS else "below"
        if event.edge:
            self._tuplet(notations, event, voice)
        marks = sorted({mark for stroke in event.strokes if (mark := self._mark(stroke))})
        if marks:
            technical = sub(notations, "technical")
            for mark in marks:
                sub(technical, mark, placement=side)
        if event.is_accented:
            sub(sub(notations, "articulations"), "accent", placement=side)
        return notations

    def _mark(self, stroke: Stroke) -> str | None:
        if stroke.limb.is_foot:
            return None  # The circled head says it already.
        mark = Mark.CLOSED if stroke in self.closing else stroke.surface.facts.mark
        if mark is Mark.HALF_OPEN and self.options.for_drawing:
            mark = Mark.OPEN
        return _MARKS.get(mark)

    def _tuplet(self, notations: etree._Element, event: Event, voice: VoiceName) -> None:
        placement = "above" if voice is VoiceName.HANDS else "below"
        for edge in ("start", "stop"):
            if edge in event.edge:
                tuplet = sub(notations, "tuplet", type=edge, number="1")
                if edge == "start" and event.bracket:
                    tuplet.set("bracket", "no" if event.is_one_beam else "yes")
                    tuplet.set("placement", placement)
                elif edge == "start":
                    # Still written: without it the engraver misplaces the notes in time.
                    tuplet.set("bracket", "no")
                    tuplet.set("show-number", "none")

    def _lyrics(
        self, note: etree._Element, event: Event, voice: VoiceName, bar: WrittenBar, index: int
    ) -> None:
        if voice is VoiceName.HANDS and self.sticking_rows:
            for limb in HANDS:
                if any(stroke.limb is limb for stroke in event.strokes):
                    row = 2 if self.sticking_rows == 2 and limb is Limb.LH else 1
                    letter = sticking_letter(limb, left_handed_view=self.options.left_handed_view)
                    _lyric(note, row, letter)
        if self.options.counting and (voice is VoiceName.HANDS or _alone(event, bar.hands)):
            meter = self.figure.meter
            onset = event.onset / meter.beat_quarters + index * meter.bar_beats
            word = said(self.figure, onset)
            if word:
                _lyric(note, self.sticking_rows + 1, word)


def _closing_strokes(figure: Figure) -> frozenset[Stroke]:
    """The closed hi-hat strokes that follow an open one, where a player looks for the + sign."""
    closing: set[Stroke] = set()
    is_open = False
    for stroke in figure.strokes:
        if stroke.surface in (Surface.HI_HAT_OPEN, Surface.HI_HAT_HALF_OPEN):
            is_open = True
        elif stroke.surface is Surface.HI_HAT_FOOT:
            is_open = False
        elif stroke.surface is Surface.HI_HAT and is_open:
            closing.add(stroke)
            is_open = False
    return frozenset(closing)


def _alone(event: Event, hands: Voice) -> bool:
    return all(other.is_rest or other.onset != event.onset for other in hands)


def instrument_id(surface: Surface) -> str:
    return f"P1-{surface.value}"


def _voice_number(voice: VoiceName) -> str:
    return "1" if voice is VoiceName.HANDS else "2"


def _stem(voice: VoiceName) -> str:
    return "up" if voice is VoiceName.HANDS else "down"


def _place(note: etree._Element, stroke: Stroke) -> None:
    _unpitched(note, stroke.surface)
    sub(note, "instrument", id=instrument_id(stroke.surface))


def _place_and_duration(note: etree._Element, stroke: Stroke, duration: str) -> None:
    _unpitched(note, stroke.surface)
    text(note, "duration", duration)
    sub(note, "instrument", id=instrument_id(stroke.surface))


def _unpitched(note: etree._Element, surface: Surface) -> None:
    place = sub(note, "unpitched")
    text(place, "display-step", surface.facts.staff_step)
    text(place, "display-octave", str(surface.facts.staff_octave))


def _lyric(note: etree._Element, row: int, words: str) -> None:
    lyric = sub(note, "lyric", number=str(row), placement="below")
    text(lyric, "syllabic", "single")
    text(lyric, "text", words)
