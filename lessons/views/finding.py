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
from lessons.forms.fields import place_choices
from lessons.forms.finding import FindTimeForm, told_by
from lessons.models import Term
from lessons.models.calendar import WEEKDAYS
from lessons.planning.find_once import OnceOpening
from lessons.planning.find_time import Opening
from lessons.planning.recurrence import CannotRepeat
from lessons.selectors.alternatives import alternatives
from lessons.selectors.finding import TimeWish, booked_days, once_in, times_in
from studio.access import teacher_only
from studio.htmx import StudioRequest, go, page
from studio.local_time import local_date
from studio.models import Student

MOST_SHOWN = 12
_REASONS = {
    "taken": "something else is booked then",
    "road": "the road is too long",
    "full": "the day has as much teaching as you allow",
    "evening": "the week has as many evenings as you allow",
    "meal": "no time would be left for your meal",
    "apart": "it is too near another lesson of theirs",
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
    gives: str = ""

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


@dataclass(frozen=True, slots=True)
class ShownOnce:
    """One date and start, with what its form sends."""

    opening: OnceOpening
    at: time
    ends: time
    fields: list[tuple[str, str]]


@require_GET
@teacher_only
def time_find(request: StudioRequest) -> HttpResponse:
    """Ask what is looked for, and show where it fits, best first."""
    today = local_date(timezone.now(), request.studio.zone)
    asked = request.GET if "student" in request.GET and "minutes" in request.GET else None
    student = _student(request.GET.get("student", ""))
    form = FindTimeForm(
        asked,
        studio=request.studio,
        today=today,
        initial={
            "student": student,
            "where": "home",
            "minutes": 30,
            "term": Term.objects.not_over(today).in_order().first(),
        }
        | (told_by(student, place_choices(request.studio)) if student and asked is None else {}),
    )
    context: dict[str, Any] = {
        "form": form,
        "has_terms": Term.objects.not_over(today).exists(),
        "student": student,
    }
    if form.is_valid():
        context |= _found(form, request)
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


def _student(text: str) -> Student | None:
    if not (text.isascii() and text.isdigit()) or len(text) > 12:
        return None
    return Student.objects.active().select_related("wishes__place").filter(pk=text).first()


def _found(form: FindTimeForm, request: StudioRequest) -> dict[str, Any]:
    """Look for what the form asks and put it into the words of the page."""
    wish = form.wish()
    booked = booked_days(
        first_date=wish.first_date,
        last_date=wish.last_date,
        places=[wish.place],
        studio=request.studio,
    )
    shown: dict[str, Any] = {"searched": True, "wish": wish, "is_once": form.is_once}
    if form.is_once:
        result = once_in(booked, wish)
        once = [_once(form, wish, one) for one in result.found.openings[:MOST_SHOWN]]
        repairs = [
            (_repair_words(f"{one.day:%A %-d %B}", one.start, one.label, one.shift), one.blocker)
            for one in result.found.repairs
        ]
        more = max(0, len(result.found.openings) - MOST_SHOWN)
        return (
            shown
            | _why(result.found.reasons, repairs)
            | {
                "once": once,
                "more": more,
                "result": result,
            }
        )
    weekly = times_in(booked, wish)
    found = weekly.found
    others = () if found.openings else alternatives(booked, wish)
    repairs = [
        (_repair_words(dict(WEEKDAYS)[one.weekday], one.start, one.label, one.shift), one.blocker)
        for one in found.repairs
    ]
    return (
        shown
        | _why(found.reasons, repairs)
        | {
            "openings": [_opening(form, wish, one) for one in found.openings[:MOST_SHOWN]],
            "more": max(0, len(found.openings) - MOST_SHOWN),
            "partial": [_opening(form, wish, one) for one in found.partial[:MOST_SHOWN]],
            "alternatives": [_opening(form, wish, one.opening, one.gives) for one in others],
            "result": weekly,
        }
    )


def _why(reasons: tuple[tuple[str, int], ...], repairs: list[tuple[str, int]]) -> dict[str, Any]:
    return {"reasons": [(_REASONS[kind], count) for kind, count in reasons], "repairs": repairs}


def _once(form: FindTimeForm, wish: TimeWish, opening: OnceOpening) -> ShownOnce:
    end = opening.start + wish.minutes
    at = time(opening.start // 60, opening.start % 60)
    fields = [
        ("student", str(wish.student.pk)),
        ("where", str(form.cleaned_data["where"])),
        ("day", f"{opening.day:%Y-%m-%d}"),
        ("at", f"{at:%H:%M}"),
        ("minutes", str(wish.minutes)),
    ]
    return ShownOnce(opening, at, time(end // 60 % 24, end % 60), fields)


def _opening(form: FindTimeForm, wish: TimeWish, opening: Opening, gives: str = "") -> ShownOpening:
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
        gives,
    )


def _first(opening: Opening) -> date:
    return min([*opening.free, *(day for day, _ in opening.blocked)])


def _repair_words(day: str, start: int, label: str, shift: int) -> str:
    way = "later" if shift > 0 else "earlier"
    at = f"{start // 60}:{start % 60:02}"
    return f"{day} {at} would be free if {label} were {abs(shift)} minutes {way}"
