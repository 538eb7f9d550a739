"""The typed form: a figure as a few lines of plain text that fit in an e-mail.

::

    4/4 Half-time with a busy foot

    RH hi-hat:    x.x. x.x. x.x. x.x. | x.x. x.x. x.x. xxx
    RH ride:      .... .... .... .... | .... .... .... ...
    LH snare:     .... ..g. X... .g.. | .... ..g. X... ..f
    RF bass-drum: x... ..x. ..x. .... | x... ..x. ..x. ...

Rules, all of them:

1. The first line is the meter; what follows it on that line is the title.
2. Every other line is one limb (RH, LH, RF or LF) on one surface, up to a colon, then the beats.
   A line that names no surface means hi-hat, snare, bass-drum or hi-hat-foot, in that order.
3. Beats stand apart by spaces. The characters of a beat share it evenly: ``xxxx`` is four
   sixteenths in 4/4, ``xxx`` a triplet, ``x`` one stroke on the beat; ``xxxxx`` and ``xxxxxxx`` are
   fives and sevens. Every beat has its own number of characters. In an odd meter the last beat of
   the bar is the long one: a bar of 7/8 in eighths is ``xx xx xxx``.
4. ``.`` or ``-`` is a rest; ``x`` a stroke, ``X`` an accent, ``s`` soft, ``g`` a ghost note;
   ``f`` and ``F`` are a flam and an accented flam, ``d`` and ``D`` a drag and an accented drag,
   ``b`` and ``B`` a buzz and an accented buzz. (Seldom needed: soft and ghosted, ``v`` and ``w``
   are flams, ``y`` and ``z`` drags, ``h`` and ``q`` buzzes.)
5. A limb that plays several surfaces has a line for each, one below the other; or it changes
   within a line: a surface's word with a colon holds from there on (``LH snare: xx high-tom: xx``).
6. ``|`` between bars is optional, but stands only where a bar ends.
7. An empty line ends a block of bars: the lines after it go on with the next bars.

The writer makes lines of one surface each, in columns, with as few characters as the figure needs.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

from exercises.rhythm.errors import BadFigure, BadMeter, BadTypedFigure
from exercises.rhythm.figure import MOST_BARS, TICKS_PER_BEAT, Figure, Stroke
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.record import checked_title
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed_words import (
    RESTS,
    STEPS,
    USUAL_SURFACE,
    nearest_words,
    read_surface,
)
from exercises.rhythm.typed_writing import write_typed

__all__ = ["LONGEST_TEXT", "read_typed", "write_typed"]

LONGEST_TEXT = 20_000
_HEADER = re.compile(r"\s*(\d{1,2}\s*/\s*\d{1,2})(?:\s+(.*\S))?\s*$")
_HEAD = re.compile(r"\s*([A-Za-z]{2})(?![A-Za-z])([^:|]*):")
_TOKEN = re.compile(r"\||[^\s|:]+:?|:")
_LIMB_NAMES = "RH, LH, RF or LF"


def read_typed(text: str, *, title: str = "") -> Figure:
    """Read a typed figure; a ``title`` given here wins over the one on the first line.

    :raises BadTypedFigure: with the line and column, and what was expected there
    """
    if len(text) > LONGEST_TEXT:
        raise _bad(f"a typed figure has at most {LONGEST_TEXT} characters", 1)
    lines = list(enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), 1))
    while lines and not lines[0][1].strip():
        lines.pop(0)
    if not lines:
        raise _bad("there is nothing here; begin with the meter, such as 4/4", 1)
    header_number, header = lines.pop(0)
    meter, own_title = _read_header(header, header_number)
    reader = _Reader(meter)
    for number, line in lines:
        if line.strip():
            reader.read_line(line, number)
        else:
            reader.end_block()
    reader.end_block()
    return reader.figure(title or own_title, header_number)


def _read_header(line: str, number: int) -> tuple[Meter, str]:
    match = _HEADER.match(line)
    if match is None:
        raise _bad("expected the meter first, such as 4/4 or 7/8", number, 1)
    try:
        return Meter.parse(match.group(1)), checked_title(match.group(2) or "")
    except BadMeter as bad:
        raise _bad(str(bad), number, match.start(1) + 1) from bad
    except BadFigure as bad:
        raise _bad(str(bad), number, match.start(2) + 1) from bad


def _bad(message: str, line: int, column: int = 0) -> BadTypedFigure:
    where = f"line {line}, column {column}" if column else f"line {line}"
    return BadTypedFigure(f"{where}: {message}", line=line, column=column)


@dataclass
class _Reader:
    """What has been read: whole blocks up to ``bars``, and the lines of the block at hand."""

    meter: Meter
    bars: int = 0
    strokes: list[Stroke] = field(default_factory=list)
    places: dict[tuple[Limb, Fraction], int] = field(default_factory=dict)
    block_bars: int = 0
    block_first: int = 0
    block_heads: dict[tuple[Limb, Surface], int] = field(default_factory=dict)

    def read_line(self, line: str, number: int) -> None:
        limb, surface, start = _read_head(line, number)
        before = self.block_heads.setdefault((limb, surface), number)
        if before != number:
            raise _bad(
                f"line {before} is already {limb.value} on this surface; to go on with the next "
                "bars, leave an empty line between",
                number,
                1,
            )
        bars = self._read_beats(line, number, limb, surface, start)
        if self.block_bars and bars != self.block_bars:
            raise _bad(
                f"expected as many bars as in line {self.block_first} ({self.block_bars}), "
                f"found {bars}",
                number,
                len(line.rstrip()) + 1,
            )
        self.block_bars, self.block_first = bars, self.block_first or number

    def end_block(self) -> None:
        self.bars += self.block_bars
        self.block_bars = self.block_first = 0
        self.block_heads = {}

    def figure(self, title: str, header_number: int) -> Figure:
        if not self.bars:
            raise _bad("expected a line such as RH hi-hat: x.x. x.x.", header_number + 1)
        try:
            return Figure.of(self.meter, self.bars, self.strokes, title=checked_title(title))
        except BadFigure as bad:
            raise _bad(str(bad), header_number) from bad

    def _read_beats(self, line: str, number: int, limb: Limb, surface: Surface, start: int) -> int:
        groups = self.meter.groups
        beats = 0
        onset = self.meter.bar_beats * self.bars
        for token in _TOKEN.finditer(line, start):
            column = token.start() + 1
            cell = token.group()
            if cell == "|":
                if beats % len(groups):
                    raise _bad(self._short_bar(beats, "before this bar line"), number, column)
            elif cell.endswith(":"):
                surface = _read_surface(cell[:-1], number, column)
            else:
                length = groups[beats % len(groups)]
                self._read_cell(cell, onset, length, limb, surface, number, column)
                onset += length
                beats += 1
            if self.bars + -(-beats // len(groups)) > MOST_BARS:
                raise _bad(f"a figure has at most {MOST_BARS} bars", number, column)
        if beats == 0 or beats % len(groups):
            raise _bad(self._short_bar(beats, "at the end"), number, len(line.rstrip()) + 1)
        return beats // len(groups)

    def _short_bar(self, beats: int, where: str) -> str:
        whole = len(self.meter.groups)
        return (
            f"expected {whole} beats to a bar of {self.meter}, with spaces between them; "
            f"found {beats % whole} {where}"
        )

    def _read_cell(
        self,
        cell: str,
        onset: Fraction,
        length: Fraction,
        limb: Limb,
        surface: Surface,
        number: int,
        column: int,
    ) -> None:
        step = length / len(cell)
        if TICKS_PER_BEAT % step.denominator:
            raise _bad(
                f"a beat of {len(cell)} characters cannot be counted; expected 1 to 8, and a space "
                "before the next beat",
                number,
                column,
            )
        for place, letter in enumerate(cell):
            if letter in RESTS:
                continue
            if letter not in STEPS:
                raise _bad(
                    f"{letter!r} is no stroke; expected . for a rest or one of {' '.join(STEPS)}",
                    number,
                    column + place,
                )
            stroke = Stroke(onset + place * step, limb, surface, *STEPS[letter])
            before = self.places.setdefault((limb, stroke.onset), number)
            if before != number:
                raise _bad(
                    f"the {limb.spoken} already strikes at this moment in line {before}",
                    number,
                    column + place,
                )
            self.strokes.append(stroke)


def _read_head(line: str, number: int) -> tuple[Limb, Surface, int]:
    match = _HEAD.match(line)
    column = len(line) - len(line.lstrip()) + 1
    if match is None:
        raise _bad(
            f"expected a limb ({_LIMB_NAMES}), a surface and a colon, such as RH hi-hat:",
            number,
            column,
        )
    name = match.group(1).upper()
    if name not in LIMBS:
        raise _bad(f"expected a limb, {_LIMB_NAMES}, not {match.group(1)}", number, column)
    limb = Limb(name)
    words = match.group(2)
    if not words.strip():
        return limb, USUAL_SURFACE[limb], match.end()
    at = match.start(2) + len(words) - len(words.lstrip()) + 1
    return limb, _read_surface(words, number, at), match.end()


def _read_surface(words: str, number: int, column: int) -> Surface:
    surface = read_surface(words)
    if surface is None:
        raise _bad(
            f"no surface is called {words.strip()[:40]!r}; expected {nearest_words(words)}",
            number,
            column,
        )
    return surface
