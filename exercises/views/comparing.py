"""Two figures against each other."""

from __future__ import annotations

from django.http import HttpResponse
from django.views.decorators.http import require_GET

from exercises.models import Exercise
from exercises.models.limits import LEAST_BPM, MOST_BPM
from exercises.selectors.comparing import ComparedSide, compare_choices, compared, compared_side
from exercises.variants import GrownFigure, NoSuchVariant, grown
from exercises.views.asking import Unanswerable, answers_in_words, asked_exercise, number
from studio.access import teacher_only
from studio.htmx import StudioRequest, page

_WIDTH = 520
_TWO = 2


@require_GET
@teacher_only
@answers_in_words
def compare(request: StudioRequest) -> HttpResponse:
    """Show where the difference between two figures comes from, or ask for the two.

    Two ``exercise`` numbers compare these; one, with ``move`` codes, compares it with its variant.
    """
    exercises = [asked_exercise(request, pk) for pk in _numbers(request)]
    codes = request.GET.getlist("move")
    if len(exercises) < _TWO and not (exercises and codes):
        q = request.GET.get("q", "")[:80]
        chosen = exercises[0] if exercises else None
        context: dict[str, object] = {
            "q": q,
            "chosen": chosen,
            "choices": compare_choices(user=request.user, besides=chosen, q=q),
        }
        return page(request, "exercises/compare_choose.html", context, fragment="compare-choices")
    first, second = exercises[0], exercises[-1]
    plain = grown(first, ())
    other = _variant(first, codes) if codes else grown(second, ())
    bpm = number(request, "bpm", 0, LEAST_BPM, MOST_BPM)
    both = compared(
        _side(first, plain, bpm or first.bpm),
        _side(first if codes else second, other, bpm or (first if codes else second).bpm),
    )
    context = {
        "both": both,
        "bpm": bpm,
        "codes": codes,
        "numbers": [exercise.pk for exercise in exercises],
    }
    return page(request, "exercises/compare.html", context)


def _side(exercise: Exercise, variant: GrownFigure, bpm: int) -> ComparedSide:
    return compared_side(
        exercise=exercise,
        figure=variant.figure,
        query=variant.query,
        bpm=bpm,
        width=_WIDTH,
        kit=exercise.played_on,
    )


def _variant(exercise: Exercise, codes: list[str]) -> GrownFigure:
    try:
        return grown(exercise, codes)
    except NoSuchVariant as no:
        raise Unanswerable(str(no)) from no


def _numbers(request: StudioRequest) -> list[int]:
    asked = request.GET.getlist("exercise")
    if len(asked) > _TWO:
        raise Unanswerable("Two figures are compared at a time. Choose two.", status=400)
    if not all(text.isascii() and text.isdigit() and len(text) <= 9 for text in asked):
        raise Unanswerable("The address names no figure. Choose two of the library.", status=400)
    return [int(text) for text in asked]
