"""Which part of a MusicXML score is the drum set, and what its bars and instruments are."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from lxml import etree

from exercises.notation.imported import ImportRefused
from exercises.rhythm.errors import BadMeter
from exercises.rhythm.meter import Meter

_DRUM_WORDS = ("drum", "percussion", "kit")
_MOST_MEASURES = 20_000


@dataclass(frozen=True, slots=True)
class Instrument:
    """One of a part's instruments; ``key`` is a General MIDI key (from 0), if the file gives it."""

    name: str
    key: int | None


@dataclass(frozen=True, slots=True)
class DrumPart:
    """The part that was chosen, and what was passed over in choosing it."""

    element: etree._Element
    name: str
    instruments: Mapping[str, Instrument]
    measures: tuple[etree._Element, ...]
    notes: tuple[str, ...]


def find_drum_part(root: etree._Element, wanted: str | None) -> DrumPart:
    """Return the part with the id ``wanted``, or the one with the most unpitched notes.

    A part of pitched notes counts only when its clef, its MIDI channel or its name says drums.

    :raises ImportRefused: when there is no such part
    """
    heads = {head.get("id", ""): head for head in root.iterfind("part-list/score-part")}
    parts = {part.get("id", ""): part for part in root.iterfind("part")}
    if wanted is not None and wanted not in parts:
        raise ImportRefused(f"this score has no part called {wanted[:40]!r}")
    weights = {
        ident: _weight(part, heads.get(ident))
        for ident, part in parts.items()
        if wanted is None or ident == wanted
    }
    chosen = max(weights, key=lambda ident: weights[ident], default=None)
    if chosen is None or weights[chosen] == (0, 0):
        raise ImportRefused(
            "this score has no drum part: no unpitched notes, no percussion clef, nothing on "
            "MIDI channel 10"
        )
    measures = tuple(parts[chosen].iterfind("measure"))
    if len(measures) > _MOST_MEASURES:
        raise ImportRefused(f"this score has more than {_MOST_MEASURES} bars")
    name = _part_name(heads.get(chosen))
    others = [_part_name(heads.get(ident)) or ident for ident in parts if ident != chosen]
    notes = (f"Other parts were left out: {', '.join(others[:8])}.",) if others else ()
    return DrumPart(parts[chosen], name, _instruments(heads.get(chosen)), measures, notes)


def _weight(part: etree._Element, head: etree._Element | None) -> tuple[int, int]:
    """How much a part looks like drums: unpitched notes first, then notes with a hint of drums."""
    unpitched = sum(1 for _ in part.iterfind("measure/note/unpitched"))
    hinted = (
        any((sign.text or "").strip() == "percussion" for sign in part.iter("sign"))
        or any(word in _part_name(head).lower() for word in _DRUM_WORDS)
        or (
            head is not None
            and any((channel.text or "").strip() == "10" for channel in head.iter("midi-channel"))
        )
    )
    pitched = sum(1 for _ in part.iterfind("measure/note/pitch")) if hinted else 0
    return unpitched, pitched


def _part_name(head: etree._Element | None) -> str:
    return "" if head is None else " ".join((head.findtext("part-name") or "").split())[:80]


def _instruments(head: etree._Element | None) -> dict[str, Instrument]:
    if head is None:
        return {}
    names = {
        instrument.get("id", ""): (instrument.findtext("instrument-name") or "").strip()
        for instrument in head.iterfind("score-instrument")
    }
    keys: dict[str, int] = {}
    for sound in head.iterfind("midi-instrument"):
        number = (sound.findtext("midi-unpitched") or "").strip()
        if re.fullmatch(r"\d{1,3}", number) and 1 <= int(number) <= 128:
            # midi-unpitched counts from 1 where MIDI, and General MIDI, count from 0.
            keys[sound.get("id", "")] = int(number) - 1
    return {ident: Instrument(names.get(ident, ""), keys.get(ident)) for ident in {*names, *keys}}


def measure_meters(measures: tuple[etree._Element, ...]) -> list[Meter | str]:
    """Return each measure's meter, or a sentence where it has none that can be counted."""
    meter: Meter | str = Meter(4, 4)
    meters: list[Meter | str] = []
    for measure in measures:
        time = measure.find("attributes/time")
        if time is not None:
            meter = _meter(time)
        meters.append(meter)
    return meters


def _meter(time: etree._Element) -> Meter | str:
    units = {(unit.text or "").strip() for unit in time.iterfind("beat-type")}
    counts = [
        part.strip() for beats in time.iterfind("beats") for part in (beats.text or "").split("+")
    ]
    if len(units) != 1 or not all(re.fullmatch(r"\d{1,2}", count) for count in counts):
        return "it has no single meter"
    try:
        return Meter.parse(f"{sum(int(count) for count in counts)}/{units.pop()}")
    except BadMeter as bad:
        return str(bad)


def is_pickup(measure: etree._Element) -> bool:
    """True for an incomplete first bar, as programs mark it."""
    return measure.get("implicit") == "yes" or measure.get("number") == "0"


def has_strokes(measure: etree._Element) -> bool:
    """True when anything is struck in the measure."""
    return any(
        note.find("rest") is None and note.find("grace") is None
        for note in measure.iterfind("note")
    )
