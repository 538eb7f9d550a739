"""Looking for a time."""

from __future__ import annotations

from datetime import date, time, timedelta
from typing import Any

from django import forms

from lessons.forms.booking import EVERY, WhoAndWhereForm
from lessons.forms.fields import WallTimeField
from lessons.models import Term
from lessons.models.calendar import WEEKDAYS
from lessons.planning.openings import Window
from lessons.selectors.finding import TimeWish

ROWS = 4
GRIDS = [(5, "every 5 minutes"), (15, "every quarter of an hour"), (30, "every half hour")]


class FindTimeForm(WhoAndWhereForm):
    """Whose lesson, where, how long, in which term, and when the family can come."""

    term = forms.ModelChoiceField(queryset=Term.objects.none(), empty_label=None)
    every_weeks = forms.TypedChoiceField(label="How often", choices=EVERY, coerce=int, initial=1)
    grid = forms.TypedChoiceField(label="Starts", choices=GRIDS, coerce=int, initial=15)

    field_order = ["student", "where", "minutes", "every_weeks", "term", "grid"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["at"]
        terms = Term.objects.not_over(self.today).in_order()
        self.fields["term"].queryset = terms  # type: ignore[attr-defined]
        for row in range(ROWS):
            self.fields[f"day_{row}"] = forms.TypedChoiceField(
                label="On",
                required=False,
                coerce=int,
                empty_value=None,
                choices=[("", "-"), *WEEKDAYS],
            )
            self.fields[f"from_{row}"] = WallTimeField(label="from", required=False)
            self.fields[f"until_{row}"] = WallTimeField(label="until", required=False)
            self.fields[f"best_{row}"] = forms.BooleanField(label="liked best", required=False)

    @property
    def rows(self) -> list[list[forms.BoundField]]:
        """The fields of each window."""
        names = ("day", "from", "until", "best")
        return [[self[f"{name}_{row}"] for name in names] for row in range(ROWS)]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        windows = []
        for row in range(ROWS):
            weekday = cleaned.get(f"day_{row}")
            if weekday is None:
                continue
            begins: time | None = cleaned.get(f"from_{row}")
            ends: time | None = cleaned.get(f"until_{row}")
            window = Window(
                weekday,
                _minute(begins) if begins else 0,
                (_minute(ends) if ends else 0) or 24 * 60,
                is_preferred=cleaned.get(f"best_{row}", False),
            )
            if window.ends <= window.begins:
                self.add_error(f"until_{row}", "The hours must end after they begin.")
            windows.append(window)
        if not windows and not self.errors:
            self.add_error("day_0", "Choose at least one weekday on which the family can come.")
        cleaned["windows"] = tuple(windows)
        return cleaned

    def wish(self) -> TimeWish:
        """Return what is looked for; call it on a valid form."""
        data = self.cleaned_data
        term: Term = data["term"]
        first: date = max(term.first_date, self.today + timedelta(days=1))
        return TimeWish(
            student=data["student"],
            place=self.place(),
            minutes=data["minutes"],
            first_date=min(first, term.last_date),
            last_date=term.last_date,
            windows=data["windows"],
            every_weeks=data["every_weeks"],
            grid=data["grid"],
        )


def _minute(at: time) -> int:
    return at.hour * 60 + at.minute
