"""A file parsed once, and which of its bars would make a figure: how exact, playable, how hard."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from itertools import islice
from typing import Protocol

from exercises.notation.imported import NO_HINTS, Hints, Imported, ImportRefused
from exercises.notation.midi_hits import read_part
from exercises.notation.midi_in import take_midi
from exercises.notation.musicxml_guard import parse_musicxml
from exercises.notation.musicxml_in import take_musicxml
from exercises.notation.musicxml_part import find_drum_part
from exercises.rhythm.grade import grade
from exercises.rhythm.kit import FIVE_PIECE, Kit
from exercises.rhythm.playability import refusal
from exercises.rhythm.top_tempo import top_tempo

MOST_OFFERS = 10
_MIDDLING_BPM = 100.0
# Mean distances from the grid in milliseconds, ours: people playing to a click spread by about
# 20 ms (computed from the Groove MIDI Dataset, Gillick et al. 2019), so half of that is exact.
_EXACT_MS, _STEADY_MS, _LOOSE_MS = 10.0, 25.0, 40.0


class Take(Protocol):
    """Takes a stretch of a file that is parsed already.

    :raises ImportRefused: when the bars are not there or hold nothing that a drum set plays
    """

    def __call__(
        self, *, start_bar: int | None = None, hints: Hints = NO_HINTS, bars: int = ...
    ) -> Imported: ...


@dataclass(frozen=True, slots=True)
class Offer:
    """A stretch that could be taken.

    ``why_not`` says why it cannot be read, or be played. ``top_bpm`` is how fast it can be played
    with the limbs proposed, when that is slower than the file's tempo: other limbs may do better.
    """

    first_bar: int
    last_bar: int
    imported: Imported | None
    why_not: str
    grade: str
    top_bpm: int | None = None


def open_file(data: bytes, *, is_midi: bool) -> Take:
    """Parse a MIDI file or a score, and return what takes bars from it.

    :raises ImportRefused: for whatever is not a sound file with a drum part
    """
    if is_midi:
        return partial(take_midi, read_part(data))
    root = parse_musicxml(data)
    return partial(take_musicxml, root, find_drum_part(root, None))


def offers(
    take: Take,
    *,
    first_bar: int,
    length: int,
    bars_in_file: int,
    hints: Hints = NO_HINTS,
    kit: Kit = FIVE_PIECE,
) -> tuple[Offer, ...]:
    """Return at most ten stretches of ``length`` bars, one after another from ``first_bar``."""
    every = _offers(take, first_bar, length, bars_in_file, hints, kit)
    return tuple(islice(every, MOST_OFFERS))


def _offers(
    take: Take, first_bar: int, length: int, bars_in_file: int, hints: Hints, kit: Kit
) -> Iterator[Offer]:
    bar = first_bar
    while bar <= bars_in_file:
        last = min(bar + length - 1, bars_in_file)
        try:
            found = take(start_bar=bar, bars=length, hints=hints)
        except ImportRefused as no:
            yield Offer(bar, last, None, str(no), "")
        else:
            last = bar + found.figure.bars - 1
            yield _offer(found, last, kit)
        bar = last + 1


def _offer(found: Imported, last: int, kit: Kit) -> Offer:
    bpm = found.bpm or _MIDDLING_BPM
    why_not = refusal(found.figure, kit) or ""
    top = None if why_not else top_tempo(found.figure, kit).bpm
    shown = grade(found.figure, bpm, kit).shown
    slower = top if top is not None and top < bpm else None
    return Offer(found.first_bar, last, found, why_not, shown, slower)


def exactness(found: Imported) -> str:
    """Return in words how near its strokes stood to the grid that was chosen."""
    if found.worst_error_beats < 0.0005:
        return "exactly on the grid"
    mean = found.mean_error_beats * 60_000 / (found.bpm or _MIDDLING_BPM)
    if mean < _EXACT_MS:
        return "very close to the grid"
    if mean < _STEADY_MS:
        return "as close as a steady player is"
    if mean < _LOOSE_MS:
        return "played loosely; look through it"
    return "far from the grid; the meter or the tempo may be wrong"
