"""Colour, letters and shape of each limb, the same in every picture.

Colours are four of the eight of Masataka Okabe and Kei Ito, "Color Universal Design" (2002, revised
2008), chosen to be told apart by colour-blind readers; letters and shapes say the same again.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from exercises.rhythm.limbs import Limb


class Shape(StrEnum):
    """The outline of a limb's marks."""

    DISC = "disc"
    SQUARE = "square"
    TRIANGLE = "triangle"
    DIAMOND = "diamond"


@dataclass(frozen=True, slots=True)
class LimbLook:
    """How one limb's strokes are drawn."""

    colour: str
    shape: Shape


LIMB_LOOKS: dict[Limb, LimbLook] = {
    Limb.RH: LimbLook("#0072B2", Shape.DISC),
    Limb.LH: LimbLook("#D55E00", Shape.SQUARE),
    Limb.RF: LimbLook("#009E73", Shape.TRIANGLE),
    Limb.LF: LimbLook("#CC79A7", Shape.DIAMOND),
}

PAPER = "#fffefa"
INK = "#1f1b16"
FAINT = "#c9bfa8"
FAINTER = "#e4dcc9"
MUTED = "#6b6254"
