"""What a core opens into, and keeping what is worth keeping."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import SafeString
from django.views.decorators.http import require_GET, require_POST

from exercises.engraving_cache import wheel_svg
from exercises.models import Exercise
from exercises.rhythm.branches import DEEPEST
from exercises.rhythm.moves.codes import MOVE_KINDS
from exercises.rhythm.spoken import words
from exercises.searches import Way, branches_of
from exercises.services.ladders import variant_save as variant_keep
from exercises.services.library import FigureNotKept
from exercises.variants import GrownFigure, NoSuchVariant, grown
from exercises.views.asking import Unanswerable, answers_in_words, asked_exercise, number
from studio.access import teacher_only
from studio.htmx import StudioRequest, page

PER_PAGE = 20
HARDER = "harder"
SIDES = {HARDER: "harder than the core", "easier": "easier than the core", "all": "all of them"}
EASIEST = "easiest"
ORDERS = {EASIEST: "the easiest", "hardest": "the hardest"}


@dataclass(frozen=True, slots=True)
class BranchCard:
    """One variant with its fingerprint."""

    grown: GrownFigure
    wheel: SafeString
    points: float
    is_harder: bool

    @property
    def shown_grade(self) -> str:
        """The grade with one decimal."""
        return f"{self.points:.1f}"

    @property
    def said(self) -> str:
        """The figure for those who do not see the wheel."""
        return words(self.grown.figure)


@require_GET
@teacher_only
@answers_in_words
def branch_list(request: StudioRequest, pk: int) -> HttpResponse:
    """List what one to three moves make of an exercise, the easiest first."""
    exercise = asked_exercise(request, pk)
    depth = number(request, "depth", 1, 1, DEEPEST)
    kind = request.GET.get("kind", "")
    if kind and kind not in MOVE_KINDS:
        raise Unanswerable(f"There is no change called “{kind[:40]}”.", status=400)
    side = request.GET.get("side", HARDER)
    if side not in SIDES:
        raise Unanswerable(f"There is no side called “{side[:40]}”.", status=400)
    order = request.GET.get("order", EASIEST)
    if order not in ORDERS:
        raise Unanswerable(f"There is no order called “{order[:40]}”.", status=400)
    found = branches_of(exercise, depth)
    ways = [way for way in found.ways if _is_wanted(way, exercise, side, kind)]
    if order != EASIEST:
        ways.reverse()
    listed: Page[Any] = Paginator(ways, PER_PAGE).get_page(request.GET.get("page"))
    listed.object_list = [_card(exercise, codes, points) for codes, points in listed.object_list]
    query = request.GET.copy()
    query.pop("page", None)
    context = {
        "exercise": exercise,
        "depth": depth,
        "depths": range(1, DEEPEST + 1),
        "kind": kind,
        "side": side,
        "sides": SIDES.items(),
        "order": order,
        "orders": ORDERS.items(),
        "kinds": [(name, move.label) for name, move in MOVE_KINDS.items()],
        "found": found,
        "page": listed,
        "query": query.urlencode(),
    }
    return page(request, "exercises/branch_list.html", context, fragment="branch-cards")


@require_POST
@teacher_only
@answers_in_words
def variant_save(request: StudioRequest, pk: int) -> HttpResponse:
    """Keep one variant in the library."""
    exercise = asked_exercise(request, pk)
    try:
        variant = grown(exercise, request.POST.getlist("move"))
        kept, is_new = variant_keep(
            core=exercise,
            figure=variant.figure,
            moves=variant.codes,
            by=request.user,
            now=timezone.now(),
        )
    except (NoSuchVariant, FigureNotKept) as no:
        raise Unanswerable(f"Nothing was kept. {no}") from no
    if request.htmx:
        return render(request, "exercises/_variant_kept.html", {"kept": kept, "is_new": is_new})
    if is_new:
        messages.success(request, f"{kept.title} is in the library.")
    else:
        messages.success(request, f"The library has this figure already, as {kept.title}.")
    return redirect("exercises:exercise_detail", pk=kept.pk)


def _card(exercise: Exercise, codes: Sequence[str], points: float) -> BranchCard:
    variant = grown(exercise, codes)
    wheel = wheel_svg(variant.figure, size=96)
    return BranchCard(variant, wheel, points, is_harder=points >= float(exercise.grade))


def _is_wanted(way: Way, exercise: Exercise, side: str, kind: str) -> bool:
    codes, points = way
    if kind and not any(code.partition(".")[0] == kind for code in codes):
        return False
    return side == "all" or (points >= float(exercise.grade)) == (side == HARDER)
