"""Booking, moving and calling off."""

from __future__ import annotations

from contextlib import suppress
from datetime import date, datetime, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from lessons.forms.fields import (
    AT_HOME,
    ONLINE,
    MinutesField,
    StudentField,
    WallTimeField,
    place_choices,
)
from lessons.models import CalledOffBy, Lesson, Term
from lessons.models.calendar import WEEKDAYS
from lessons.planning.recurrence import CannotRepeat, WeeklyRule
from lessons.selectors.series import SeriesWish
from lessons.services.booking import online_place
from studio.forms import SensibleDateField
from studio.local_time import local_date
from studio.models import Place, Student, Studio

EVERY = [(1, "every week"), (2, "every second week"), (3, "every third week"), (4, "every 4 weeks")]
ROAD_REASON = "Book it although the road is too long, because"
RULE_FIELDS = {
    "last_date": "until_date",
    "at": "at",
    "minutes": "minutes",
    "every_weeks": "every_weeks",
}


class WhoAndWhereForm(forms.Form):
    """A student and the place where the lesson is."""

    student = StudentField()
    where = forms.ChoiceField(choices=[])
    at = WallTimeField(label="Begins at")
    minutes = MinutesField(initial=30)

    def __init__(self, *args: Any, studio: Studio, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.studio, self.today = studio, today
        students = Student.objects.active().select_related("family__home").by_name()
        self.fields["student"].queryset = students  # type: ignore[attr-defined]
        self.fields["where"].choices = place_choices(studio)  # type: ignore[attr-defined]

    def place(self) -> Place:
        """Return the chosen place; call it on a valid form."""
        where = self.cleaned_data["where"]
        if where == AT_HOME:
            home: Place = self.cleaned_data["student"].family.home
            return home
        if where == ONLINE:
            return online_place()
        return Place.objects.get(pk=int(where))


class SeriesForm(WhoAndWhereForm):
    """A lesson that repeats, for a term or between two dates."""

    term = forms.ModelChoiceField(
        queryset=Term.objects.none(), required=False, empty_label="No term: from and until below"
    )
    weekday = forms.TypedChoiceField(choices=WEEKDAYS, coerce=int)
    every_weeks = forms.TypedChoiceField(label="How often", choices=EVERY, coerce=int, initial=1)
    from_date = SensibleDateField(
        label="From", required=False, help_text="Empty: from the term’s start, or from today."
    )
    until_date = SensibleDateField(
        label="Until", required=False, help_text="Empty: to the end of the term."
    )
    road_reason = forms.CharField(label=ROAD_REASON, max_length=200, required=False)
    seal = forms.CharField(required=False, max_length=32, widget=forms.HiddenInput)

    field_order = [
        "student",
        "where",
        "weekday",
        "at",
        "minutes",
        "every_weeks",
        "term",
        "from_date",
        "until_date",
    ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        terms = Term.objects.not_over(self.today).in_order()
        self.fields["term"].queryset = terms  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        first, last = self._first_and_last(cleaned)
        if first is None or last is None:
            return cleaned
        if last < first:
            self.add_error("until_date", f"There is no {first:%A} between these dates.")
            return cleaned
        cleaned["rule"] = WeeklyRule(
            first, last, cleaned["at"], cleaned["minutes"], self.studio.zone, cleaned["every_weeks"]
        )
        try:
            cleaned["rule"].dates()
        except CannotRepeat as trouble:
            self.add_trouble(trouble)
        return cleaned

    def add_trouble(self, trouble: CannotRepeat) -> None:
        """Put what makes the rule impossible at the field that is to blame."""
        self.add_error(RULE_FIELDS.get(trouble.field), str(trouble))

    def wish(self) -> SeriesWish:
        """Return what is asked for; call it on a valid form."""
        return SeriesWish(
            students=(self.cleaned_data["student"],),
            place=self.place(),
            rule=self.cleaned_data["rule"],
            term=self.cleaned_data["term"],
            left_out=self._left_out(),
        )

    def _first_and_last(self, cleaned: dict[str, Any]) -> tuple[date | None, date | None]:
        term: Term | None = cleaned["term"]
        begin = cleaned["from_date"]
        if begin is None and term is not None:
            begin = max(term.first_date, self.today)
        last = cleaned["until_date"] or (term.last_date if term else None)
        if last is None:
            self.add_error("until_date", "Choose a term, or write the last date here.")
            return None, None
        begin = begin or self.today
        first = begin + timedelta(days=(cleaned["weekday"] - begin.weekday()) % 7)
        return first, last

    def _left_out(self) -> frozenset[date]:
        # One box per date, drawn from the plan: no field of the form itself. Nonsense is no date.
        given = self.data.getlist("left_out") if isinstance(self.data, QueryDict) else []
        days = set()
        for text in given[:400]:
            with suppress(ValueError):
                days.add(date.fromisoformat(text))
        return frozenset(days)


class LessonForm(WhoAndWhereForm):
    """One lesson by itself."""

    day = SensibleDateField(label="Date")
    road_reason = forms.CharField(
        label=ROAD_REASON,
        max_length=200,
        required=False,
        help_text="Leave empty unless the page says that the road is too long.",
    )
    field_order = ["student", "where", "day", "at", "minutes", "road_reason"]


class MoveForm(forms.Form):
    """Another time, length or place for one lesson."""

    day = SensibleDateField(label="New date")
    at = WallTimeField(label="Begins at")
    minutes = MinutesField()
    where = forms.ChoiceField(choices=[])
    road_reason = forms.CharField(
        label="Move it although the road is too long, because",
        max_length=200,
        required=False,
        help_text="Leave empty unless the page says that the road is too long.",
    )
    is_family_told = forms.BooleanField(label="Tell the family by e-mail", required=False)

    def __init__(self, *args: Any, lesson: Lesson, studio: Studio, **kwargs: Any) -> None:
        starts = lesson.starts_at.astimezone(studio.zone)
        kwargs["initial"] = {
            "day": starts.date(),
            "at": starts.time(),
            "minutes": lesson.minutes,
            "where": "same",
            "is_family_told": True,
        }
        super().__init__(*args, **kwargs)
        self.lesson = lesson
        choices = [("same", f"As before: {lesson.place.name}"), *place_choices(studio)]
        self.fields["where"].choices = choices  # type: ignore[attr-defined]

    def place(self) -> Place:
        """Return the chosen place; call it on a valid form."""
        where = self.cleaned_data["where"]
        if where == "same":
            return self.lesson.place
        if where == AT_HOME:
            return self.lesson.takers.all()[0].student.family.home
        if where == ONLINE:
            return online_place()
        return Place.objects.get(pk=int(where))


class CallOffForm(forms.Form):
    """Who called a lesson off, when, and what it counts as."""

    called_off_by = forms.ChoiceField(label="Who calls it off?", choices=CalledOffBy.choices)
    reason = forms.CharField(max_length=200, required=False, help_text="Such as: ill.")
    told_date = SensibleDateField(
        label="Told on", required=False, help_text="Empty: just now. It decides whether it is late."
    )
    told_time = WallTimeField(label="Told at", required=False)
    counts_as = forms.ChoiceField(
        label="Counts as",
        required=False,
        choices=[
            ("", "What the rules say"),
            ("called_off", "Called off in time: free of charge"),
            ("called_off_late", "Called off late: charged"),
        ],
    )
    is_family_told = forms.BooleanField(label="Tell the family by e-mail", required=False)

    def __init__(self, *args: Any, studio: Studio, now: datetime, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"is_family_told": True, "called_off_by": CalledOffBy.FAMILY})
        super().__init__(*args, **kwargs)
        self.studio, self.now = studio, now

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        day, at = cleaned["told_date"], cleaned["told_time"]
        if at is not None and day is None:
            day = local_date(self.now, self.studio.zone)
        if day is not None and at is None:
            self.add_error("told_time", "Write the time as well; it decides whether it was late.")
            return cleaned
        told_at = self.now
        if day is not None and at is not None:
            # Of a time that the clock shows twice, the first is meant: in the family's favour.
            told_at = datetime.combine(day, at, tzinfo=self.studio.zone)
        if told_at > self.now:
            self.add_error("told_time", "That is still to come.")
        cleaned["told_at"] = told_at
        return cleaned


class StopForm(forms.Form):
    """From which day on a series ends."""

    from_date = SensibleDateField(
        label="No lessons from this day on", help_text="Lessons before it stay as they are."
    )

    def __init__(self, *args: Any, first_date: date, last_date: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.first_date, self.last_date = first_date, last_date

    def clean_from_date(self) -> date:
        day: date = self.cleaned_data["from_date"]
        if not self.first_date <= day <= self.last_date:
            raise ValidationError(
                f"The series runs from {self.first_date:%-d %B %Y} to {self.last_date:%-d %B %Y}."
            )
        return day
