"""Ladders: found, kept, printed."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import parse_qsl

from django.contrib import messages
from django.http import FileResponse, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from exercises.ladder_wishes import LadderWishes
from exercises.models import Exercise, Ladder
from exercises.practice_sheets import steps_sheet
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure
from exercises.rhythm.ladder_shape import MOST_STEPS
from exercises.selectors.ladders import FoundLadder, found_ladder, kept_steps, shaped_steps
from exercises.selectors.library import ladder_targets
from exercises.services.ladders import ladder_save as ladder_keep
from exercises.variants import NoSuchVariant, grown
from exercises.views.asking import (
    Unanswerable,
    answers_in_words,
    asked_exercise,
    notation_options,
    number,
)
from studio.access import teacher_only
from studio.htmx import StudioRequest, page

STEP_WIDTH = 640


@dataclass(frozen=True, slots=True)
class Target:
    """What a ladder leads to: an exercise of the library, or a variant named by its moves."""

    figure: Figure
    title: str
    query: str
    codes: tuple[str, ...] = ()

    @property
    def fields(self) -> list[tuple[str, str]]:
        """The same as the fields of a form."""
        return parse_qsl(self.query)


@require_GET
@teacher_only
@answers_in_words
def ladder_build(request: StudioRequest, pk: int) -> HttpResponse:
    """Show the ladder from an exercise to a target as it is wished for, or ask for the target."""
    exercise = asked_exercise(request, pk)
    target = _target(request, exercise)
    context: dict[str, object] = {"exercise": exercise, "target": target}
    if target is None:
        q = request.GET.get("q", "")[:80]
        context |= {"q": q, "targets": ladder_targets(exercise=exercise, user=request.user, q=q)}
        return page(request, "exercises/ladder_choose.html", context, fragment="ladder-targets")
    wishes = _wishes(request, target)
    context |= {
        "wishes": wishes,
        "most_steps": MOST_STEPS,
        "change_count": 0,
        "left_out": [
            {"words": grown(exercise, codes).said, "query": wishes.with_left_out(codes).query}
            for codes in wishes.left_out
        ],
    }
    status = 200
    try:
        found = _ladder(request, exercise, target, wishes)
        steps = shaped_steps(found.steps, wishes)
        context |= {"steps": steps, "indirect": found.refused, "change_count": len(steps) - 1}
    except RhythmError as refused:
        context["refused"], status = str(refused), 422
    return page(
        request, "exercises/ladder_build.html", context, fragment="ladder-steps", status=status
    )


@require_POST
@teacher_only
@answers_in_words
def ladder_save(request: StudioRequest, pk: int) -> HttpResponse:
    """Keep every step of the ladder in the library, and the ladder."""
    exercise, target = _asked_with_target(request, pk)
    steps = _ladder(request, exercise, target, _wishes(request, target)).steps
    ladder = ladder_keep(
        core=exercise,
        rungs=[step.rung for step in steps[1:]],
        title=f"{exercise.title} to {target.title}",
        by=request.user,
        now=timezone.now(),
    )
    messages.success(request, f"The ladder and its {len(steps)} steps are in the library.")
    return redirect("exercises:ladder_detail", pk=ladder.pk)


@require_GET
@teacher_only
@answers_in_words
def ladder_build_sheet(request: StudioRequest, pk: int) -> FileResponse:
    """Hand out a ladder that is not kept yet as one printed sheet."""
    exercise, target = _asked_with_target(request, pk)
    return steps_sheet(
        _ladder(request, exercise, target, _wishes(request, target)).steps,
        title=f"{exercise.title} to {target.title}",
        goal_bpm=exercise.bpm,
        studio=request.studio,
    )


@require_GET
@teacher_only
@answers_in_words
def ladder_detail(request: StudioRequest, pk: int) -> HttpResponse:
    """Show a kept ladder."""
    ladder = _kept_ladder(request, pk)
    steps = kept_steps(ladder=ladder, options=notation_options(request, width=STEP_WIDTH))
    return page(request, "exercises/ladder_detail.html", {"ladder": ladder, "steps": steps})


@require_GET
@teacher_only
@answers_in_words
def ladder_sheet(request: StudioRequest, pk: int) -> FileResponse:
    """Hand out a kept ladder as one printed sheet."""
    ladder = _kept_ladder(request, pk)
    steps = kept_steps(ladder=ladder, options=notation_options(request, width=STEP_WIDTH))
    return steps_sheet(steps, title=ladder.title, goal_bpm=ladder.target.bpm, studio=request.studio)


@require_POST
@teacher_only
def ladder_archive(request: StudioRequest, pk: int) -> HttpResponse:
    """Put a ladder away; its steps stay in the library."""
    ladder = _kept_ladder(request, pk)
    Ladder.objects.filter(pk=ladder.pk).update(is_archived=True)
    messages.success(request, f"{ladder.title} is put away. Its steps stay in the library.")
    return redirect("exercises:exercise_detail", pk=ladder.core_id)


def _kept_ladder(request: StudioRequest, pk: int) -> Ladder:
    found = Ladder.objects.visible_to(request.user).select_related("core", "target")
    return get_object_or_404(found, pk=pk)


def _target(request: StudioRequest, core: Exercise) -> Target | None:
    """Return the target that the address names by ``target`` or by ``move``, if it does.

    :raises Unanswerable: for an exercise that is not there, or moves that cannot be done
    """
    text, codes = request.GET.get("target", ""), request.GET.getlist("move")
    if text:
        is_number = text.isascii() and text.isdigit() and len(text) < 12
        found = Exercise.objects.visible_to(request.user).filter(pk=int(text) if is_number else 0)
        exercise = found.first()
        if exercise is None:
            raise Unanswerable("The library has no such exercise to climb to.", status=404)
        return Target(exercise.figure, exercise.title, f"target={exercise.pk}")
    if not codes:
        return None
    try:
        variant = grown(core, codes)
    except NoSuchVariant as no:
        raise Unanswerable(str(no)) from no
    return Target(variant.figure, variant.figure.title, variant.query, variant.codes)


def _asked_with_target(request: StudioRequest, pk: int) -> tuple[Exercise, Target]:
    exercise = asked_exercise(request, pk)
    target = _target(request, exercise)
    if target is None:
        raise Unanswerable("The address names no target. Choose one first.", status=400)
    return exercise, target


def _wishes(request: StudioRequest, target: Target) -> LadderWishes:
    """Read which steps are kept and left out, and how many there should be.

    :raises Unanswerable: for numbers that make no sense, or more steps than can be kept
    """
    try:
        return LadderWishes.read(
            target.query,
            kept=request.GET.getlist("keep"),
            left_out=request.GET.getlist("drop"),
            steps=number(request, "steps", 0, 0, MOST_STEPS),
        )
    except NoSuchVariant as no:
        raise Unanswerable(str(no)) from no


def _ladder(
    request: StudioRequest, core: Exercise, target: Target, wishes: LadderWishes
) -> FoundLadder:
    try:
        shape = wishes.shape(core)
    except NoSuchVariant as no:
        raise Unanswerable(str(no)) from no
    return found_ladder(
        core=core,
        target=target.figure,
        target_title=target.title,
        codes=target.codes,
        options=notation_options(request, width=STEP_WIDTH),
        shape=shape,
    )
