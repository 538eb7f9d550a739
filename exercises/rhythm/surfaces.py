"""What can be struck: a kit piece and the way it is struck.

Keys are those of the General MIDI Level 1 percussion key map (MMA/AMEI, 1991). Staff places and
noteheads follow Norman Weinberg, "Guidelines for Drumset Notation", Percussive Notes, June 1994, in
the encoding that LilyPond's ``weinberg-drums-style`` gives. GM has one snare, so the rim shot takes
GM 40 ("Electric Snare"), the half-open hi-hat is told from the open one by our own MIDI text, and
the practice pad takes GM 76 ("Hi Wood Block"): these three are our choices.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Piece(StrEnum):
    """A thing that stands on the floor or hangs on a stand."""

    BASS_DRUM = "bass_drum"
    SNARE = "snare"
    HIGH_TOM = "high_tom"
    MID_TOM = "mid_tom"
    FLOOR_TOM = "floor_tom"
    HI_HAT = "hi_hat"
    RIDE = "ride"
    CRASH = "crash"
    SPLASH = "splash"
    CHINA = "china"
    COWBELL = "cowbell"
    PAD = "pad"

    __hash__ = str.__hash__


class Head(StrEnum):
    """The shape of a notehead."""

    NORMAL = "normal"
    CROSS = "cross"
    CIRCLE_CROSS = "circle_cross"
    DIAMOND = "diamond"
    TRIANGLE = "triangle"
    SLASHED = "slashed"


class Mark(StrEnum):
    """A sign over the notehead that tells how a cymbal is held."""

    NONE = "none"
    CLOSED = "closed"
    HALF_OPEN = "half_open"
    OPEN = "open"


class Surface(StrEnum):
    """A kit piece together with the way it is struck."""

    BASS_DRUM = "bass_drum"
    SNARE = "snare"
    CROSS_STICK = "cross_stick"
    RIM_SHOT = "rim_shot"
    HIGH_TOM = "high_tom"
    MID_TOM = "mid_tom"
    FLOOR_TOM = "floor_tom"
    HI_HAT = "hi_hat"
    HI_HAT_HALF_OPEN = "hi_hat_half_open"
    HI_HAT_OPEN = "hi_hat_open"
    HI_HAT_FOOT = "hi_hat_foot"
    HI_HAT_SPLASH = "hi_hat_splash"
    RIDE = "ride"
    RIDE_BELL = "ride_bell"
    CRASH = "crash"
    SPLASH = "splash"
    CHINA = "china"
    COWBELL = "cowbell"
    PAD = "pad"

    # Several times faster than Enum's own, and dictionaries keyed by surface are everywhere.
    __hash__ = str.__hash__

    @property
    def facts(self) -> SurfaceFacts:
        """Everything fixed about this surface."""
        return FACTS[self]

    @property
    def spoken(self) -> str:
        """The surface in words."""
        return FACTS[self].spoken

    @property
    def by_foot(self) -> bool:
        """True for the surfaces that only a pedal reaches."""
        return FACTS[self].by_foot


@dataclass(frozen=True, slots=True)
class SurfaceFacts:
    """The fixed facts of one surface.

    ``gm_key`` is a General MIDI key (0-127). ``staff_step`` and ``staff_octave`` are the place on a
    five-line staff with a percussion clef, read like a treble clef.
    """

    spoken: str
    piece: Piece
    gm_key: int
    staff_step: str
    staff_octave: int
    head: Head
    mark: Mark = Mark.NONE
    by_foot: bool = False


# Where a stick can be let bounce: a skin or a pad, struck in its middle.
BOUNCING = frozenset(
    {Surface.SNARE, Surface.HIGH_TOM, Surface.MID_TOM, Surface.FLOOR_TOM, Surface.PAD}
)

FACTS: dict[Surface, SurfaceFacts] = {
    Surface.BASS_DRUM: SurfaceFacts(
        "bass drum", Piece.BASS_DRUM, 36, "F", 4, Head.NORMAL, by_foot=True
    ),
    Surface.SNARE: SurfaceFacts("snare", Piece.SNARE, 38, "C", 5, Head.NORMAL),
    Surface.CROSS_STICK: SurfaceFacts("cross-stick", Piece.SNARE, 37, "C", 5, Head.CROSS),
    Surface.RIM_SHOT: SurfaceFacts("rim shot", Piece.SNARE, 40, "C", 5, Head.SLASHED),
    Surface.HIGH_TOM: SurfaceFacts("high tom", Piece.HIGH_TOM, 50, "F", 5, Head.NORMAL),
    Surface.MID_TOM: SurfaceFacts("mid tom", Piece.MID_TOM, 47, "D", 5, Head.NORMAL),
    Surface.FLOOR_TOM: SurfaceFacts("floor tom", Piece.FLOOR_TOM, 43, "A", 4, Head.NORMAL),
    Surface.HI_HAT: SurfaceFacts("hi-hat", Piece.HI_HAT, 42, "G", 5, Head.CROSS),
    Surface.HI_HAT_HALF_OPEN: SurfaceFacts(
        "half-open hi-hat", Piece.HI_HAT, 46, "G", 5, Head.CROSS, Mark.HALF_OPEN
    ),
    Surface.HI_HAT_OPEN: SurfaceFacts(
        "open hi-hat", Piece.HI_HAT, 46, "G", 5, Head.CROSS, Mark.OPEN
    ),
    Surface.HI_HAT_FOOT: SurfaceFacts(
        "hi-hat foot", Piece.HI_HAT, 44, "D", 4, Head.CROSS, by_foot=True
    ),
    Surface.HI_HAT_SPLASH: SurfaceFacts(
        "hi-hat foot splash", Piece.HI_HAT, 44, "D", 4, Head.CIRCLE_CROSS, Mark.OPEN, by_foot=True
    ),
    Surface.RIDE: SurfaceFacts("ride", Piece.RIDE, 51, "F", 5, Head.CROSS),
    Surface.RIDE_BELL: SurfaceFacts("ride bell", Piece.RIDE, 53, "F", 5, Head.DIAMOND),
    Surface.CRASH: SurfaceFacts("crash", Piece.CRASH, 49, "A", 5, Head.CROSS),
    Surface.SPLASH: SurfaceFacts("splash", Piece.SPLASH, 55, "A", 5, Head.DIAMOND),
    Surface.CHINA: SurfaceFacts("china", Piece.CHINA, 52, "B", 5, Head.CROSS),
    Surface.COWBELL: SurfaceFacts("cowbell", Piece.COWBELL, 56, "E", 5, Head.TRIANGLE),
    Surface.PAD: SurfaceFacts("practice pad", Piece.PAD, 76, "C", 5, Head.NORMAL),
}
