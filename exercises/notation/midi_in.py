"""MIDI drum parts written by other programs or played by people, and our own read back exactly."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from dataclasses import dataclass, replace

from exercises.notation.assemble import Stretch as Taken
from exercises.notation.assemble import imported
from exercises.notation.drum_keys import GM_SURFACES, MAKER_SURFACES, key_words
from exercises.notation.imported import (
    NO_HINTS,
    Heard,
    Hints,
    Imported,
    Meaning,
    NoSuchBars,
    SurfaceRule,
)
from exercises.notation.midi_hits import (
    Hit,
    MidiPart,
    Stretch,
    beat_tempo,
    choose_stretch,
    read_part,
)
from exercises.notation.midi_marks import COUNT, LEAD, Header, read_header, read_mark
from exercises.notation.played_graces import Played, struck_piece, with_ornaments
from exercises.notation.quantise import snap
from exercises.rhythm.figure import MOST_BARS, MOST_STROKES, TICKS_PER_BEAT, Loudness
from exercises.rhythm.kit import FIVE_PIECE, Kit
from exercises.rhythm.surfaces import Surface

USUAL_BARS = 2
_SOFTEST_SOFT, _SOFTEST_NORMAL, _SOFTEST_ACCENT = 40, 65, 105
_GHOSTED = frozenset(
    {Surface.SNARE, Surface.HIGH_TOM, Surface.MID_TOM, Surface.FLOOR_TOM, Surface.PAD}
)
# A file whose strokes all stand on these grids was written, not played, and is kept as it is.
_WRITTEN_GRIDS = frozenset(range(1, 9)) | {10, 12, 24}
# Steady tempos of music lie in here; a file outside it has a tempo for some other purpose.
_SLOWEST_BPM, _FASTEST_BPM = 10.0, 500.0


def read_midi(
    data: bytes,
    *,
    start_bar: int | None = None,
    bars: int | None = None,
    kit: Kit = FIVE_PIECE,
    hints: Hints = NO_HINTS,
) -> Imported:
    """Read a stretch of the drum part of a MIDI file; see :func:`take_midi`.

    :raises ImportRefused: for whatever is not a sound MIDI file with a drum part
    """
    return take_midi(read_part(data), start_bar=start_bar, bars=bars, kit=kit, hints=hints)


def take_midi(
    part: MidiPart,
    *,
    start_bar: int | None = None,
    bars: int | None = None,
    kit: Kit = FIVE_PIECE,
    hints: Hints = NO_HINTS,
) -> Imported:
    """Take a stretch of a drum part that is read already.

    A file of our own comes back as it was, unless other bars are asked for. From any other file
    ``bars`` bars (two, when not given) are taken from ``start_bar``, or from the first bar in which
    anything sounds.

    :raises ImportRefused: when the bars are not there or hold nothing that a drum set plays
    """
    says_meter, says_tempo = bool(part.meters), bool(part.tempos)
    if not says_meter and hints.meter is not None:
        part = replace(part, meters=((0, hints.meter.count, hints.meter.unit),))
    header = next((h for text in part.texts if (h := read_header(text))), None)
    notes = list(part.notes)
    if header is not None and start_bar is None and bars is None:
        own = _own(part, header, kit)
        if own is not None:
            return own
        notes.append(
            "This file was made here and then changed by another program, so limbs are guessed."
        )
    stretch = choose_stretch(part, start_bar, USUAL_BARS if bars is None else bars)
    bpm: float | None = beat_tempo(part, stretch)
    if not says_tempo and hints.bpm is not None:
        bpm = hints.bpm
    if bpm is not None and not _SLOWEST_BPM <= bpm <= _FASTEST_BPM:
        notes.append(f"The file's tempo, {bpm:g} beats per minute, was left out.")
        bpm = None
    named, meanings = _named(_hits_of(part, stretch), hints, notes)
    heard = _heard(named, stretch, part.ticks_per_quarter, bpm, notes)
    taken = replace(
        _taken(part, stretch, bpm),
        meanings=meanings,
        says_meter=says_meter,
        says_tempo=says_tempo,
    )
    return imported(heard, taken, kit, notes)


def _own(part: MidiPart, header: Header, kit: Kit) -> Imported | None:
    """The figure of our own file, or None when its notes and its texts no longer agree."""
    if not 1 <= header.bars <= MOST_BARS:
        return None
    stretch = choose_stretch(part, header.count_in_bars + 1, header.bars)
    beat = stretch.beat_ticks(part.ticks_per_quarter)
    length = stretch.meter.bar_beats * header.bars
    heard: list[Heard] = []
    for hit in part.hits:
        onset = (hit.tick - stretch.first_tick) / beat
        if hit.text in (LEAD, COUNT) or onset >= length:
            continue
        mark = read_mark(hit.text)
        if mark is None or mark.surface.facts.gm_key != hit.key or onset < 0:
            return None
        if TICKS_PER_BEAT % onset.denominator:
            return None
        ours = SurfaceRule.OURS
        heard.append(Heard(onset, mark.surface, mark.loudness, mark.ornament, ours, mark.limb))
    if len({(stroke.limb, stroke.onset) for stroke in heard}) != len(heard) or not heard:
        return None
    taken = replace(_taken(part, stretch, beat_tempo(part, stretch)), bars=header.bars)
    return imported(heard, taken, kit, ())


def _taken(part: MidiPart, stretch: Stretch, bpm: float | None) -> Taken:
    return Taken(
        meter=stretch.meter,
        bars=stretch.bars,
        title=part.title,
        bpm=bpm,
        first_bar=stretch.first_bar,
        bars_in_file=stretch.bars_in_file,
    )


@dataclass(frozen=True, slots=True)
class _Named:
    """A hit whose key has a surface here."""

    hit: Hit
    surface: Surface
    rule: SurfaceRule


def _heard(
    named: list[_Named],
    stretch: Stretch,
    ticks_per_quarter: int,
    bpm: float | None,
    notes: list[str],
) -> list[Heard]:
    beat = stretch.beat_ticks(ticks_per_quarter)
    beat_ms = 60_000 / (bpm or 100.0)
    played = with_ornaments(
        [
            Played((n.hit.tick - stretch.first_tick) / beat, n.surface, n.hit.velocity, n.rule)
            for n in named
        ],
        beat_ms=beat_ms,
        notes=notes,
    )
    positions = [stroke.position for stroke in played]
    pieces = [struck_piece(stroke.surface) for stroke in played]
    is_on_grid = all(position.denominator in _WRITTEN_GRIDS for position in positions)
    onsets = positions if is_on_grid else snap(positions, pieces, stretch.meter)
    length = stretch.meter.bar_beats * stretch.bars
    return [
        Heard(
            onset,
            stroke.surface,
            _loudness(stroke.velocity, stroke.surface),
            stroke.ornament,
            stroke.rule,
            error_beats=float(onset - stroke.position),
        )
        for stroke, onset in zip(played, onsets, strict=True)
        if 0 <= onset < length
    ]


def _hits_of(part: MidiPart, stretch: Stretch) -> list[Hit]:
    """The stretch's hits, with those a little before it, which may have been meant for its start.

    :raises ImportRefused: when there are more than anyone plays
    """
    beat = stretch.beat_ticks(part.ticks_per_quarter)
    end = stretch.first_tick + stretch.meter.bar_beats * stretch.bars * beat
    first = bisect_left(part.ticks, stretch.first_tick - beat / 2)
    hits = list(part.hits[first : bisect_left(part.ticks, end)])
    if len(hits) > MOST_STROKES:
        raise NoSuchBars(
            f"there are {len(hits)} strokes in {stretch.bars} bars from bar {stretch.first_bar} "
            "on, which is more than anyone plays; choose fewer bars"
        )
    return hits


def _named(
    hits: list[Hit], hints: Hints, notes: list[str]
) -> tuple[list[_Named], tuple[Meaning, ...]]:
    """The hits that have a surface, and what each key was taken for, the unknown ones too."""
    counts = Counter(hit.key for hit in hits)
    means = {key: _meaning(key, count, hints) for key, count in sorted(counts.items())}
    named = [
        _Named(hit, meaning.surface, meaning.rule)
        for hit in hits
        if (meaning := means[hit.key]).surface is not None and meaning.rule is not None
    ]
    for meaning in means.values():
        if meaning.surface is None:
            why = "as you asked" if meaning.rule else "for which this kit has no place"
            notes.append(f"Left out: {meaning.count} × {meaning.said}, {why}.")
    return named, tuple(means.values())


def _meaning(key: int, count: int, hints: Hints) -> Meaning:
    said = key_words(key)
    if said in hints.surfaces:
        return Meaning(said, hints.surfaces[said], SurfaceRule.CHOSEN, count)
    if key in MAKER_SURFACES:
        return Meaning(said, MAKER_SURFACES[key], SurfaceRule.MAKER_KEY, count)
    surface = GM_SURFACES.get(key)
    return Meaning(said, surface, None if surface is None else SurfaceRule.GM_KEY, count)


def _loudness(velocity: int, surface: Surface) -> Loudness:
    if velocity >= _SOFTEST_ACCENT:
        return Loudness.ACCENT
    if velocity >= _SOFTEST_NORMAL:
        return Loudness.NORMAL
    if velocity < _SOFTEST_SOFT and surface in _GHOSTED:
        return Loudness.GHOST
    return Loudness.SOFT
