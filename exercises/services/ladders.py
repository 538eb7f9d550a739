"""Keep variants and whole ladders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from exercises.models import Exercise, Ladder, LadderKind, LadderStep
from exercises.rhythm.figure import Figure
from exercises.services.library import ExerciseDraft, exercise_create, kit_for, same_figure
from studio.models import User


@dataclass(frozen=True, slots=True)
class Rung:
    """One step to keep: its figure, the codes of all moves from the core, the last one in words."""

    figure: Figure
    moves: tuple[str, ...]
    change: str


def variant_save(
    *, core: Exercise, figure: Figure, moves: tuple[str, ...], by: User, now: datetime
) -> tuple[Exercise, bool]:
    """Keep a variant of a core, or find the one kept before; the flag is True when it is new.

    :raises FigureNotKept: when nobody could play it
    """
    with transaction.atomic():
        kept = same_figure(figure)
        if kept is not None:
            return kept, False
        draft = ExerciseDraft(
            figure,
            core.bpm,
            kit_for(figure, first=core.kit),
            tags=tuple(tag.name for tag in core.tags.all()),
            source_note=f"grown from {core.title}"[:200],
            core=core,
            moves=moves,
        )
        return exercise_create(draft=draft, by=by, now=now), True


def ladder_save(
    *,
    core: Exercise,
    rungs: Sequence[Rung],
    title: str,
    by: User,
    now: datetime,
    kind: LadderKind = LadderKind.LADDER,
) -> Ladder:
    """Keep every step of a ladder in the library, and the ladder itself.

    :param rungs: from the first step above the core to the target
    :raises FigureNotKept: when nobody could play one of them; then none is kept
    """
    with transaction.atomic():
        steps = [(core, "")]
        for rung in rungs:
            exercise, _ = variant_save(
                core=core, figure=rung.figure, moves=rung.moves, by=by, now=now
            )
            steps.append((exercise, rung.change))
        ladder = Ladder(
            kind=kind, title=title[:120], core=core, target=steps[-1][0], created_at=now
        )
        ladder.full_clean()
        ladder.save()
        LadderStep.objects.bulk_create(
            LadderStep(ladder=ladder, position=position, exercise=exercise, change=change[:300])
            for position, (exercise, change) in enumerate(steps, start=1)
        )
    return ladder
