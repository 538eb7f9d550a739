"""Strokes and figures: the values that everything else in the engine takes and gives."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from itertools import count

from exercises.rhythm.errors import BadFigure
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.surfaces import Surface

MOST_BARS = 8
MOST_STROKES = 1024
# Subdivisions 2, 3, 4, 6 and 8 of a beat, mixed, plus 5 and 7 from other people's scores.
TICKS_PER_BEAT = 840


class Loudness(StrEnum):
    """How hard a stroke is struck."""

    GHOST = "ghost"
    SOFT = "soft"
    NORMAL = "normal"
    ACCENT = "accent"

    # Several times faster than Enum's own, and dictionaries keyed by loudness are everywhere.
    __hash__ = str.__hash__

    @property
    def level(self) -> int:
        """The loudness as a rank, 0 (ghost) to 3 (accent)."""
        return _LEVELS[self]


_LEVELS = {Loudness.GHOST: 0, Loudness.SOFT: 1, Loudness.NORMAL: 2, Loudness.ACCENT: 3}


class Ornament(StrEnum):
    """Grace strokes that lead into a stroke, or a stick that is let bounce until it dies away."""

    NONE = "none"
    FLAM = "flam"
    DRAG = "drag"
    BUZZ = "buzz"

    @property
    def graces(self) -> int:
        """How many strokes of the other hand lead into the stroke."""
        return _GRACES[self]

    __hash__ = str.__hash__


_GRACES = {Ornament.NONE: 0, Ornament.FLAM: 1, Ornament.DRAG: 2, Ornament.BUZZ: 0}
_ORNAMENTS = {ornament: rank for rank, ornament in enumerate(Ornament)}
_SURFACES = {surface: rank for rank, surface in enumerate(Surface)}
_LIMB_RANKS = {limb: rank for rank, limb in enumerate(LIMBS)}


@dataclass(frozen=True, slots=True)
class Stroke:
    """One limb striking one surface once.

    ``onset`` is counted in beats from the figure's start, exactly. Grace strokes of a flam or drag
    are played by the other hand; they are part of the stroke, not strokes of their own. ``tick`` is
    the onset as a whole number of ticks, ``TICKS_PER_BEAT`` to the beat.
    """

    onset: Fraction
    limb: Limb
    surface: Surface
    loudness: Loudness = Loudness.NORMAL
    ornament: Ornament = Ornament.NONE
    tick: int = field(init=False, repr=False, compare=False)
    _key: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        # The whole stroke as one number, because hashing fractions is what searches would spend
        # their time on. An onset on no tick has no such number; it is compared field by field.
        onset = self.onset
        per_beat, rest = divmod(TICKS_PER_BEAT, onset.denominator)
        tick = onset.numerator * per_beat
        key = -1
        if not rest and tick >= 0:
            key = tick * 4 + _LIMB_RANKS[self.limb]
            key = key * 32 + _SURFACES[self.surface]
            key = key * 16 + _LEVELS[self.loudness] * 4 + _ORNAMENTS[self.ornament]
        object.__setattr__(self, "tick", tick)
        object.__setattr__(self, "_key", key)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Stroke):
            return NotImplemented
        if self._key >= 0 or other._key >= 0:
            return self._key == other._key
        return self._fields() == other._fields()

    def __hash__(self) -> int:
        return self._key if self._key >= 0 else hash(self._fields())

    def _fields(self) -> tuple[object, ...]:
        return (self.onset, self.limb, self.surface, self.loudness, self.ornament)


Line = tuple[Stroke, ...]
"""Everything one limb does, in time order."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A few bars for four limbs, repeated for as long as the player likes.

    ``lines`` holds one :data:`Line` per limb, in the order of :data:`LIMBS`; build it with
    :meth:`of` or :meth:`replacing`. Equality and hash are by meter, bars and strokes: the title is
    a label and does not count, so that duplicates vanish. Equal lines are one object, which keeps
    per-limb analyses cheap to remember.

    :raises BadFigure: when bars are outside 1-8, an onset lies outside the bars or on no tick, a
        limb has two strokes at one moment, or there are more than ``MOST_STROKES``
    """

    meter: Meter
    bars: int
    lines: tuple[Line, Line, Line, Line]
    title: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        right, left, right_foot, left_foot = self.lines
        # Spelt out, because a search makes thousands of figures of lines that are interned already.
        if not (type(right) is type(left) is type(right_foot) is type(left_foot) is InternedLine):
            checked = (
                _intern_line(tuple(line), limb, self.length_beats)
                for limb, line in zip(LIMBS, self.lines, strict=True)
            )
            object.__setattr__(self, "lines", tuple(checked))

    @classmethod
    def of(
        cls, meter: Meter | str, bars: int, strokes: Iterable[Stroke], *, title: str = ""
    ) -> Figure:
        """Build a figure from strokes in any order."""
        meter = Meter.parse(meter) if isinstance(meter, str) else meter
        by_limb: dict[Limb, list[Stroke]] = {limb: [] for limb in LIMBS}
        for number, stroke in enumerate(strokes):
            if number >= MOST_STROKES:
                raise BadFigure(f"a figure has at most {MOST_STROKES} strokes")
            by_limb[stroke.limb].append(stroke)
        if not 1 <= bars <= MOST_BARS:
            raise BadFigure(f"a figure has 1 to {MOST_BARS} bars, not {bars}")
        length = meter.bar_beats * bars
        lines = tuple(_intern_line(tuple(by_limb[limb]), limb, length) for limb in LIMBS)
        return cls(meter, bars, lines, title)  # type: ignore[arg-type]

    def replacing(
        self, changes: Mapping[Limb, Iterable[Stroke]], *, title: str | None = None
    ) -> Figure:
        """The same figure with the named limbs' lines exchanged."""
        lines = tuple(
            _intern_line(tuple(changes[limb]), limb, self.length_beats) if limb in changes else line
            for limb, line in zip(LIMBS, self.lines, strict=True)
        )
        return Figure(self.meter, self.bars, lines, self.title if title is None else title)  # type: ignore[arg-type]

    def titled(self, title: str) -> Figure:
        """The same figure under another title."""
        return Figure(self.meter, self.bars, self.lines, title)

    def line(self, limb: Limb) -> Line:
        """What this limb does, in time order."""
        return self.lines[LIMBS.index(limb)]

    @property
    def length_beats(self) -> Fraction:
        """The whole length in beats."""
        return self.meter.bar_beats * self.bars

    @property
    def limbs(self) -> tuple[Limb, ...]:
        """The limbs that have something to do."""
        return tuple(limb for limb, line in zip(LIMBS, self.lines, strict=True) if line)

    @property
    def strokes(self) -> tuple[Stroke, ...]:
        """All strokes by onset, hands before feet at the same moment."""
        every = [stroke for line in self.lines for stroke in line]
        return tuple(sorted(every, key=lambda s: (s.onset, LIMBS.index(s.limb))))

    def moments(self) -> Iterator[tuple[Fraction, tuple[Stroke, ...]]]:
        """Each moment at which something sounds, with all that sounds there."""
        together: dict[Fraction, list[Stroke]] = {}
        for stroke in self.strokes:
            together.setdefault(stroke.onset, []).append(stroke)
        for onset, strokes in together.items():
            yield onset, tuple(strokes)

    def __len__(self) -> int:
        return sum(len(line) for line in self.lines)


