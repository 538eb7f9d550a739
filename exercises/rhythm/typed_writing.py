"""Figures written in the typed form; its rules are in :mod:`exercises.rhythm.typed`."""

from __future__ import annotations

from collections.abc import Hashable
from fractions import Fraction
from math import gcd, lcm

from exercises.rhythm.figure import Figure, Stroke
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed_words import LETTERS, REST, USUAL_SURFACE, surface_word

# Plain-text mail is folded at 78 characters (RFC 5322, section 2.1.1).
_WIDEST_LINE = 78
_BAR_LINE = " | "

Cell = tuple[Fraction, Fraction]
"""One beat as typed: where it starts and how long it is, in beats."""
Lane = tuple[Limb, Surface, dict[Fraction, Stroke]]
"""What becomes one line: a limb on a surface, and its strokes by onset."""


def write_typed(figure: Figure) -> str:
    """Return the figure's typed form, which ``read_typed`` reads back to an equal figure.

    All lines share one number of characters to the beat where eight or fewer will do, so that
    what sounds together stands in one column.
    """
    lanes = _lanes(figure)
    cells = _cells(figure)
    steps = _steps(lanes, cells, most=12 if figure.meter.is_compound else 8)
    rows = [[_write_cell(lane, cell, row[cell]) for cell in cells] for lane, row in steps]
    widths = [max(len(row[place]) for row in rows) for place in range(len(cells))]
    heads = [f"{limb.value} {surface_word(surface)}:" for limb, surface, _ in lanes]
    indent = max(len(head) for head in heads) + 1
    per_bar = len(figure.meter.groups)
    lines = [f"{figure.meter} {' '.join(figure.title.split())}".rstrip()]
    for first, last in _blocks(widths, per_bar, _WIDEST_LINE - indent):
        lines.append("")
        for head, row in zip(heads, rows, strict=True):
            padded = [text.ljust(width) for text, width in zip(row, widths, strict=True)]
            bars = [" ".join(padded[at : at + per_bar]) for at in range(first, last, per_bar)]
            lines.append((head.ljust(indent) + _BAR_LINE.join(bars)).rstrip())
    return "\n".join(lines) + "\n"


def _lanes(figure: Figure) -> list[Lane]:
    lanes: list[Lane] = []
    for limb in LIMBS:
        by_surface: dict[Surface, dict[Fraction, Stroke]] = {}
        for stroke in figure.line(limb):
            by_surface.setdefault(stroke.surface, {})[stroke.onset] = stroke
        lanes.extend((limb, surface, strokes) for surface, strokes in by_surface.items())
    return lanes or [(Limb.RH, USUAL_SURFACE[Limb.RH], {})]


def _cells(figure: Figure) -> list[Cell]:
    cells: list[Cell] = []
    onset = Fraction(0)
    for length in figure.meter.groups * figure.bars:
        cells.append((onset, length))
        onset += length
    return cells


def _steps(
    lanes: list[Lane], cells: list[Cell], *, most: int
) -> list[tuple[Lane, dict[Cell, int]]]:
    """How many characters each lane gives to each cell.

    First the least that each needs; then, where no more than ``most`` per beat come of it, the same
    for all lanes within a cell, and the same for all cells of a kind (those in triplets, say).
    """
    table = [(lane, {cell: _least_steps(lane[2], cell) for cell in cells}) for lane in lanes]
    for key in (_by_cell, _by_kind):
        shared: dict[Hashable, int] = {}
        for _, row in table:
            for cell, count in row.items():
                shared[key(cell, count)] = lcm(shared.get(key(cell, count), 1), count)
        for _, row in table:
            for cell, count in row.items():
                together = shared[key(cell, count)]
                row[cell] = together if together <= most * cell[1] else count
    return table


def _by_cell(cell: Cell, count: int) -> Hashable:
    del count
    return cell


def _by_kind(cell: Cell, count: int) -> Hashable:
    return cell[1], gcd(count, 3 * 5 * 7)


def _least_steps(strokes: dict[Fraction, Stroke], cell: Cell) -> int:
    start, length = cell
    inside = (onset for onset in strokes if start <= onset < start + length)
    return lcm(*(((onset - start) / length).denominator for onset in inside))


def _write_cell(lane: Lane, cell: Cell, count: int) -> str:
    _, _, strokes = lane
    start, length = cell
    places = (strokes.get(start + length * place / count) for place in range(count))
    return "".join(REST if s is None else LETTERS[s.loudness, s.ornament] for s in places)


def _blocks(widths: list[int], per_bar: int, room: int) -> list[tuple[int, int]]:
    """Cut the cells into runs of whole bars that fit into ``room`` characters, or of one bar."""
    blocks: list[tuple[int, int]] = []
    used = 0
    for at in range(0, len(widths), per_bar):
        bar = sum(widths[at : at + per_bar]) + per_bar - 1
        if blocks and used + len(_BAR_LINE) + bar <= room:
            blocks[-1] = (blocks[-1][0], at + per_bar)
            used += len(_BAR_LINE) + bar
        else:
            blocks.append((at, at + per_bar))
            used = bar
    return blocks
