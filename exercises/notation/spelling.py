"""One voice's beat group spelt: note values, rests, tuplets and beams, from its onsets alone.

Groups recur all the time (four sixteenths are four sixteenths on every beat of every bar), so a
spelling is worked out once for each pattern of onsets and remembered.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from exercises.notation.beams import Beam, beamed
from exercises.notation.cells import Cell, Tuplet, cells
from exercises.notation.note_values import NoteValue, rest_values, ringing_value


@dataclass(frozen=True, slots=True)
class Sign:
    """A note or a rest of a group: times in quarters from the group's start.

    ``edge`` holds ``"start"`` and ``"stop"`` where the sign opens or closes its tuplet.
    """

    onset: Fraction
    length: Fraction
    value: NoteValue
    is_rest: bool
    tuplet: Tuplet | None = None
    edge: frozenset[str] = frozenset()
    beams: tuple[Beam, ...] = ()


@lru_cache(maxsize=4096)
def spelt(length: Fraction, beat: Fraction, onsets: tuple[Fraction, ...]) -> tuple[Sign, ...]:
    """Spell a group of ``length`` quarters, whose meter's beat is ``beat`` quarters."""
    signs: list[Sign] = []
    for cell in cells(Fraction(0), length, onsets, beat):
        signs.extend(_cell_signs(cell, onsets))
    return beamed(signs, beat)


def _cell_signs(cell: Cell, onsets: tuple[Fraction, ...]) -> list[Sign]:
    stretch = cell.tuplet.stretch if cell.tuplet else Fraction(1)
    signs: list[Sign] = []

    def add(at: Fraction, value: NoteValue, *, is_rest: bool) -> Fraction:
        """Append a sign at the written position and give the position after it."""
        onset = cell.start + at / stretch
        signs.append(Sign(onset, value.length / stretch, value, is_rest, cell.tuplet))
        return at + value.length

    def rest(at: Fraction, until: Fraction) -> None:
        for value in rest_values(at, until - at):
            at = add(at, value, is_rest=True)

    end = cell.length * stretch
    places = [(o - cell.start) * stretch for o in onsets if cell.start <= o < cell.end]
    rest(Fraction(0), places[0] if places else end)
    for place, after in zip(places, [*places[1:], end], strict=False):
        rest(add(place, ringing_value(place, after - place), is_rest=False), after)
    if cell.tuplet:
        signs[0] = replace(signs[0], edge=signs[0].edge | {"start"})
        signs[-1] = replace(signs[-1], edge=signs[-1].edge | {"stop"})
    return signs
