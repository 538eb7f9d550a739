"""What an import gives back, and what it says when it will not.

Another program's file does not know limbs, and may be vague about surfaces and time. An import
therefore carries, beside the figure, how every stroke was read and everything that was left out, so
that the teacher can correct the guesses.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure, Loudness, Ornament, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.surfaces import Surface


class ImportRefused(RhythmError):
    """The file cannot be read as a drum part; ``str()`` of it says why in whole sentences."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason[:1].upper() + reason[1:].rstrip(".") + ".")


class NoSuchBars(ImportRefused):
    """The file is sound, but the bars asked for are not there or cannot be taken."""


class SurfaceRule(StrEnum):
    """How a stroke's surface was found, from the surest rule to the vaguest."""

    OURS = "ours"
    GM_KEY = "gm_key"
    MAKER_KEY = "maker_key"
    INSTRUMENT_NAME = "instrument_name"
    STAFF_PLACE = "staff_place"
    PITCH_AS_KEY = "pitch_as_key"
    CHOSEN = "chosen"

    @property
    def words(self) -> str:
        """The rule in words."""
        return _SURFACE_RULES[self]


class LimbRule(StrEnum):
    """How a stroke's limb was found."""

    OURS = "ours"
    PEDAL = "pedal"
    HANDS = "hands"

    @property
    def words(self) -> str:
        """The rule in words."""
        return _LIMB_RULES[self]


_SURFACE_RULES = {
    SurfaceRule.OURS: "written by this program",
    SurfaceRule.GM_KEY: "General MIDI key",
    SurfaceRule.MAKER_KEY: "key of an electronic kit, outside General MIDI",
    SurfaceRule.INSTRUMENT_NAME: "the instrument's name",
    SurfaceRule.STAFF_PLACE: "place on the staff and notehead",
    SurfaceRule.PITCH_AS_KEY: "pitch read as a General MIDI key",
    SurfaceRule.CHOSEN: "chosen by you",
}
_LIMB_RULES = {
    LimbRule.OURS: "written by this program",
    LimbRule.PEDAL: "the pedal belongs to this foot",
    LimbRule.HANDS: "least movement and alternation",
}


@dataclass(frozen=True, slots=True)
class Hints:
    """What the teacher says about a file.

    ``surfaces`` maps what the file says (see :class:`Meaning`) to a surface here, or to None to
    leave it out. ``meter`` and ``bpm`` (beats of that meter) hold where the file has none.
    """

    surfaces: Mapping[str, Surface | None] = field(default_factory=dict)
    meter: Meter | None = None
    bpm: float | None = None


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a name, key or place in the file was taken to mean, and for how many notes.

    ``surface`` is None for notes left out; ``rule`` is None where no rule knew a surface.
    """

    said: str
    surface: Surface | None
    rule: SurfaceRule | None
    count: int


NO_HINTS = Hints()


@dataclass(frozen=True, slots=True)
class Heard:
    """One stroke as read from a file, before it is known to be playable.

    ``onset`` is in beats from the first bar taken; ``error_beats`` is how far it was moved to stand
    there. ``limb`` is None where the file does not say.
    """

    onset: Fraction
    surface: Surface
    loudness: Loudness
    ornament: Ornament
    rule: SurfaceRule
    limb: Limb | None = None
    error_beats: float = 0.0


@dataclass(frozen=True, slots=True)
class StrokeSource:
    """Where one stroke of an imported figure comes from."""

    stroke: Stroke
    surface_rule: SurfaceRule
    limb_rule: LimbRule
    error_beats: float = 0.0


@dataclass(frozen=True, slots=True)
class Imported:
    """A figure from another program.

    ``sources`` has one entry per stroke of the figure, in the figure's order. ``bpm`` counts the
    meter's beat and is None where the file names no tempo; without it errors in milliseconds are
    None too. ``first_bar`` (from 1) and ``bars_in_file`` say which stretch was taken. ``notes``
    are sentences about what was left out, changed or guessed. ``meanings`` say what the file's own
    words for surfaces were taken for; ``says_meter`` and ``says_tempo`` whether it has any.
    """

    figure: Figure
    sources: tuple[StrokeSource, ...]
    notes: tuple[str, ...]
    bpm: float | None
    first_bar: int
    bars_in_file: int
    meanings: tuple[Meaning, ...] = ()
    says_meter: bool = True
    says_tempo: bool = True

    @property
    def mean_error_beats(self) -> float:
        """How far strokes were moved onto the grid, on average, early or late alike."""
        moved = [abs(source.error_beats) for source in self.sources]
        return sum(moved) / len(moved) if moved else 0.0

    @property
    def worst_error_beats(self) -> float:
        """How far the stroke that was moved the most was moved."""
        return max((abs(source.error_beats) for source in self.sources), default=0.0)

    @property
    def mean_error_ms(self) -> float | None:
        """The mean error at the file's tempo."""
        return _ms(self.mean_error_beats, self.bpm)

    @property
    def worst_error_ms(self) -> float | None:
        """The worst error at the file's tempo."""
        return _ms(self.worst_error_beats, self.bpm)


def _ms(beats: float, bpm: float | None) -> float | None:
    return None if bpm is None else beats * 60_000 / bpm
