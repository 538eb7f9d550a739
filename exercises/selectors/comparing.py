"""Two figures side by side, and where the difference between them comes from."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString

from exercises.engraving_cache import NotationOptions
from exercises.models import Exercise
from exercises.notation.parts_picture import differences_picture
from exercises.rhythm.comparing import (
    PartDifference,
    difference_words,
    line_differences,
    part_differences,
)
from exercises.rhythm.figure import Figure
from exercises.rhythm.kit import Kit
from exercises.selectors.figures import FigureSheet, figure_sheet
from exercises.selectors.library import ExerciseCard, exercise_card
from studio.models import User

_CHOICES = 24


@dataclass(frozen=True, slots=True)
class ComparedSide:
    """One of the two: its figure from every side, and where to hear and open it."""

    title: str
    sheet: FigureSheet
    exercise: Exercise
    query: str


@dataclass(frozen=True, slots=True)
class Compared:
    """Two figures, their differences stroke by stroke in words and part by part of the grade."""

    first: ComparedSide
    second: ComparedSide
    strokes: tuple[str, ...]
    parts: tuple[PartDifference, ...]
    picture: SafeString

    @property
    def sides(self) -> tuple[ComparedSide, ComparedSide]:
        """Both, in order."""
        return self.first, self.second

    @property
    def telling(self) -> tuple[PartDifference, ...]:
        """The parts whose difference shows as a tenth of a point."""
        return tuple(part for part in self.parts if part.counts)

    @property
    def rise(self) -> float | None:
        """The second's grade less the first's; None when one of them cannot be played."""
        if self.first.sheet.grade is None or self.second.sheet.grade is None:
            return None
        return self.second.sheet.grade.total - self.first.sheet.grade.total


def compared_side(
    *, exercise: Exercise, figure: Figure, query: str, bpm: int, width: int, kit: Kit
) -> ComparedSide:
    """Look at one of the two."""
    options = NotationOptions(width=width)
    sheet = figure_sheet(figure, bpm=bpm, kit=kit, options=options)
    return ComparedSide(figure.title, sheet, exercise, query)


def compared(first: ComparedSide, second: ComparedSide) -> Compared:
    """Set two figures against each other."""
    parts: tuple[PartDifference, ...] = ()
    if first.sheet.grade is not None and second.sheet.grade is not None:
        parts = part_differences(first.sheet.grade, second.sheet.grade)
    in_order = sorted(parts, key=lambda part: part.label)
    # Drawn by us from numbers and the engine's own labels.
    picture = SafeString(differences_picture(in_order)) if parts else SafeString("")
    strokes: tuple[str, ...] = ()
    if first.sheet.figure.meter == second.sheet.figure.meter:
        strokes = tuple(
            difference_words(difference, first.sheet.figure)
            for difference in line_differences(first.sheet.figure, second.sheet.figure)
        )
    return Compared(first, second, strokes, parts, picture)


def compare_choices(*, user: User, besides: Exercise | None, q: str) -> list[ExerciseCard]:
    """Return what may be compared: the exercise's own relations first, then by title."""
    found = Exercise.objects.visible_to(user).current()
    if q:
        found = found.titled_like(q)
    if besides is not None:
        found = found.exclude(pk=besides.pk)
        near = found.filter(core_id__in=[besides.pk, besides.core_id or 0])
        near |= found.filter(pk=besides.core_id or 0)
        rows = [*near.order_by("grade", "pk")[:_CHOICES]]
        known = [row.pk for row in rows]
        rows += found.exclude(pk__in=known).order_by("title", "pk")[: _CHOICES - len(rows)]
    else:
        rows = [*found.order_by("title", "pk")[:_CHOICES]]
    return [exercise_card(row, size=72) for row in rows]
