"""Somebody stays away, pauses or leaves."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms

from studio.forms import SensibleDateField

COUNTS_AS = [("called_off", "Free of charge"), ("called_off_late", "Charged all the same")]


class _FromTodayForm(forms.Form):
    """What happens from a day on, and whether the family is told."""

    reason = forms.CharField(
        label="Why", max_length=200, required=False, help_text="Such as: exchange year."
    )
    is_family_told = forms.BooleanField(label="Tell the family by e-mail", required=False)
    seal = forms.CharField(required=False, max_length=32, widget=forms.HiddenInput)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def from_today(self, name: str) -> date:
        day: date = self.cleaned_data[name]
        if day < self.today:
            raise forms.ValidationError("What is past never changes. Choose today or a later day.")
        return day


class PauseForm(_FromTodayForm):
    """Between which days a student pauses, and what was agreed."""

    first_date = SensibleDateField(label="First day away")
    last_date = SensibleDateField(label="Last day away")
    counts_as = forms.ChoiceField(label="As agreed, these lessons are", choices=COUNTS_AS)

    field_order = ["first_date", "last_date", "counts_as", "reason", "is_family_told"]

    def clean_first_date(self) -> date:
        return self.from_today("first_date")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        first, last = cleaned.get("first_date"), cleaned.get("last_date")
        if first and last and last < first:
            self.add_error("last_date", "The last day is before the first.")
        return cleaned


class LeaveForm(_FromTodayForm):
    """The last day on which a student has lessons."""

    last_date = SensibleDateField(
        label="Last day with lessons", help_text="Lessons up to this day stay."
    )

    field_order = ["last_date", "reason", "is_family_told"]

    def clean_last_date(self) -> date:
        return self.from_today("last_date")


class AwayForm(forms.Form):
    """One of a group cannot come to one lesson."""

    student = forms.IntegerField(min_value=1, max_value=10**15)
    counts_as = forms.ChoiceField(
        label="Counts as",
        required=False,
        choices=[("", "What the rules say"), *COUNTS_AS],
    )
    reason = forms.CharField(label="Why", max_length=200, required=False)
