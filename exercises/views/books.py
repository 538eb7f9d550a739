"""Asking for a practice book."""

from __future__ import annotations

from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from exercises.forms.books import BookForm
from exercises.models import Exercise, Ladder, LadderStep
from exercises.notation.book import MOST_EXERCISES
from exercises.selectors.library import exercise_card
from exercises.services.books import BookTooLong, book_ask
from exercises.views.asking import Unanswerable, answers_in_words
from studio.access import teacher_only
from studio.htmx import StudioRequest, go, page


@require_http_methods(["GET", "POST"])
@teacher_only
@answers_in_words
def book_start(request: StudioRequest) -> HttpResponse:
    """Show the chosen figures in order with the ways of printing; then have them printed.

    The address names them: ``exercise`` again and again, or one ``ladder``.
    """
    exercises, title, changes = _chosen(request)
    form = BookForm(
        request.POST if request.method == "POST" else None,
        exercises=exercises,
        initial={"title": title},
    )
    if form.is_valid():
        try:
            work = book_ask(wish=form.wish(changes), by=request.user, now=timezone.now())
        except BookTooLong as no:
            form.add_error(None, str(no))
        else:
            return go(request, "studio:work_show", work.pk)
    context = {
        "form": form,
        "rows": [(exercise_card(exercise, size=56), field) for exercise, field in form.rows],
        "query": request.GET.urlencode(),
        "most": MOST_EXERCISES,
    }
    return page(request, "exercises/book_start.html", context, status=422 if form.errors else 200)


def _chosen(request: StudioRequest) -> tuple[list[Exercise], str, dict[int, str]]:
    """The exercises that the address names, a title, and the changes between a ladder's steps."""
    ladder = request.GET.get("ladder", "")
    if ladder:
        kept = get_object_or_404(Ladder.objects.visible_to(request.user), pk=_number(ladder))
        rows = LadderStep.objects.filter(ladder=kept).select_related("exercise")
        steps = list(rows.order_by("position"))
        changes = {step.exercise_id: step.change for step in steps}
        return [step.exercise for step in steps], kept.title, changes
    numbers = _numbers(request.GET)
    found = Exercise.objects.visible_to(request.user).in_bulk(numbers)
    return [found[pk] for pk in numbers if pk in found], "Practice book", {}


def _numbers(query: QueryDict) -> list[int]:
    asked = list(dict.fromkeys(query.getlist("exercise")))
    if len(asked) > MOST_EXERCISES:
        raise Unanswerable(
            f"A book holds at most {MOST_EXERCISES} exercises; {len(asked)} were chosen.",
            status=400,
        )
    return [_number(text) for text in asked]


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 9):
        raise Unanswerable("The address names no exercise. Choose some in the library.", status=400)
    return int(text)
