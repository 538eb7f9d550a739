"""Variants of one core that climb evenly and differ from each other."""

from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from exercises.models import Exercise, LadderKind
from exercises.practice_sheets import steps_sheet
from exercises.selectors.ladders import ShownStep
from exercises.selectors.spreading import spread_steps
from exercises.services.ladders import ladder_save
from exercises.services.library import FigureNotKept
from exercises.views.asking import (
    Unanswerable,
    answers_in_words,
    asked_exercise,
    notation_options,
    number,
)
from studio.access import teacher_only
from studio.htmx import StudioRequest, page

FEWEST, USUAL, MOST = 2, 6, 16
_STEP_WIDTH = 640


@require_GET
@teacher_only
@answers_in_words
def spread_show(request: StudioRequest, pk: int) -> HttpResponse:
    """Show the core and its variants in order of difficulty."""
    exercise, count = _asked(request, pk)
    context = {
        "exercise": exercise,
        "count": count,
        "fewest": FEWEST,
        "most": MOST,
        "steps": _steps(request, exercise, count),
    }
    return page(request, "exercises/spread.html", context, fragment="spread-steps")


@require_POST
@teacher_only
@answers_in_words
def spread_save(request: StudioRequest, pk: int) -> HttpResponse:
    """Keep every variant in the library, and the spread."""
    exercise, count = _asked(request, pk)
    steps = _steps(request, exercise, count)
    if len(steps) == 1:
        raise Unanswerable("There is nothing to keep: no harder variant was found.")
    try:
        kept = ladder_save(
            core=exercise,
            rungs=[step.rung for step in steps[1:]],
            title=f"Spread from {exercise.title}",
            kind=LadderKind.SPREAD,
            by=request.user,
            now=timezone.now(),
        )
    except FigureNotKept as no:
        raise Unanswerable(f"Nothing was kept. {no}") from no
    messages.success(request, f"The spread and its {len(steps) - 1} variants are in the library.")
    return redirect("exercises:ladder_detail", pk=kept.pk)


@require_GET
@teacher_only
@answers_in_words
def spread_sheet(request: StudioRequest, pk: int) -> FileResponse:
    """Hand the spread out as one printed sheet."""
    exercise, count = _asked(request, pk)
    title = f"Spread from {exercise.title}"
    return steps_sheet(
        _steps(request, exercise, count), title=title, goal_bpm=exercise.bpm, studio=request.studio
    )


def _asked(request: StudioRequest, pk: int) -> tuple[Exercise, int]:
    return asked_exercise(request, pk), number(request, "n", USUAL, FEWEST, MOST)


def _steps(request: StudioRequest, exercise: Exercise, count: int) -> list[ShownStep]:
    options = notation_options(request, width=_STEP_WIDTH)
    return spread_steps(core=exercise, count=count, options=options)
