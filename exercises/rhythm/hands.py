"""What two hands share, and so what notation alone cannot tell."""

from __future__ import annotations

from exercises.rhythm.figure import Figure, Line
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Head


def needs_sticking(figure: Figure) -> bool:
    """Tell whether both hands strike what is written at one place with one notehead.

    Then the notes look the same whoever plays them, and only R and L under them say it: a
    paradiddle on the snare is otherwise a row of sixteenths.
    """
    return not _written(figure.line(Limb.RH)).isdisjoint(_written(figure.line(Limb.LH)))


def _written(line: Line) -> set[tuple[str, int, Head]]:
    """Where and how the strokes of a line stand on the staff."""
    facts = {stroke.surface.facts for stroke in line}
    return {(fact.staff_step, fact.staff_octave, fact.head) for fact in facts}
