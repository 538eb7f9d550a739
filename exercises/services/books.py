"""Practice books: asked for on a page, printed as long work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, cast

from django.utils.text import slugify

from exercises.models import Exercise
from exercises.notation.book import MOST_EXERCISES, Book, practice_book
from exercises.notation.engraving import EngravingError
from exercises.notation.sheet import Paper, SheetItem
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.moves import from_code
from studio.long_work import Progress, WorkRefused, WorkResult, work_start
from studio.models import LongWork, Student, Studio, User

KIND = "practice book"


@dataclass(frozen=True, slots=True)
class BookWish:
    """What a teacher asks of a book; the exercises in their order.

    ``changes`` says of an exercise's number how it came from the one before, where that is known.
    """

    exercises: tuple[Exercise, ...]
    title: str
    changes: Mapping[int, str] = field(default_factory=dict)
    foreword: str = ""
    student: Student | None = None
    sticking: bool = False
    counting: bool = False
    left_handed_view: bool = False


class BookTooLong(RhythmError):
    """More exercises than a book holds, or none."""


def book_ask(*, wish: BookWish, by: User, now: datetime) -> LongWork:
    """Have a book printed in a process of its own.

    :raises BookTooLong: for no exercises, or more than a book holds
    """
    if not 1 <= len(wish.exercises) <= MOST_EXERCISES:
        raise BookTooLong(f"A book holds 1 to {MOST_EXERCISES} exercises.")
    parameters = {
        "exercises": [exercise.pk for exercise in wish.exercises],
        "changes": {str(pk): words for pk, words in wish.changes.items() if words},
        "title": wish.title,
        "foreword": wish.foreword,
        "student": wish.student.pk if wish.student else None,
        "sticking": wish.sticking,
        "counting": wish.counting,
        "left_handed_view": wish.left_handed_view,
    }
    return work_start(
        kind=KIND, title=f"Practice book: {wish.title}", parameters=parameters, by=by, now=now
    )


def book_print(parameters: dict[str, Any], progress: Progress) -> WorkResult:
    """Print the book that was asked for.

    :raises WorkRefused: when its exercises are gone, or one of them cannot be engraved
    """
    rows = Exercise.objects.in_bulk(parameters["exercises"])
    exercises = [rows[pk] for pk in parameters["exercises"] if pk in rows]
    if not exercises:
        raise WorkRefused("None of the exercises is there any more. Choose others.")
    studio = Studio.current()
    student = Student.objects.filter(pk=parameters["student"]).first()
    book = Book(
        items=tuple(_items(exercises, parameters)),
        title=parameters["title"],
        studio_name=studio.name,
        student=student.name if student else "",
        foreword=parameters["foreword"],
        paper=cast(Paper, studio.paper),
        left_handed_view=parameters["left_handed_view"],
    )
    try:
        content = practice_book(book, told=progress.tell)
    except EngravingError as no:
        raise WorkRefused(f"The book was not printed: {no}") from no
    stem = slugify(book.title, allow_unicode=True)[:80] or "practice-book"
    return WorkResult(
        words=f"{len(exercises)} exercises are printed.",
        content=content,
        file_name=f"{stem}.pdf",
        content_type="application/pdf",
    )


def _moves(exercise: Exercise, changes: Mapping[str, str]) -> tuple[str, ...]:
    """How the exercise came about, in words: its step of the ladder, or the moves from its core."""
    step = changes.get(str(exercise.pk))
    if step:
        return (step,)
    try:
        return tuple(from_code(code).words for code in exercise.moves)
    except RhythmError:
        return ()


def _items(exercises: Sequence[Exercise], parameters: dict[str, Any]) -> list[SheetItem]:
    return [
        SheetItem(
            exercise.figure,
            title=exercise.title,
            moves=_moves(exercise, parameters.get("changes", {})),
            goal_bpm=exercise.bpm,
            days=14,
            sticking=parameters["sticking"] or None,
            counting=parameters["counting"],
            grade=exercise.shown_grade,
        )
        for exercise in exercises
    ]
