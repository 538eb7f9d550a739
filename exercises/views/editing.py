"""Writing a figure: new, changed, looked at while it is being written."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from exercises.engraving_cache import NotationOptions
from exercises.forms import ExerciseForm
from exercises.forms.library import EMPTY_BAR, PreviewForm, sentence
from exercises.models import KitChoice
from exercises.rhythm.kit import KITS
from exercises.selectors.figures import FigureSheet, figure_sheet
from exercises.services.library import FigureNotKept, same_figure
from exercises.services.library import exercise_create as exercise_keep
from exercises.services.library import exercise_edit as exercise_change
from exercises.views.asking import asked_exercise
from studio.access import teacher_only
from studio.htmx import StudioRequest, page

USUAL_BPM = 80
# The editor's player lights notes by ids that begin so (js/editor_playback.js).
PREVIEW = NotationOptions(560, prefix="draft")


@require_http_methods(["GET", "POST"])
@teacher_only
def exercise_create(request: StudioRequest) -> HttpResponse:
    """Show an empty figure, or keep the one that was written."""
    if request.method == "GET":
        first = {"bpm": USUAL_BPM, "kit": KitChoice.FIVE_PIECE, "typed": EMPTY_BAR}
        return exercise_form_page(request, ExerciseForm(initial=first))
    form = ExerciseForm(request.POST)
    if form.is_valid() and "look" in request.POST:
        return exercise_form_page(request, form)
    if form.is_valid():
        draft = form.draft()
        twin = same_figure(draft.figure)
        try:
            exercise = exercise_keep(draft=draft, by=request.user, now=timezone.now())
        except FigureNotKept as no:
            form.add_error("typed", sentence(str(no)))
        else:
            words = f"{exercise.title} is in the library."
            if twin is not None:
                words += f" The very same figure is there already as {twin.title}."
            messages.success(request, words)
            return redirect("exercises:exercise_detail", pk=exercise.pk)
    return exercise_form_page(request, form, status=422)


@require_http_methods(["GET", "POST"])
@teacher_only
def exercise_edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Show a kept figure for changing, or keep the change."""
    exercise = asked_exercise(request, pk)
    if request.method == "GET":
        return exercise_form_page(request, ExerciseForm.for_exercise(exercise), exercise=exercise)
    form = ExerciseForm(request.POST)
    if form.is_valid() and "look" in request.POST:
        return exercise_form_page(request, form, exercise=exercise)
    if form.is_valid():
        try:
            kept = exercise_change(
                exercise=exercise, draft=form.draft(), by=request.user, now=timezone.now()
            )
        except FigureNotKept as no:
            form.add_error("typed", sentence(str(no)))
        else:
            words = f"{kept.title} is changed."
            if kept.pk != exercise.pk:
                words = (
                    f"{kept.title} is kept as a new exercise. Students who were given the old one "
                    "keep it as it was; the old one is put away."
                )
            messages.success(request, words)
            return redirect("exercises:exercise_detail", pk=kept.pk)
    return exercise_form_page(request, form, exercise=exercise, status=422)


@require_POST
@teacher_only
def figure_preview(request: StudioRequest) -> HttpResponse:
    """Show what is in the form so far, or why it cannot be read or played."""
    form = PreviewForm(request.POST)
    context = {"form": form, "sheet": _sheet_so_far(form)}
    return render(request, "exercises/_figure_preview.html", context)


def exercise_form_page(
    request: StudioRequest, form: ExerciseForm, *, status: int = 200, **context: object
) -> HttpResponse:
    """Answer with the editor round this form, and what is in it as far as it can be read."""
    exercise = context.get("exercise")
    seen = form if form.is_bound else PreviewForm(form.initial)
    context |= {
        "form": form,
        "sheet": _sheet_so_far(seen),
        "is_assigned": exercise is not None and exercise.assignments.exists(),  # type: ignore[attr-defined]
    }
    return page(request, "exercises/exercise_form.html", context, status=status)


def _sheet_so_far(form: ExerciseForm) -> FigureSheet | None:
    """Return the figure from every side, or None while it has no strokes or cannot be read."""
    form.is_valid()
    data, figure = form.cleaned_data, form.figure
    if figure is None or not len(figure) or data.get("bpm") is None:
        return None
    kit = KITS[data.get("kit") or KitChoice.FIVE_PIECE]
    return figure_sheet(figure, bpm=data["bpm"], kit=kit, options=PREVIEW)
