"""What an address may ask for, and the page that says in words why it cannot be answered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any, TypeVar

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render

from exercises.engraving_cache import DESK_WIDTH, LEAST_WIDTH, MOST_WIDTH, NotationOptions
from exercises.models import Exercise
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.kit import mirror
from exercises.variants import GrownFigure, NoSuchVariant, grown
from studio.htmx import StudioRequest

View = TypeVar("View", bound=Callable[..., HttpResponseBase])


class Unanswerable(Exception):
    """The address asks for something that cannot be; ``str()`` of it says why."""

    def __init__(self, words: str, *, status: int = 422) -> None:
        super().__init__(words)
        self.status = status


def answers_in_words(view: View) -> View:
    """Turn :class:`Unanswerable` and the engine's refusals into a page of words, never a 500."""

    @wraps(view)
    def answered(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        try:
            return view(request, *args, **kwargs)
        except Unanswerable as no:
            return in_words(request, str(no), status=no.status)
        except RhythmError as refused:
            return in_words(request, str(refused), status=422)

    return answered  # type: ignore[return-value]


def in_words(request: HttpRequest, words: str, *, status: int) -> HttpResponse:
    """Answer with one sentence, as a page or as the fragment that htmx puts in place."""
    if getattr(request, "htmx", False):
        return render(request, "exercises/_refusal.html", {"words": words})
    return render(request, "exercises/not_possible.html", {"words": words}, status=status)


@dataclass(frozen=True, slots=True)
class Asked:
    """An exercise, or a variant of it, with the way it is to be shown."""

    exercise: Exercise
    grown: GrownFigure
    options: NotationOptions

    @property
    def figure(self) -> Any:
        """The figure as it is to be played: mirrored for a left-handed kit when asked."""
        return mirror(self.grown.figure) if self.options.is_mirrored else self.grown.figure


def asked_exercise(request: StudioRequest, pk: int) -> Exercise:
    """Return the exercise if this person may see it, else a 404."""
    return get_object_or_404(Exercise.objects.visible_to(request.user), pk=pk)


def asked(request: StudioRequest, pk: int) -> Asked:
    """Read an exercise, moves and ways of showing from the address.

    :raises Unanswerable: for moves that cannot be done and numbers that make no sense
    """
    exercise = asked_exercise(request, pk)
    return Asked(
        exercise,
        asked_variant(request, exercise),
        notation_options(request),
    )


def asked_variant(request: StudioRequest, exercise: Exercise) -> GrownFigure:
    """Return the variant that the address's ``move`` parameters name.

    Variants are the teacher's to try: a family sees the figures it was given, as they are kept.

    :raises Unanswerable: for a code that is no move, or a move that the figure refuses
    """
    codes = request.GET.getlist("move")
    if codes and not request.user.is_teacher:
        raise Unanswerable(
            "Only the teacher tries variants of a figure. The figure itself is there without the "
            "changes in the address.",
            status=403,
        )
    try:
        return grown(exercise, codes)
    except NoSuchVariant as no:
        raise Unanswerable(str(no)) from no


def notation_options(request: StudioRequest, *, width: int = DESK_WIDTH) -> NotationOptions:
    """Return how the address wants the notation."""
    return NotationOptions(
        width=number(request, "width", width, LEAST_WIDTH, MOST_WIDTH),
        sticking={"1": True, "0": False}.get(request.GET.get("sticking", "")),
        counting=flag(request, "counting"),
        one_bar_a_line=flag(request, "one_bar"),
        is_mirrored=flag(request, "mirror"),
    )


def number(request: StudioRequest, name: str, usual: int, least: int, most: int) -> int:
    """Return a whole number of the address.

    :raises Unanswerable: when it is none, or outside its range
    """
    text = request.GET.get(name, "")
    if not text:
        return usual
    if not (text.isascii() and text.isdigit() and len(text) <= 6 and least <= int(text) <= most):
        raise Unanswerable(
            f"The address asks for {name}={text[:20]}, which has to be a whole number from "
            f"{least} to {most}.",
            status=400,
        )
    return int(text)


def flag(request: StudioRequest, name: str) -> bool:
    """Return True when the address says ``name=1``."""
    return request.GET.get(name) == "1"
