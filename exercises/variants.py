"""Variants that are named in an address: an exercise and the codes of the moves made on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from exercises.models import Exercise
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure
from exercises.rhythm.moves.codes import from_code

MOST_MOVES = 8


class NoSuchVariant(RhythmError):
    """The address names moves that do not exist, or that this figure refuses."""


@dataclass(frozen=True, slots=True)
class GrownFigure:
    """What an exercise becomes by some moves; without moves it is the exercise's own figure."""

    figure: Figure
    codes: tuple[str, ...]
    changes: tuple[str, ...]

    @property
    def said(self) -> str:
        """All moves as one line of plain English."""
        return "; then ".join(self.changes)

    @property
    def query(self) -> str:
        """The moves as the end of an address, without its question mark."""
        return moves_query(self.codes)


def moves_query(codes: Sequence[str]) -> str:
    """Return the moves as they stand in an address."""
    return urlencode([("move", code) for code in codes])


def grown(exercise: Exercise, codes: Sequence[str]) -> GrownFigure:
    """Make the moves on the exercise, one after another.

    :raises NoSuchVariant: for a code that is no move, a move that is refused, or too many
    """
    if len(codes) > MOST_MOVES:
        raise NoSuchVariant(f"A variant is at most {MOST_MOVES} changes away from its core.")
    figure, changes = exercise.figure, []
    for code in codes:
        try:
            move = from_code(code)
            figure = move.apply(figure, exercise.played_on)
        except RhythmError as refused:
            raise NoSuchVariant(
                f"“{code[:60]}” cannot be done to {exercise.title}: {refused}"
            ) from refused
        changes.append(move.words)
    title = exercise.title if not codes else variant_title(exercise.title, changes)
    return GrownFigure(figure.titled(title), tuple(codes), tuple(changes))


def variant_title(core_title: str, changes: Sequence[str]) -> str:
    """Return a title for a variant: its core's and the last change."""
    stem = core_title.split(": ", 1)[0]
    return f"{stem}: {changes[-1].replace(': ', ', ')}"[:120]
