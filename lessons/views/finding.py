"""Looking for a time, and booking what was found."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from lessons import selectors, services
from lessons.forms import SeriesForm
from lessons.forms.finding import FindTimeForm
from lessons.models import Term
from lessons.models.calendar import WEEKDAYS
from lessons.planning.find_time import Opening, Repair
from lessons.planning.recurrence import CannotRepeat
from lessons.selectors.finding import FoundTimes, TimeWish, times_for
from studio.access import teacher_only
from studio.htmx import StudioRequest, go, page
from studio.local_time import local_date

MOST_SHOWN = 12
_REASONS = {
    "taken": "another lesson is then",
    "road": "the road is too long",
    "full": "the day is full",
}


@dataclass(frozen=True, slots=True)
class ShownOpening:
    """An opening in the words of a page, with what its form sends."""

    opening: Opening
    weekday: str
    at: time
    ends: time
    added_driving: int
    added_idle: int
    fields: list[tuple[str, str]]

    @property
    def clashes(self) -> list[tuple[date, str]]:
        """The dates on which something is in the way, with what."""
        return [(day, misfit.words) for day, misfit in self.opening.blocked]

    @property
    def count(self) -> int:
        """On how many dates it is free."""
        return len(self.opening.free)

    @property
    def total(self) -> int:
        """Of how many dates."""
        return self.count + len(self.opening.blocked)


@require_GET
@teacher_only
def time_find(request: StudioRequest) -> HttpResponse:
    """Ask what is looked for, and show where it fits, best first."""
    today = local_date(timezone.now(), request.studio.zone)
    asked = request.GET if "student" in request.GET and "minutes" in request.GET else None
    form = FindTimeForm(
        asked,
        studio=request.studio,
        today=today,
        initial={
            "student": request.GET.get("student"),
            "where": "home",
            "minutes": 30,
            "term": Term.objects.not_over(today).in_order().first(),
        },
    )
    context: dict[str, Any] = {"form": form, "has_terms": Term.objects.not_over(today).exists()}
    if form.is_valid():
        wish = form.wish()
        result = times_for(wish=wish, studio=request.studio)
        context |= _shown(form, wish, result)
    status = 422 if form.is_bound and form.errors else 200
    return page(request, "lessons/time_find.html", context, fragment="found-times", status=status)


@require_POST
@teacher_only
def time_book(request: StudioRequest) -> HttpResponse:
    """Book one of the times that were found; the calendar is looked at once more."""
    today = local_date(timezone.now(), request.studio.zone)
    form = SeriesForm(request.POST, studio=request.studio, today=today)
    plan = None
    if form.is_valid():
        wish = form.wish()
        try:
            series = services.series_book(wish=wish, by=request.user, now=timezone.now())
        except CannotRepeat as trouble:
            form.add_trouble(trouble)
        except (services.LessonClash, services.NothingToBook) as refusal:
            form.add_error(None, f"{refusal} Look for another time.")
            plan = selectors.series_plan(wish=wish, studio=request.studio)
        else:
            messages.success(request, f"{series.lessons.count()} lessons are booked.")
            return go(request, "lessons:series_detail", series.pk)
    context = {"form": form, "plan": plan, "road": None}
    return page(request, "lessons/series_book.html", context, fragment="book-form", status=422)


def _shown(form: FindTimeForm, wish: TimeWish, result: FoundTimes) -> dict[str, Any]:
    found = result.found
    return {
        "openings": [_opening(form, wish, one) for one in found.openings[:MOST_SHOWN]],
        "more": max(0, len(found.openings) - MOST_SHOWN),
        "partial": [_opening(form, wish, one) for one in found.partial[:MOST_SHOWN]],
        "reasons": [(_REASONS[kind], count) for kind, count in found.reasons],
        "repairs": [(_repair_words(one), one) for one in found.repairs],
        "result": result,
        "searched": True,
    }


def _opening(form: FindTimeForm, wish: TimeWish, opening: Opening) -> ShownOpening:
    end = opening.start + wish.minutes
    at = time(opening.start // 60, opening.start % 60)
    fields = [
        ("student", str(wish.student.pk)),
        ("where", str(form.cleaned_data["where"])),
        ("weekday", str(opening.weekday)),
        ("at", f"{at:%H:%M}"),
        ("minutes", str(wish.minutes)),
        ("every_weeks", str(wish.every_weeks)),
        ("term", str(form.cleaned_data["term"].pk)),
        ("from_date", f"{_first(opening):%Y-%m-%d}"),
        ("until_date", f"{wish.last_date:%Y-%m-%d}"),
    ]
    fields += [("left_out", f"{day:%Y-%m-%d}") for day, _ in opening.blocked]
    return ShownOpening(
        opening,
        dict(WEEKDAYS)[opening.weekday],
        at,
        time(end // 60 % 24, end % 60),
        round(opening.added_driving),
        round(opening.added_idle),
        fields,
    )


def _first(opening: Opening) -> date:
    return min([*opening.free, *(day for day, _ in opening.blocked)])


def _repair_words(repair: Repair) -> str:
    at = f"{repair.start // 60}:{repair.start % 60:02}"
    way = "later" if repair.shift > 0 else "earlier"
    day = dict(WEEKDAYS)[repair.weekday]
    return f"{day} {at} would be free if {repair.label} were {abs(repair.shift)} minutes {way}"
