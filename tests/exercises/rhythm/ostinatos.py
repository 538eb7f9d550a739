"""Even lines for one limb, as the laws of the grade speak of them."""

from __future__ import annotations

from fractions import Fraction

from exercises.rhythm.figure import Figure, Loudness, Stroke
from exercises.rhythm.kit import Kit, Role
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Piece, Surface

QUARTERS_EIGHTHS_SIXTEENTHS = (Fraction(1), Fraction(1, 2), Fraction(1, 4))


def with_ostinato(
    figure: Figure,
    limb: Limb,
    surface: Surface,
    spacing: Fraction,
    *,
    start: Fraction = Fraction(0),
    loudness: Loudness = Loudness.NORMAL,
) -> Figure:
    """The figure with one limb's line exchanged for strokes ``spacing`` beats apart."""
    strokes = []
    onset = start
    while onset < figure.length_beats:
        strokes.append(Stroke(onset, limb, surface, loudness))
        onset += spacing
    return figure.replacing({limb: strokes})


def usual_surfaces(limb: Limb, kit: Kit) -> tuple[Surface, ...]:
    """What an ostinato in this limb is usually played on."""
    role = kit.roles[limb]
    if role is Role.BASS_FOOT:
        return (Surface.BASS_DRUM,)
    if role is Role.HAT_FOOT:
        return (Surface.HI_HAT_FOOT,)
    if Piece.PAD in kit.pieces:
        return (Surface.PAD,)
    return (Surface.HI_HAT, Surface.RIDE, Surface.SNARE, Surface.FLOOR_TOM)
