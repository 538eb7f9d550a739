"""The library's shelf, and one exercise on it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from exercises.forms import LibraryFilterForm
from exercises.rhythm.kit import mirror
from exercises.rhythm.library import CORES, RUDIMENTS
from exercises.selectors.figures import figure_sheet
from exercises.selectors.library import exercise_page, library_page
from exercises.services.library import cores_add as cores_put_on_shelf
from exercises.services.library import exercise_set_archived
from exercises.views.asking import answers_in_words, asked_exercise, notation_options
from studio.access import teacher_only
from studio.htmx import StudioRequest, page


@require_GET
@teacher_only
def exercise_list(request: StudioRequest) -> HttpResponse:
    """Show the shelf, narrowed by title, limb, tag and grade."""
    form = LibraryFilterForm(request.GET)
    chosen = form.cleaned_data if form.is_valid() else {}
    cards = library_page(user=request.user, number=request.GET.get("page"), **chosen)
    query = request.GET.copy()
    query.pop("page", None)
    narrowed_by = [
        {"label": label, "words": words, "query": _without(query, name)}
        for name, label, words in form.chosen()
    ]
    context = {
        "form": form,
        "page": cards,
        "query": query.urlencode(),
        "is_narrowed": bool(narrowed_by),
        "narrowed_by": narrowed_by,
        "stock": {"cores": len(CORES), "rudiments": len(RUDIMENTS)},
    }
    status = 422 if form.errors else 200
    return page(
        request, "exercises/exercise_list.html", context, fragment="exercise-cards", status=status
    )


def _without(query: QueryDict, name: str) -> str:
    rest = query.copy()
    rest.pop(name, None)
    return rest.urlencode()


@require_GET
@teacher_only
@answers_in_words
def exercise_detail(request: StudioRequest, pk: int) -> HttpResponse:
    """Show one exercise: notation, wheel, lanes, grade, top tempo, sound, and where it leads."""
    exercise = asked_exercise(request, pk)
    options = notation_options(request)
    context = exercise_page(exercise=exercise)
    figure, kit = exercise.figure, exercise.played_on
    if options.is_mirrored:
        figure, kit = mirror(figure), kit.mirrored()
    context |= {
        "exercise": exercise,
        "options": options,
        "sheet": figure_sheet(figure, bpm=exercise.bpm, kit=kit, options=options),
    }
    return page(request, "exercises/exercise_detail.html", context)


@require_POST
@teacher_only
def exercise_archive(request: StudioRequest, pk: int) -> HttpResponse:
    """Put an exercise away, or back on the shelf."""
    exercise = asked_exercise(request, pk)
    is_archived = request.POST.get("put") != "back"
    exercise_set_archived(
        exercise=exercise, is_archived=is_archived, by=request.user, now=timezone.now()
    )
    if is_archived:
        words = f"{exercise.title} is put away. Students who have it keep it; you can put it back."
    else:
        words = f"{exercise.title} is back on the shelf."
    messages.success(request, words)
    return redirect("exercises:exercise_detail", pk=exercise.pk)


@require_POST
@teacher_only
def cores_add(request: StudioRequest) -> HttpResponse:
    """Put the core figures that come with the studio on the shelf."""
    added = cores_put_on_shelf(by=request.user, now=timezone.now())
    words = (
        f"{added} figures are on the shelf. Open one to see what it grows into."
        if added
        else "All of these figures are on the shelf already."
    )
    messages.success(request, words)
    return redirect("exercises:exercise_list")
