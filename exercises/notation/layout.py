"""How many bars stand on a line, and how large: from the width that the page has."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from exercises.notation.bar_cuts import bar_cuts
from exercises.notation.count_line import said
from exercises.rhythm.figure import Figure, Loudness, Ornament

CLEF_AND_METER_SPACES = 7.0
"""What clef, meter and the closing barline take of a line, in staff spaces (measured)."""

_LEAST_COLUMN = 1.9
_LETTER = 0.62
_WIDEST_STRETCH = 1.7
_TIGHTEST = 1.02
LEAST_SHARE = 0.7
"""Below this share of the staff that was asked for, a bar is cut in two rather than shrunk."""
_NARROW_PX = 560
_MIDDLE_PX = 900


@dataclass(frozen=True, slots=True)
class Layout:
    """A line's bars, its width in staff spaces, and the staff's height in the page's units.

    ``cuts_bars`` puts every bar that can be cut on two lines, because it would be too small on one.
    """

    bars_per_line: int
    width_spaces: float
    staff_height: float
    cuts_bars: bool = False

    @property
    def width(self) -> float:
        """The drawing's width in the page's units."""
        return self.width_spaces * self.staff_height / 4


def screen_layout(
    figure: Figure,
    width_px: float,
    staff_px: float | None = None,
    bars_per_line: int | None = None,
    *,
    counting: bool = False,
) -> Layout:
    """Lay a figure out on a screen: one bar a line on a phone, as large as fits."""
    if width_px < _NARROW_PX:
        most, staff = 1, 48.0
    else:
        most, staff = (2, 42.0) if width_px < _MIDDLE_PX else (4, 42.0)
    return layout(
        figure,
        width_px,
        staff_px or staff,
        most_bars=bars_per_line or most,
        is_exact=bars_per_line is not None,
        may_cut=True,
        counting=counting,
    )


def layout(
    figure: Figure,
    width: float,
    staff_height: float,
    *,
    most_bars: int = 4,
    is_exact: bool = False,
    may_cut: bool = False,
    counting: bool = False,
) -> Layout:
    """Choose bars per line and shrink the staff where even one bar is too wide for it.

    ``is_exact`` keeps ``most_bars`` on every line, at whatever size they fit; with ``may_cut`` a
    line of one bar is cut in two before it shrinks below ``LEAST_SHARE`` of the staff asked for;
    ``counting`` leaves room for syllables under the notes.
    """
    bars = bar_widths(figure, counting=counting)
    spaces = width / (staff_height / 4)
    choices = [min(most_bars, figure.bars)] if is_exact else _line_lengths(figure.bars, most_bars)
    for count in choices:
        natural = _widest_line(bars, count)
        if natural * _TIGHTEST <= spaces:
            return Layout(count, min(spaces, natural * _WIDEST_STRETCH), staff_height)
    natural = _widest_line(bars, choices[-1]) * _TIGHTEST
    if may_cut and choices[-1] == 1 and spaces / natural < LEAST_SHARE:
        halves = _widest_line(_part_widths(figure, counting=counting), 1) * _TIGHTEST
        if halves < natural:
            fitting = min(spaces, halves * _WIDEST_STRETCH)
            staff = staff_height * min(1.0, spaces / halves)
            return Layout(1, max(halves, fitting), staff, cuts_bars=True)
    return Layout(choices[-1], natural, staff_height * spaces / natural)


def _line_lengths(bars: int, most: int) -> list[int]:
    """Bars per line to try, longest first: even lines, or failing that the nearest to even."""
    even = [count for count in range(min(bars, most), 0, -1) if bars % count == 0]
    return even if len(even) > 1 or bars == 1 else list(range(min(bars, most), 0, -1))


def _widest_line(bars: tuple[float, ...], count: int) -> float:
    lines = [sum(bars[i : i + count]) for i in range(0, len(bars), count)]
    return CLEF_AND_METER_SPACES + max(lines)


@lru_cache(maxsize=512)
def bar_widths(figure: Figure, *, counting: bool = False) -> tuple[float, ...]:
    """The natural width of each bar in staff spaces.

    An estimate fitted to what the engraver gives unforced: a column takes more room the longer it
    lasts, ghost-note brackets, grace notes and the syllable under it widen it.
    """
    end = float(figure.meter.bar_beats * figure.meter.beat_quarters)
    return tuple(_bar_width(bar, end) for bar in _columns(figure, counting=counting))


@lru_cache(maxsize=512)
def _part_widths(figure: Figure, *, counting: bool = False) -> tuple[float, ...]:
    """The natural width of each line when every bar that can be cut is cut."""
    end = float(figure.meter.bar_beats * figure.meter.beat_quarters)
    widths: list[float] = []
    columns = _columns(figure, counting=counting)
    for bar, cut in zip(columns, bar_cuts(figure), strict=True):
        if cut is None:
            widths.append(_bar_width(bar, end))
            continue
        place = float(cut)
        widths.append(_bar_width([one for one in bar if one.place < place], place))
        later = [replace(one, place=one.place - place) for one in bar if one.place >= place]
        widths.append(_bar_width(later, end - place))
    return tuple(widths)


def _columns(figure: Figure, *, counting: bool) -> list[list[_Column]]:
    meter = figure.meter
    columns: list[list[_Column]] = [[] for _ in range(figure.bars)]
    for onset, strokes in figure.moments():
        bar, at = divmod(onset, meter.bar_beats)
        extra = 0.6 * any(s.loudness is Loudness.GHOST for s in strokes)
        extra += 1.5 * any(s.ornament is Ornament.FLAM for s in strokes)
        extra += 2.7 * any(s.ornament is Ornament.DRAG for s in strokes)
        letters = len(said(figure, onset)) if counting else 0
        least = _LEAST_COLUMN + (_LETTER * letters if letters > 1 else 0.0)
        columns[int(bar)].append(_Column(float(at * meter.beat_quarters), extra, least))
    return columns


@dataclass(frozen=True, slots=True)
class _Column:
    """One moment of a bar: its place in quarters, what stands beside its note, its least width."""

    place: float
    extra: float = 0.0
    least: float = 0.0


def _bar_width(columns: list[_Column], end: float) -> float:
    if not columns or columns[0].place > 0:
        columns = [_Column(0.0), *columns]
    width = 1.0
    for column, after in zip(columns, [*(c.place for c in columns[1:]), end], strict=True):
        room = 3.7 * math.pow(after - column.place, 0.55)
        width += column.extra + max(_LEAST_COLUMN, column.least, room)
    return width
