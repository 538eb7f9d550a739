"""Keep figures: create, edit without changing what a student was given, put away."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from exercises.models import Exercise, Tag
from exercises.rhythm.errors import BadFigure, RhythmError
from exercises.rhythm.figure import Figure
from exercises.rhythm.grade import grade
from exercises.rhythm.kit import KITS
from exercises.rhythm.library import LIBRARY
from exercises.rhythm.playability import check
from exercises.rhythm.record import content_hash, to_record
from exercises.rhythm.subdivisions import subdivisions
from exercises.rhythm.surfaces import Surface
from studio.events import event_record
from studio.models import User

MOST_TAGS = 8

logger = logging.getLogger(__name__)


class FigureNotKept(RhythmError):
    """The figure was not saved; ``str()`` of it says why and what to do."""


@dataclass(frozen=True, slots=True)
class ExerciseDraft:
    """What a teacher says about a figure that is to be kept."""

    figure: Figure
    bpm: int
    kit: str
    tags: tuple[str, ...] = ()
    source_note: str = ""
    core: Exercise | None = None
    moves: tuple[str, ...] = ()
    rudiment: int | None = None


def exercise_create(*, draft: ExerciseDraft, by: User, now: datetime) -> Exercise:
    """Keep a figure in the library.

    :raises FigureNotKept: when it has no strokes, or nobody could play it on its kit
    """
    exercise = _filled(Exercise(created_at=now), draft)
    with transaction.atomic():
        exercise.full_clean()
        exercise.save()
        exercise.tags.set(_tags(draft.tags))
        event_record(kind="exercise_created", subject=str(exercise), by=by, now=now)
    return exercise


def exercise_edit(*, exercise: Exercise, draft: ExerciseDraft, by: User, now: datetime) -> Exercise:
    """Change a figure, or keep the change as a new exercise where a student has the old one.

    What was set for a student stays as it was given: the new exercise ``replaces`` the old one,
    which leaves the library's shelf but not the student's week.

    :raises FigureNotKept: as :func:`exercise_create`
    """
    with transaction.atomic():
        row = Exercise.objects.select_for_update().get(pk=exercise.pk)
        if Exercise.objects.filter(replaces=row).exists():
            raise FigureNotKept(
                "This exercise was changed before, and its newer version is in the library. "
                "Change that one."
            )
        changes_music = content_hash(draft.figure) != row.content_hash or draft.bpm != row.bpm
        if changes_music and row.assignments.exists():
            return _replaced(row, draft, by, now)
        _filled(row, draft)
        row.full_clean()
        row.save()
        row.tags.set(_tags(draft.tags))
        event_record(kind="exercise_edited", subject=str(row), by=by, now=now)
    return row


def exercise_set_archived(
    *, exercise: Exercise, is_archived: bool, by: User, now: datetime
) -> None:
    """Put an exercise away, or back on the shelf; what was set for students stays."""
    with transaction.atomic():
        Exercise.objects.filter(pk=exercise.pk).update(is_archived=is_archived)
        kind = "exercise_archived" if is_archived else "exercise_restored"
        event_record(kind=kind, subject=str(exercise), by=by, now=now)


def cores_add(*, by: User, now: datetime) -> int:
    """Put the figures that come with the studio on the shelf; return how many were new.

    The rudiments come first and the easiest core figure last, because the shelf shows the newest
    first.
    """
    known = set(Exercise.objects.values_list("content_hash", flat=True))
    fresh = [entry for entry in LIBRARY if content_hash(entry.figure) not in known]
    with transaction.atomic():
        for entry in reversed(fresh):
            note = "comes with the studio"
            if entry.number is not None:
                note = f"International drum rudiment no. {entry.number}"
                note += "; public lists differ on its sticking" if entry.is_disputed else ""
            draft = ExerciseDraft(
                entry.figure,
                entry.bpm,
                entry.kit_key,
                tags=(entry.style, *entry.trains)[:MOST_TAGS],
                source_note=note,
                rudiment=entry.number,
            )
            exercise_create(draft=draft, by=by, now=now)
    return len(fresh)


def exercises_regrade() -> int:
    """Reckon every stored grade and searched column again; return how many rows were out of date.

    They are only for sorting and filtering; a release that weighs figures differently leaves them
    behind. Safe to run at any time. A record that was damaged from outside is logged and passed
    over: one bad row must not keep the studio shut.
    """
    changed = 0
    for exercise in Exercise.objects.order_by("pk").iterator():
        try:
            figure = exercise.figure
        except BadFigure:
            logger.exception("Exercise %s cannot be read; its grade stays as it is.", exercise.pk)
            continue
        total = grade(figure, exercise.bpm, exercise.played_on).total
        fresh: dict[str, object] = {"grade": Decimal(str(round(total, 2)))}
        fresh |= searched_columns(figure)
        if any(getattr(exercise, name) != value for name, value in fresh.items()):
            changed += Exercise.objects.filter(pk=exercise.pk).update(**fresh)
    return changed


def same_figure(figure: Figure, *, besides: Exercise | None = None) -> Exercise | None:
    """Return the exercise on the shelf that is this very figure, if there is one."""
    found = Exercise.objects.current().filter(content_hash=content_hash(figure))
    if besides is not None:
        found = found.exclude(pk=besides.pk)
    return found.order_by("pk").first()


def kit_for(figure: Figure, *, first: str = "five_piece") -> str:
    """Return the key of the first kit on which the figure can be played (``first`` if none)."""
    for key in (first, "five_piece", "pad", "five_piece_two_pedals"):
        try:
            check(figure, KITS[key])
        except RhythmError:
            continue
        return key
    return first


def figure_facts(figure: Figure, bpm: int, kit_key: str) -> dict[str, object]:
    """Return the columns that are derived from a figure.

    :raises FigureNotKept: when it has no strokes, or nobody could play it on the kit
    """
    if not len(figure):
        raise FigureNotKept("There are no strokes yet. Put at least one into a lane.")
    kit = KITS[kit_key]
    try:
        check(figure, kit)
    except RhythmError as refused:
        raise FigureNotKept(
            f"Nobody could play this on the {kit.label.lower()}: {refused}."
        ) from refused
    return {
        "record": to_record(figure),
        "content_hash": content_hash(figure),
        **searched_columns(figure),
        "grade": Decimal(str(round(grade(figure, bpm, kit).total, 2))),
    }


def searched_columns(figure: Figure) -> dict[str, str]:
    """Return the columns that the library is searched by."""
    surfaces = {stroke.surface for stroke in figure.strokes}
    return {
        "limbs": " ".join(limb.value for limb in figure.limbs),
        "surfaces": _words(surface.value for surface in Surface if surface in surfaces),
        "subdivisions": _words(str(parts) for parts in subdivisions(figure)),
        "meter": str(figure.meter),
    }


def _words(words: Iterable[str]) -> str:
    return f" {' '.join(words)} "


def _filled(exercise: Exercise, draft: ExerciseDraft) -> Exercise:
    for name, value in figure_facts(draft.figure, draft.bpm, draft.kit).items():
        setattr(exercise, name, value)
    exercise.title = draft.figure.title
    exercise.bpm = draft.bpm
    exercise.kit = draft.kit
    if exercise.pk is None:
        exercise.source_note = draft.source_note
        exercise.core = draft.core
        exercise.rudiment = draft.rudiment
        exercise.moves = list(draft.moves)
    elif draft.figure != exercise.figure:
        exercise.moves = []
    return exercise


def _replaced(row: Exercise, draft: ExerciseDraft, by: User, now: datetime) -> Exercise:
    fresh = _filled(Exercise(created_at=now, replaces=row), draft)
    fresh.source_note = row.source_note
    fresh.core = row.core
    fresh.full_clean()
    fresh.save()
    fresh.tags.set(_tags(draft.tags))
    row.is_archived = True
    row.save(update_fields=["is_archived"])
    event_record(kind="exercise_replaced", subject=str(fresh), by=by, now=now, old=row.pk)
    return fresh


def _tags(names: Iterable[str]) -> Sequence[Tag]:
    clean = dict.fromkeys(" ".join(name.split()).lower()[:40] for name in names)
    return [Tag.objects.get_or_create(name=name)[0] for name in clean if name][:MOST_TAGS]
