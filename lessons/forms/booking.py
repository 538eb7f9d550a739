"""Booking, moving and calling off."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from lessons.forms.fields import AT_HOME, ONLINE, MinutesField, WallTimeField, place_choices
from lessons.forms.kinds import SINGLE_KINDS, KindForm, left_out, own_times
from lessons.models import Lesson, Term
from lessons.models.calendar import WEEKDAYS
from lessons.planning.recurrence import CannotRepeat, WeeklyRule
from lessons.selectors.homes import home_on
from lessons.selectors.series import SeriesWish
from lessons.services.booking import online_place
from studio.forms import SensibleDateField
from studio.models import Place, Studio

EVERY = [(1, "every week"), (2, "every second week"), (3, "every third week"), (4, "every 4 weeks")]
ROAD_REASON = "Book it although the road is too long, because"
RULE_FIELDS = {
    "first_date": "from_date",
    "last_date": "until_date",
    "at": "at",
    "minutes": "minutes",
    "every_weeks": "every_weeks",
}


class SeriesForm(KindForm):
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
        "kind",
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
            place=self.place(),
            rule=self.cleaned_data["rule"],
            term=self.cleaned_data["term"],
            left_out=left_out(self.data),
            own_times=own_times(self.data),
            **self.people_and_kind(),
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


class LessonForm(KindForm):
    """One lesson by itself."""

    day = SensibleDateField(label="Date")
    road_reason = forms.CharField(
        label=ROAD_REASON,
        max_length=200,
        required=False,
        help_text="Leave empty unless the page says that the road is too long.",
    )
    field_order = ["kind", "student", "where", "day", "at", "minutes", "road_reason"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = SINGLE_KINDS  # type: ignore[attr-defined]


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
            family = self.lesson.takers.all()[0].student.family
            return home_on(family, self.cleaned_data["day"])
        if where == ONLINE:
            return online_place()
        return Place.objects.get(pk=int(where))


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
