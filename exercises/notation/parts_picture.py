"""The parts of a grade as a small picture: what makes a figure as hard as it is.

One strip of blocks, each as long as its part, with the part's first letters under it; and two such
strips side by side, from a middle line outwards, where two figures are compared. The order of the
parts is always the same, so that two strips can be told apart at a glance.
"""

from __future__ import annotations

from collections.abc import Sequence

from exercises.notation.palette import FAINT, INK, MUTED, PAPER
from exercises.notation.picture import Block, Part, Picture, Rule, Words, to_svg
from exercises.rhythm.comparing import PartDifference
from exercises.rhythm.grade import Grade

_SCALE_POINTS = 10.0
_ROW = 22.0
_BAR = 11.0
_LABELLED_SHARE = 0.055
"""A block shorter than this share of the strip has no room for its letters."""


def parts_strip(grade: Grade, *, width: float = 240, label: str = "") -> str:
    """Draw a grade as one strip, ten points wide, as an SVG element."""
    return to_svg(strip_picture(grade, width), kind="parts-strip", label=label)


def strip_picture(grade: Grade, width: float) -> Picture:
    """The strip's parts in a box ``width`` wide and 26 high."""
    parts: list[Part] = [Rule((0, 15.5), (width, 15.5), "strip-scale", FAINT, 1)]
    at = 0.0
    for number, part in enumerate(grade.parts):
        length = part.points / _SCALE_POINTS * width
        if length <= 0:
            continue
        fill = INK if number % 2 == 0 else MUTED
        parts.append(Block((at, 0), (max(0.6, length - 0.8), 13), f"strip-{number % 2}", fill))
        if length >= _LABELLED_SHARE * width:
            word = part.label[: max(3, int(length / 5.2))]
            parts.append(Words((at + length / 2, 24), word, 8, "strip-word", MUTED))
        at += length
    return Picture(width, 26, tuple(parts))


def differences_picture(differences: Sequence[PartDifference], *, width: float = 320) -> str:
    """Draw two grades part by part: the first to the left of the middle, the second to the right.

    Hidden from screen readers: the table beside it says the same in words.
    """
    shown = [part for part in differences if part.first or part.second]
    most = max((max(part.first, part.second) for part in shown), default=1.0)
    middle = width / 2
    reach = middle - 4
    height = _ROW * len(shown)
    parts: list[Part] = [Rule((middle, 0), (middle, height), "strip-scale", FAINT, 1)]
    for row, part in enumerate(shown):
        top = row * _ROW + 10
        left, right = part.first / most * reach, part.second / most * reach
        parts += [
            Words((middle, top - 2), part.label, 8.5, "strip-word", MUTED),
            Block((middle - 1 - left, top), (left, _BAR), "strip-1", MUTED),
            Block((middle + 1, top), (right, _BAR), "strip-0", INK),
        ]
        for number, length, side in ((part.first, left, -1), (part.second, right, 1)):
            is_inside = length > 24
            anchor = "start" if (side < 0) == is_inside else "end"
            gap = 3 if is_inside else -3
            edge = middle + side * (length + 1 - gap)
            colour = PAPER if is_inside else MUTED
            kind = "strip-inside" if is_inside else "strip-word"
            parts.append(Words((edge, top + 8.5), f"{number:.1f}", 8, kind, colour, anchor))
    return to_svg(Picture(width, height, tuple(parts)), kind="parts-compared")
