"""What a score's written notes mean as strokes: surface, loudness, ornament, perhaps limb."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from fractions import Fraction

from exercises.notation.drum_keys import GM_SURFACES, MAKER_SURFACES, key_words
from exercises.notation.foreign_surfaces import Place, named_surface, placed_surface
from exercises.notation.imported import Heard, Meaning, SurfaceRule
from exercises.notation.musicxml_notes import Together, WrittenNote
from exercises.notation.musicxml_part import DrumPart, Instrument
from exercises.rhythm.figure import TICKS_PER_BEAT, Loudness, Ornament
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import BOUNCING, Surface

# The ids that this program gives to notes: prefix, limb, tick; grace notes add which one they are.
_OUR_IDENT = re.compile(r"[A-Za-z_][\w.-]*-(RH|LH|RF|LF)-(\d{1,6})(?:-g[12])?")
# MusicXML's dynamics are percent of velocity 90; these are the steps between ours.
_SOFTEST_NORMAL, _SOFTEST_ACCENT = 80.0, 115.0
_OPEN_MARKS = frozenset({"open-string", "open"})
_HALF_OPEN_MARKS = frozenset({"half-muted"})
_BY_SPOKEN = {surface.spoken: surface for surface in Surface}

Found = tuple[Surface, SurfaceRule]


class StrokeReader:
    """Reads the stems of one part, and counts what it could not make sense of."""

    def __init__(
        self,
        drums: DrumPart,
        places: Mapping[Place, Surface],
        chosen: Mapping[str, Surface | None],
    ) -> None:
        self._part_name = drums.name
        self._instruments = drums.instruments
        self._places = places
        self._chosen = chosen
        self._means: Counter[tuple[str, Surface | None, SurfaceRule | None]] = Counter()
        self._rolls = 0

    def read(self, stem: Together, onset: Fraction, absolute: Fraction) -> list[Heard]:
        """Return the strokes of one stem at ``onset`` beats.

        ``absolute`` is the same moment in beats from the file's first bar, which is what our own
        note ids count from.
        """
        self._rolls += sum(note.is_rolled for note in stem.notes)
        marks = frozenset(mark for note in stem.notes for mark in note.marks)
        leads = self._leads(stem)
        heard: list[Heard] = []
        for number, note in enumerate(stem.notes):
            found = self._surface(note)
            limb = _our_limb(note, absolute)
            ours = limb is not None and found is not None and self._is_our_name(note, found[0])
            if not ours:
                self._means[self._meant(note, found)] += 1
            if found is None:
                continue
            surface, rule = found
            if limb is None:
                surface = _as_held(surface, marks)
            elif ours:
                rule = SurfaceRule.OURS
            ornament = (Ornament.NONE, Ornament.FLAM, Ornament.DRAG)[min(leads[number], 2)]
            if note.is_buzzed and not leads[number] and (limb or surface in BOUNCING):
                ornament = Ornament.BUZZ
            loudness = _loudness(note, stem, is_ours=limb is not None)
            heard.append(Heard(onset, surface, loudness, ornament, rule, limb))
        return heard

    def sentences(self) -> list[str]:
        """Return what was left out or simplified, in words."""
        said = [
            f"Left out: {count} × {what}, "
            + ("as you asked." if rule else "which is no surface known here.")
            for (what, surface, rule), count in self._means.items()
            if surface is None
        ]
        if self._rolls:
            said.append(f"Rolls are not played out: {self._rolls} × a roll was read as one stroke.")
        return said

    def meanings(self) -> tuple[Meaning, ...]:
        """Return what the file's own words for surfaces were taken for."""
        return tuple(
            Meaning(said, surface, rule, count)
            for (said, surface, rule), count in self._means.items()
        )

    def _leads(self, stem: Together) -> list[int]:
        """How many of the stem's grace notes belong to each of its notes: those of its surface."""
        leads = [0] * len(stem.notes)
        surfaces = [self._surface(note) for note in stem.notes]
        for grace in stem.graces:
            found = self._surface(grace)
            owner = grace.ident.rpartition("-g")[0]
            by_ident = [n for n, note in enumerate(stem.notes) if owner and note.ident == owner]
            by_surface = [
                n
                for n, surface in enumerate(surfaces)
                if surface is not None and found is not None and surface[0] is found[0]
            ]
            leads[(by_ident or by_surface or [0])[0]] += 1
        return leads

    def _surface(self, note: WrittenNote) -> Found | None:
        found = self._by_rule(note)
        if not self._chosen:
            return found
        said = self._said(note, found)
        if said not in self._chosen:
            return found
        chosen = self._chosen[said]
        return None if chosen is None else (chosen, SurfaceRule.CHOSEN)

    def _by_rule(self, note: WrittenNote) -> Found | None:
        instrument = self._instrument(note)
        return (
            self._by_key(instrument)
            or self._by_name(instrument, note)
            or self._by_place(note)
            or _by_pitch(note)
        )

    def _meant(
        self, note: WrittenNote, found: Found | None
    ) -> tuple[str, Surface | None, SurfaceRule | None]:
        said = self._said(note, self._by_rule(note))
        if found is None:
            return said, None, SurfaceRule.CHOSEN if said in self._chosen else None
        return said, *found

    def _said(self, note: WrittenNote, by_rule: Found | None) -> str:
        """What the file says of a note's surface, in the terms of the rule that read it."""
        instrument = self._instrument(note)
        rule = None if by_rule is None else by_rule[1]
        if rule is SurfaceRule.STAFF_PLACE:
            return _placed(note)
        if rule in (SurfaceRule.GM_KEY, SurfaceRule.MAKER_KEY) and instrument is not None:
            key = "" if instrument.key is None else key_words(instrument.key)
            return f"“{instrument.name[:40]}”, {key}" if instrument.name else key
        if rule is SurfaceRule.PITCH_AS_KEY and note.key is not None:
            return key_words(note.key)
        return self._described(note, instrument)

    def _instrument(self, note: WrittenNote) -> Instrument | None:
        if not note.instrument and len(self._instruments) == 1:
            return next(iter(self._instruments.values()))
        return self._instruments.get(note.instrument)

    def _by_key(self, instrument: Instrument | None) -> Found | None:
        if instrument is None or instrument.key is None:
            return None
        if instrument.key in MAKER_SURFACES:
            named = named_surface(instrument.name)
            return named or MAKER_SURFACES[instrument.key], SurfaceRule.MAKER_KEY
        surface = GM_SURFACES.get(instrument.key)
        if surface is None:
            return None
        # Some keys serve two surfaces here (open and half-open hi-hat): then the name decides.
        named = _BY_SPOKEN.get(instrument.name)
        if named is not None and named.facts.gm_key == instrument.key:
            surface = named
        return surface, SurfaceRule.GM_KEY

    def _by_name(self, instrument: Instrument | None, note: WrittenNote) -> Found | None:
        name = "" if instrument is None else instrument.name
        if not name and note.staff_lines == 1:
            # A staff of one line is for one instrument, and the part is called after it.
            name = self._part_name
        surface = named_surface(name)
        return None if surface is None else (surface, SurfaceRule.INSTRUMENT_NAME)

    def _by_place(self, note: WrittenNote) -> Found | None:
        if note.key is not None or note.staff_lines == 1:
            return None
        surface = placed_surface(note.step, note.octave, note.notehead, self._places)
        return None if surface is None else (surface, SurfaceRule.STAFF_PLACE)

    def _described(self, note: WrittenNote, instrument: Instrument | None) -> str:
        if instrument is not None and instrument.name:
            return f"“{instrument.name[:40]}”"
        if instrument is not None and instrument.key is not None:
            return key_words(instrument.key)
        if note.key is not None:
            return key_words(note.key)
        if note.staff_lines == 1:
            return f"“{self._part_name[:40]}”"
        return _placed(note)

    def _is_our_name(self, note: WrittenNote, surface: Surface) -> bool:
        instrument = self._instrument(note)
        return instrument is not None and instrument.name == surface.spoken