class InternedLine(tuple[Stroke, ...]):
    """A checked line, one object for each content, with its hash remembered.

    ``number`` tells lines apart as cheaply as can be; it is given out in order of first use.
    """

    number: int
    _hash: int

    def __hash__(self) -> int:
        return self._hash

    def __reduce__(self) -> tuple[object, ...]:
        return _intern_ordered, (tuple(self),)


_numbers = count()


@lru_cache(maxsize=65536)
def _intern_ordered(ordered: tuple[Stroke, ...]) -> InternedLine:
    line = InternedLine(ordered)
    line.number = next(_numbers)
    line._hash = hash(ordered)
    return line


def _tick(stroke: Stroke) -> int:
    return stroke.tick


@lru_cache(maxsize=65536)
def _intern_line(strokes: Line, limb: Limb, length: Fraction) -> InternedLine:
    # Ticks, not onsets, are compared: whole numbers are many times faster than fractions. A stroke
    # on no tick has a tick that means nothing, but is refused below wherever it stands.
    ordered = tuple(sorted(strokes, key=_tick))
    end = int(length * TICKS_PER_BEAT)
    before = -1
    for stroke in ordered:
        if stroke.limb is not limb:
            raise BadFigure(f"a {stroke.limb.spoken} stroke stands in the {limb.spoken}'s line")
        if not 0 <= stroke.tick < end:
            raise BadFigure(
                f"the {limb.spoken} strikes at beat {float(stroke.onset) + 1:.2f}, "
                f"outside the figure's {float(length):g} beats"
            )
        if TICKS_PER_BEAT % stroke.onset.denominator:
            raise BadFigure(
                f"the {limb.spoken} strikes at {stroke.onset} beats, which is on no subdivision "
                "of 2 to 8"
            )
        if stroke.tick == before:
            raise BadFigure(
                f"the {limb.spoken} would strike twice at beat {float(stroke.onset) + 1:.2f}"
            )
        before = stroke.tick
    return _intern_ordered(ordered)
