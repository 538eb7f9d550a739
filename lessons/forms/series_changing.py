"""Changing a series from a day on, and swapping two."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms

from lessons.forms.booking import EVERY
from lessons.forms.fields import AT_HOME, ONLINE, MinutesField, WallTimeField, place_choices
from lessons.forms.kinds import OthersField, left_out, own_times
from lessons.models import LessonKind, Series
from lessons.models.calendar import WEEKDAYS
from lessons.planning.recurrence import CannotRepeat
from lessons.selectors.series_change_parts import SeriesChange
from lessons.selectors.series_changes import rule_from
from lessons.selectors.series_wish import SeriesWish
from lessons.services.booking import online_place
from studio.forms import SensibleDateField
from studio.models import Place, Student, Studio

RULE_FIELDS = {"last_date": "until_date", "first_date": "from_date", "at": "at"}
RULE_FIELDS |= {"minutes": "minutes", "every_weeks": "every_weeks"}


class ChangeForm(forms.Form):
    """What changes from which day on."""

    from_date = SensibleDateField(
        label="From this day on", help_text="Lessons before it stay as they are."
    )
    weekday = forms.TypedChoiceField(label="Weekday", choices=WEEKDAYS, coerce=int)
    at = WallTimeField(label="Begins at")
    minutes = MinutesField()
    every_weeks = forms.TypedChoiceField(label="How often", choices=EVERY, coerce=int)
    where = forms.ChoiceField(label="Where", choices=[])
    until_date = SensibleDateField(label="Last day")
    students = OthersField(label="Who takes part")
    moves_apart = forms.BooleanField(
        label="Lessons that were moved or changed by themselves take the new time as well",
        required=False,
    )
    road_reason = forms.CharField(
        label="Change it although the road is too long, because", max_length=200, required=False
    )
    is_family_told = forms.BooleanField(label="Tell the family by e-mail", required=False)
    seal = forms.CharField(required=False, max_length=32, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, series: Series, studio: Studio, today: date, **kwargs: Any
    ) -> None:
        kwargs["initial"] = _as_it_is(series) | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)
        self.series, self.studio, self.today = series, studio, today
        choices = [("same", f"As before: {series.place.name}"), *place_choices(studio)]
        self.fields["where"].choices = choices  # type: ignore[attr-defined]
        people = Student.objects.active() | Student.objects.filter(series=series)
        self.fields["students"].queryset = (  # type: ignore[attr-defined]
            people.distinct().select_related("family__home").by_name()
        )
        every = [number for number, _ in EVERY]
        if series.every_weeks not in every:
            own = (series.every_weeks, f"every {series.every_weeks} weeks")
            self.fields["every_weeks"].choices = [*EVERY, own]  # type: ignore[attr-defined]

    def clean_from_date(self) -> date:
        day: date = self.cleaned_data["from_date"]
        if day < self.today:
            raise forms.ValidationError("What is past never changes. Choose today or a later day.")
        return day

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        people = list(cleaned["students"])
        if not people and self.series.kind != LessonKind.SCHOOL:
            self.add_error("students", "Somebody has to take part. To end the series, end it.")
        elif len(people) > 1 and self.series.kind == LessonKind.LESSON:
            self.add_error("students", "This is a lesson for one. Book a group of its own.")
        try:
            cleaned["rule"] = rule_from(
                self.series,
                cleaned["from_date"],
                weekday=cleaned["weekday"],
                at=cleaned["at"],
                minutes=cleaned["minutes"],
                every_weeks=cleaned["every_weeks"],
                last_date=cleaned["until_date"],
                zone=self.studio.zone,
            )
            cleaned["rule"].dates()
        except CannotRepeat as trouble:
            self.add_trouble(trouble)
        return cleaned

    def add_trouble(self, trouble: CannotRepeat) -> None:
        """Put what makes the rule impossible at the field that is to blame."""
        self.add_error(RULE_FIELDS.get(trouble.field), str(trouble))

    def change(self) -> SeriesChange:
        """Return what is asked for; call it on a valid form."""
        data = self.cleaned_data
        people = tuple(data["students"])
        wish = SeriesWish(
            students=people,
            place=self._place(people),
            rule=data["rule"],
            term=self.series.term,
            left_out=left_out(self.data),
            own_times=own_times(self.data),
            kind=self.series.kind,
            school=self.series.school,
            label=self.series.label,
        )
        return SeriesChange(
            data["from_date"], self.series, wish, data["road_reason"], data["moves_apart"]
        )

    def _place(self, people: tuple[Student, ...]) -> Place:
        where = self.cleaned_data["where"]
        if where == "same" or (where == AT_HOME and not people):
            return self.series.place
        if where == AT_HOME:
            home: Place = people[0].family.home
            return home
        if where == ONLINE:
            return online_place()
        return Place.objects.get(pk=int(where))


def _as_it_is(series: Series) -> dict[str, Any]:
    return {
        "weekday": series.first_date.weekday(),
        "at": series.at,
        "minutes": series.minutes,
        "every_weeks": series.every_weeks,
        "where": "same",
        "until_date": series.last_date,
        "students": [student.pk for student in series.students.all()],
        "is_family_told": True,
    }


class SeriesField(forms.ModelChoiceField):
    """Another series that runs."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=Series.objects.none(), empty_label="Choose …", **kwargs)

    def label_from_instance(self, obj: Any) -> str:
        names = obj.label or " and ".join(student.name for student in obj.students.all())
        return f"{names}: {obj.rhythm} at {obj.at:%H:%M}, {obj.minutes} minutes"


class SwapForm(forms.Form):
    """With whom a series swaps its time, and for how long."""

    other = SeriesField(label="Swap with")
    from_date = SensibleDateField(label="From the week of")
    how_long = forms.ChoiceField(
        label="For how long",
        choices=[("week", "For that one week"), ("good", "For good, from that week on")],
        initial="week",
    )
    road_reason = forms.CharField(
        label="Swap although the road is too long, because", max_length=200, required=False
    )
    is_family_told = forms.BooleanField(
        label="Tell both families by e-mail", required=False, initial=True
    )
    seal = forms.CharField(required=False, max_length=32, widget=forms.HiddenInput)

    def __init__(self, *args: Any, series: Series, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        others = Series.objects.filter(last_date__gte=today).exclude(pk=series.pk)
        others = others.exclude(stopped_from_date__lte=today).prefetch_related("students")
        self.fields["other"].queryset = others.order_by(  # type: ignore[attr-defined]
            "first_date__iso_week_day", "at", "pk"
        )

    def clean_from_date(self) -> date:
        day: date = self.cleaned_data["from_date"]
        if day < self.today:
            raise forms.ValidationError("What is past never changes. Choose today or a later day.")
        return day