def _placed(note: WrittenNote) -> str:
    return f"{note.notehead[:20]} notehead at {note.step}{note.octave}"


def _by_pitch(note: WrittenNote) -> Found | None:
    surface = None if note.key is None else GM_SURFACES.get(note.key)
    return None if surface is None else (surface, SurfaceRule.PITCH_AS_KEY)


def _our_limb(note: WrittenNote, absolute: Fraction) -> Limb | None:
    """The limb that our own id names, if the id still agrees with the time it stands at."""
    match = _OUR_IDENT.fullmatch(note.ident)
    if match is None or int(match.group(2)) != absolute * TICKS_PER_BEAT:
        return None
    return Limb(match.group(1))


def _as_held(surface: Surface, marks: frozenset[str]) -> Surface:
    """The hi-hat as the signs over its note say it is held."""
    if surface is Surface.HI_HAT:
        if marks & _HALF_OPEN_MARKS:
            return Surface.HI_HAT_HALF_OPEN
        if marks & _OPEN_MARKS:
            return Surface.HI_HAT_OPEN
    if surface is Surface.HI_HAT_FOOT and marks & _OPEN_MARKS:
        return Surface.HI_HAT_SPLASH
    return surface


def _loudness(note: WrittenNote, stem: Together, *, is_ours: bool) -> Loudness:
    if note.is_ghost:
        return Loudness.GHOST
    # A sign on a chord's first note is printed once for the whole stem. Our own files also say
    # per note how loud it is, and so may others.
    is_signed = note.is_accented or (note.dynamics is None and stem.notes[0].is_accented)
    if is_signed and not is_ours:
        return Loudness.ACCENT
    dynamics = 100.0 if note.dynamics is None else note.dynamics
    if dynamics >= _SOFTEST_ACCENT:
        return Loudness.ACCENT
    return Loudness.NORMAL if dynamics >= _SOFTEST_NORMAL else Loudness.SOFT
