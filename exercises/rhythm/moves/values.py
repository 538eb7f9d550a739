"""The parameters that moves share: note values, bar patterns, places in the bar."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache

from exercises.rhythm.errors import Refused, RhythmError
from exercises.rhythm.figure import TICKS_PER_BEAT, Loudness
from exercises.rhythm.meter import Meter
from exercises.rhythm.moves.base import Frame

_MOST_CELLS = 64
_PER_BEAT = (1, 2, 3, 4, 6, 8)


class NoteValue(StrEnum):
    """A note value; the code is its denominator, with ``t`` for triplets and ``d`` for dotted."""

    WHOLE = "1"
    HALF = "2"
    DOTTED_QUARTER = "4d"
    QUARTER = "4"
    DOTTED_EIGHTH = "8d"
    QUARTER_TRIPLET = "4t"
    EIGHTH = "8"
    EIGHTH_TRIPLET = "8t"
    SIXTEENTH = "16"
    SIXTEENTH_TRIPLET = "16t"

    @property
    def quarters(self) -> Fraction:
        """The length in quarter notes."""
        return _QUARTERS[self]

    @property
    def spoken(self) -> str:
        """The value in the plural: "eighths"."""
        return _SPOKEN[self]

    @property
    def one(self) -> str:
        """The value with its article: "an eighth"."""
        return _ONE[self]

    def in_beats(self, meter: Meter) -> Fraction:
        """The length in beats of this meter.

        :raises Refused: when the value does not sit on any subdivision of the beat
        """
        beats = self.quarters / meter.beat_quarters
        if TICKS_PER_BEAT % beats.denominator:
            raise Refused(f"{self.spoken} do not divide the beat of {meter}")
        return beats


_QUARTERS = {
    NoteValue.WHOLE: Fraction(4),
    NoteValue.HALF: Fraction(2),
    NoteValue.DOTTED_QUARTER: Fraction(3, 2),
    NoteValue.QUARTER: Fraction(1),
    NoteValue.DOTTED_EIGHTH: Fraction(3, 4),
    NoteValue.QUARTER_TRIPLET: Fraction(2, 3),
    NoteValue.EIGHTH: Fraction(1, 2),
    NoteValue.EIGHTH_TRIPLET: Fraction(1, 3),
    NoteValue.SIXTEENTH: Fraction(1, 4),
    NoteValue.SIXTEENTH_TRIPLET: Fraction(1, 6),
}
_SPOKEN = {
    NoteValue.WHOLE: "whole notes",
    NoteValue.HALF: "halves",
    NoteValue.DOTTED_QUARTER: "dotted quarters",
    NoteValue.QUARTER: "quarters",
    NoteValue.DOTTED_EIGHTH: "dotted eighths",
    NoteValue.QUARTER_TRIPLET: "quarter triplets",
    NoteValue.EIGHTH: "eighths",
    NoteValue.EIGHTH_TRIPLET: "eighth triplets",
    NoteValue.SIXTEENTH: "sixteenths",
    NoteValue.SIXTEENTH_TRIPLET: "sixteenth triplets",
}
_ONE = {
    NoteValue.WHOLE: "a whole note",
    NoteValue.HALF: "a half",
    NoteValue.DOTTED_QUARTER: "a dotted quarter",
    NoteValue.QUARTER: "a quarter",
    NoteValue.DOTTED_EIGHTH: "a dotted eighth",
    NoteValue.QUARTER_TRIPLET: "a quarter triplet",
    NoteValue.EIGHTH: "an eighth",
    NoteValue.EIGHTH_TRIPLET: "an eighth triplet",
    NoteValue.SIXTEENTH: "a sixteenth",
    NoteValue.SIXTEENTH_TRIPLET: "a sixteenth triplet",
}


class Place(StrEnum):
    """Where an even line starts."""

    ON = "on"
    OFF = "off"


_LOUDNESS = {
    "x": Loudness.NORMAL,
    "X": Loudness.ACCENT,
    "s": Loudness.SOFT,
    "g": Loudness.GHOST,
}
_ALL_THE_SAME = {"X": ", accented", "s": ", softly", "g": ", ghosted"}
_NTH = {2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth", 7: "seventh"}
_PARTIALS = {
    1: ("",),
    2: ("", "&"),
    3: ("", " trip", " let"),
    4: ("", "e", "&", "a"),
}


def _listed(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


@dataclass(frozen=True, slots=True)
class Pattern:
    """A row of cells, ``per_beat`` to the beat: x plays, X accents, s is soft, g a ghost note.

    A pattern no longer than a bar starts again at every bar line; a longer one runs on. Its code is
    the number of cells per beat followed by the cells: ``4x--x--x-``.

    >>> Pattern.parse("2x--xx---").spoken
    'on 1, 2& and 3'
    """

    per_beat: int
    cells: str

    def __post_init__(self) -> None:
        if self.per_beat not in _PER_BEAT:
            raise RhythmError(f"a beat is cut into 1, 2, 3, 4, 6 or 8 cells, not {self.per_beat}")
        if not 1 <= len(self.cells) <= _MOST_CELLS:
            raise RhythmError(f"a pattern has 1 to {_MOST_CELLS} cells")
        if set(self.cells) - set("xXsg-"):
            raise RhythmError("a pattern is written with x, X, s, g and -")
        if not set(self.cells) - {"-"}:
            raise RhythmError("a pattern has at least one stroke")

    @classmethod
    def parse(cls, code: str) -> Pattern:
        """Read a code.

        :raises RhythmError: when it is none
        """
        if not code[:1].isascii() or not code[:1].isdigit():
            raise RhythmError("a pattern's code starts with its cells per beat")
        return cls(int(code[0]), code[1:])

    @property
    def code(self) -> str:
        """The pattern as :meth:`parse` reads it."""
        return f"{self.per_beat}{self.cells}"

    @property
    def spoken(self) -> str:
        """Where the pattern plays, counted in beats, and how loud if it is all the same."""
        return self._where() + _ALL_THE_SAME.get("".join(sorted(set(self.cells) - {"-"})), "")

    def _where(self) -> str:
        steps = [step for step, cell in enumerate(self.cells) if cell != "-"]
        if len(self.cells) == self.per_beat:
            return self._in_every_beat(steps)
        if steps == [0] and len(self.cells) % self.per_beat and self.beats < 2:
            nth = _NTH.get(len(self.cells), f"{len(self.cells)}th")
            return f"on every {nth} step, with {self.per_beat} steps to the beat"
        return "on " + _listed([self._place(step) for step in steps])

    def _in_every_beat(self, steps: list[int]) -> str:
        if len(steps) == self.per_beat:
            return "on every beat" if self.per_beat == 1 else f"{self.per_beat} to the beat"
        names = _PARTIALS.get(self.per_beat)
        if names is None:
            return "on " + _listed([f"step {step + 1}" for step in steps]) + " of every beat"
        parts = _listed([names[step].strip() or "first" for step in steps])
        return "on every beat" if steps == [0] else f"on the {parts} of every beat"

    def _place(self, step: int) -> str:
        beat, part = divmod(step, self.per_beat)
        names = _PARTIALS.get(self.per_beat)
        if names is None:
            return f"{beat + 1}" if not part else f"{beat + 1} ({part + 1} of {self.per_beat})"
        return f"{beat + 1}{names[part]}"

    @property
    def beats(self) -> Fraction:
        """How long the pattern is before it repeats."""
        return Fraction(len(self.cells), self.per_beat)

    def places(self, frame: Frame) -> tuple[tuple[Fraction, Loudness], ...]:
        """Every onset of the pattern in the frame, with its loudness."""
        return _places(self, frame)

    def onsets(self, frame: Frame) -> frozenset[Fraction]:
        """The onsets alone."""
        return _onsets(self, frame)


@lru_cache(maxsize=2048)
def _places(pattern: Pattern, frame: Frame) -> tuple[tuple[Fraction, Loudness], ...]:
    span = frame.bar if pattern.beats <= frame.bar else frame.length
    per_beat, cells = pattern.per_beat, pattern.cells
    found = []
    start = Fraction(0)
    while start < frame.length:
        step = 0
        while (offset := Fraction(step, per_beat)) < span:
            cell = cells[step % len(cells)]
            if cell != "-":
                found.append((start + offset, _LOUDNESS[cell]))
            step += 1
        start += span
    return tuple(found)


@lru_cache(maxsize=2048)
def _onsets(pattern: Pattern, frame: Frame) -> frozenset[Fraction]:
    return frozenset(onset for onset, _ in _places(pattern, frame))
