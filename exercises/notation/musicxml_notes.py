"""One measure of a MusicXML part, walked note by note onto exact times.

Durations move a cursor, ``<chord/>`` stays where the last note was, ``<backup>`` and ``<forward>``
move it without sound. Grace notes have no duration; they wait for the next note of their voice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

from lxml import etree

from exercises.notation.imported import ImportRefused

_DECIMAL = re.compile(r"\d{1,9}(\.\d{1,9})?")
_STEPS = "CDEFGAB"
_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
# How far a clef's places lie below those of the treble clef, which the percussion clef reads like
# (MusicXML 4.0 tutorial, "Percussion"), in staff steps.
_CLEF_STEPS = {"G": 0, "percussion": 0, "none": 0, "TAB": 0, "F": 12, "C": 6}


@dataclass
class Walk:
    """What holds from one measure to the next: the clock's unit and each staff's clef and lines."""

    divisions: Fraction = Fraction(1)
    clef_steps: dict[str, int] = field(default_factory=dict)
    staff_lines: dict[str, int] = field(default_factory=dict)
    waiting: dict[str, list[WrittenNote]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class WrittenNote:
    """What the file says of one note. ``step`` and ``octave`` are as in a treble clef."""

    ident: str
    instrument: str
    step: str
    octave: int
    key: int | None
    notehead: str
    staff_lines: int
    is_ghost: bool
    is_accented: bool
    dynamics: float | None
    marks: frozenset[str]
    is_rolled: bool
    is_buzzed: bool


@dataclass(frozen=True, slots=True)
class Together:
    """Notes on one stem: ``onset`` in quarters from the bar line, and the graces before them."""

    onset: Fraction
    notes: list[WrittenNote]
    graces: list[WrittenNote]


def walk_measure(measure: etree._Element, walk: Walk) -> list[Together]:
    """Return what is struck in a measure, stem by stem, as the file writes it.

    :raises ImportRefused: when its times make no sense
    """
    clock = _Clock(walk)
    for element in measure:
        if element.tag == "attributes":
            read_attributes(element, walk)
        elif element.tag == "backup":
            clock.move(-_duration(element, walk))
        elif element.tag == "forward":
            clock.move(_duration(element, walk))
        elif element.tag == "note":
            clock.read_note(element)
    return clock.stems


class _Clock:
    """The cursor within one measure, and the stems written so far."""

    def __init__(self, walk: Walk) -> None:
        self.stems: list[Together] = []
        self._walk = walk
        self._now = self._start = Fraction(0)
        self._chord: Together | None = None

    def move(self, quarters: Fraction) -> None:
        self._now += quarters
        if self._now < 0:
            raise ImportRefused("this score goes back to before the beginning of a bar")

    def read_note(self, element: etree._Element) -> None:
        walk = self._walk
        voice = f"{element.findtext('staff', '1')}/{element.findtext('voice', '1')}"
        sounds = _sounds(element)
        if element.find("grace") is not None:
            if sounds:
                walk.waiting.setdefault(voice, []).append(_note(element, walk))
            return
        if element.find("chord") is None:
            self._start = self._now
            self._now += _duration(element, walk)
            self._chord = None
        if not sounds:
            return
        if self._chord is None:
            self._chord = Together(self._start, [], walk.waiting.pop(voice, []))
            self.stems.append(self._chord)
        self._chord.notes.append(_note(element, walk))


def read_attributes(attributes: etree._Element, walk: Walk) -> None:
    """Take over divisions, clefs and staff lines from an ``<attributes>`` element."""
    divisions = attributes.findtext("divisions")
    if divisions is not None:
        walk.divisions = _number(divisions)
        if walk.divisions <= 0:
            raise ImportRefused("this score divides its quarter notes into nothing")
    for clef in attributes.iter("clef"):
        steps = _CLEF_STEPS.get((clef.findtext("sign") or "").strip(), 0)
        octaves = clef.findtext("clef-octave-change", "0").strip()
        shift = 7 * int(octaves) if re.fullmatch(r"-?[0-3]", octaves) else 0
        walk.clef_steps[clef.get("number", "1")] = steps - shift
    for details in attributes.iter("staff-details"):
        lines = details.findtext("staff-lines", "").strip()
        if lines in ("0", "1", "2", "3", "4", "5", "6"):
            walk.staff_lines[details.get("number", "1")] = int(lines)


def _sounds(note: etree._Element) -> bool:
    """True for a note that is struck: no rest, no cue for someone else, not tied to one before."""
    if note.find("rest") is not None or note.find("cue") is not None:
        return False
    return all(tie.get("type") != "stop" for tie in note.findall("tie"))


def _note(note: etree._Element, walk: Walk) -> WrittenNote:
    staff = note.findtext("staff", "1")
    step, octave, key = _place(note)
    if key is None:
        step, octave = _as_in_treble(step, octave, walk.clef_steps.get(staff, 0))
    instrument = note.find("instrument")
    head = note.find("notehead")
    dynamics = note.get("dynamics", "")
    technical = note.iterfind("notations/technical/*")
    return WrittenNote(
        ident=note.get("id", ""),
        instrument="" if instrument is None else instrument.get("id", ""),
        step=step,
        octave=octave,
        key=key,
        notehead="normal" if head is None else (head.text or "normal").strip(),
        staff_lines=walk.staff_lines.get(staff, 5),
        is_ghost=head is not None and head.get("parentheses") == "yes",
        is_accented=any(
            note.find(f"notations/articulations/{name}") is not None
            for name in ("accent", "strong-accent")
        ),
        dynamics=float(dynamics) if _DECIMAL.fullmatch(dynamics) else None,
        marks=frozenset(str(mark.tag) for mark in technical),
        is_rolled=_roll(note) not in (None, "unmeasured"),
        is_buzzed=_roll(note) == "unmeasured",
    )


def _roll(note: etree._Element) -> str | None:
    """How a roll over the note is meant: slashes are measured, a z is not; None without one."""
    roll = note.find("notations/ornaments/tremolo")
    return None if roll is None else roll.get("type", "single")


def _place(note: etree._Element) -> tuple[str, int, int | None]:
    """The note's step and octave, and its MIDI key when it is written as a pitch."""
    pitch = note.find("pitch")
    if pitch is not None:
        step, octave = _step(pitch, "step"), _octave(pitch, "octave")
        alter = (pitch.findtext("alter") or "0").strip()
        bend = int(alter) if re.fullmatch(r"-?[0-2]", alter) else 0
        return step, octave, 12 * (octave + 1) + _SEMITONES[step] + bend
    unpitched = note.find("unpitched")
    if unpitched is None:
        raise ImportRefused(
            "this score has a note that is neither pitched nor unpitched nor a rest"
        )
    if unpitched.find("display-step") is None:
        return "B", 4, None
    return _step(unpitched, "display-step"), _octave(unpitched, "display-octave"), None


def _step(parent: etree._Element, tag: str) -> str:
    step = (parent.findtext(tag) or "").strip()
    if step not in _SEMITONES:
        raise ImportRefused(
            f"this score has a note on {step[:10]!r}, which is no step of the scale"
        )
    return step


def _octave(parent: etree._Element, tag: str) -> int:
    octave = (parent.findtext(tag) or "").strip()
    if not re.fullmatch(r"[0-9]", octave):
        raise ImportRefused("this score has a note in an octave that does not exist")
    return int(octave)


def _as_in_treble(step: str, octave: int, below: int) -> tuple[str, int]:
    place = 7 * octave + _STEPS.index(step) + below
    return _STEPS[place % 7], place // 7


def _duration(element: etree._Element, walk: Walk) -> Fraction:
    return _number(element.findtext("duration") or "0") / walk.divisions


def _number(text: str) -> Fraction:
    # Only plain decimals: "1e999999999" is a number too, and would take all memory there is.
    if not _DECIMAL.fullmatch(text.strip()):
        raise ImportRefused(f"this score has {text.strip()[:20]!r} where a length should stand")
    return Fraction(text.strip())
