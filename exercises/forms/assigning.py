"""Setting a week of work."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django import forms

from exercises.forms.library import bpm_field
from exercises.models import Exercise
from exercises.models.limits import LEAST_MINUTES, MOST_MINUTES_A_DAY_ASKED
from exercises.services.practice import AssignmentDraft
from studio.local_time import monday_of

WEEKS_AHEAD = 5


class WeekForm(forms.Form):
    """Which week the work is for."""

    week_date = forms.TypedChoiceField(
        label="For the week of",
        coerce=date.fromisoformat,
        error_messages={"invalid_choice": "Choose this week or one of the next five."},
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        monday = monday_of(today)
        mondays = [monday + timedelta(weeks=n) for n in range(WEEKS_AHEAD + 1)]
        named = ["this week, from ", "next week, from ", *[""] * WEEKS_AHEAD]
        self.fields["week_date"].choices = [  # type: ignore[attr-defined]
            (day.isoformat(), f"{name}{day:%-d %B}")
            for day, name in zip(mondays, named, strict=False)
        ]


class AssignmentRowForm(forms.Form):
    """One exercise that may be set; only what is ticked has to be right."""

    pick = forms.BooleanField(required=False)
    start_bpm = bpm_field("From")
    goal_bpm = bpm_field("To")
    minutes_per_day = forms.IntegerField(
        label="Minutes a day",
        min_value=LEAST_MINUTES,
        max_value=MOST_MINUTES_A_DAY_ASKED,
        error_messages={
            "min_value": f"Ask for {LEAST_MINUTES} to {MOST_MINUTES_A_DAY_ASKED} minutes a day.",
            "max_value": f"Ask for {LEAST_MINUTES} to {MOST_MINUTES_A_DAY_ASKED} minutes a day.",
            "invalid": "Write the minutes as a whole number.",
        },
    )
    note = forms.CharField(label="Note", required=False, max_length=500)

    def full_clean(self) -> None:
        """Check the row, then forgive what is wrong in one that is not ticked."""
        super().full_clean()
        if self.is_bound and not self.cleaned_data.get("pick"):
            self._errors = forms.utils.ErrorDict()

    def clean(self) -> dict[str, Any]:
        """Refuse a goal below the start."""
        data = super().clean() or self.cleaned_data
        start, goal = data.get("start_bpm"), data.get("goal_bpm")
        if start and goal and goal < start:
            self.add_error("goal_bpm", "The goal is not slower than the start.")
        return data

    def draft(self, exercise: Exercise) -> AssignmentDraft:
        """Return what the row says; call it on a valid, ticked row only."""
        data = self.cleaned_data
        return AssignmentDraft(
            exercise,
            data["start_bpm"],
            data["goal_bpm"],
            data["minutes_per_day"],
            " ".join(data["note"].split()),
        )
