"""Beams: which notes of a voice hang together, level by level.

Notes are beamed inside their beat group, as the meter asks. From thirty-second notes on, the inner
beams break where the group's next larger division falls, so that the eye finds the place: at the
half of a beat, at each eighth of a compound beat. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from exercises.notation.spelling import Sign


class Beam(StrEnum):
    """What one beam level does at one note, as MusicXML names it."""

    BEGIN = "begin"
    CONTINUE = "continue"
    END = "end"
    FORWARD_HOOK = "forward hook"
    BACKWARD_HOOK = "backward hook"


def beamed(group: list[Sign], beat: Fraction) -> tuple[Sign, ...]:
    """A beat group's signs with beams set on every note that hangs on one."""
    for run in _runs(group):
        notes = [group[index] for index in run]
        levels = _levels(notes, _break_every(notes, beat))
        for index, beams in zip(run, levels, strict=True):
            group[index] = replace(group[index], beams=beams)
    return tuple(group)


def _runs(group: Sequence[Sign]) -> list[list[int]]:
    """Indices of the notes under each main beam: two or more short notes, rests passed over.

    A beam does not cross the edge of a tuplet: the engraver would misplace what is under it.
    """
    runs: list[list[int]] = [[]]
    for index, sign in enumerate(group):
        if "start" in sign.edge:
            runs.append([])
        if sign.value.beam_count == 0:
            runs.append([])
        elif not sign.is_rest:
            runs[-1].append(index)
        if "stop" in sign.edge:
            runs.append([])
    return [run for run in runs if len(run) > 1]


def _break_every(notes: Sequence[Sign], beat: Fraction) -> Fraction | None:
    """The distance in quarters at which inner beams break; None where they never do."""
    deepest = max(note.value.beam_count for note in notes)
    if beat == 2 and deepest == 2:
        return Fraction(1)
    if deepest < 3 or notes[0].tuplet:
        return None
    return Fraction(1, 2)


def _levels(notes: Sequence[Sign], step: Fraction | None) -> list[tuple[Beam, ...]]:
    beams: list[list[Beam]] = [[] for _ in notes]
    for level in range(1, max(note.value.beam_count for note in notes) + 1):
        for stretch in _stretches(notes, level, step):
            if len(stretch) == 1:
                beams[stretch[0]].append(_hook(notes, stretch[0], step))
                continue
            beams[stretch[0]].append(Beam.BEGIN)
            for index in stretch[1:-1]:
                beams[index].append(Beam.CONTINUE)
            beams[stretch[-1]].append(Beam.END)
    return [tuple(note) for note in beams]


def _stretches(notes: Sequence[Sign], level: int, step: Fraction | None) -> list[list[int]]:
    """Neighbours that share this beam level."""
    stretches: list[list[int]] = [[]]
    for index, note in enumerate(notes):
        if note.value.beam_count < level:
            stretches.append([])
            continue
        if stretches[-1] and level > 1 and _is_broken(notes[index - 1], note, step):
            stretches.append([])
        stretches[-1].append(index)
    return [stretch for stretch in stretches if stretch]


def _is_broken(before: Sign, after: Sign, step: Fraction | None) -> bool:
    return step is not None and before.onset // step != after.onset // step


def _hook(notes: Sequence[Sign], index: int, step: Fraction | None) -> Beam:
    """A short note alone on its level points to the note that it completes a beat with."""
    if index == 0:
        return Beam.FORWARD_HOOK
    if index == len(notes) - 1:
        return Beam.BACKWARD_HOOK
    note = notes[index]
    if _is_broken(notes[index - 1], note, step):
        return Beam.FORWARD_HOOK
    if _is_broken(note, notes[index + 1], step):
        return Beam.BACKWARD_HOOK
    return Beam.BACKWARD_HOOK if notes[index - 1].value.dots else Beam.FORWARD_HOOK
