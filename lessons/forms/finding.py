"""Looking for a time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, time, timedelta
from typing import Any

from django import forms
from django.http import QueryDict

from lessons.forms.booking import EVERY
from lessons.forms.fields import AT_HOME, ONLINE, WallTimeField
from lessons.forms.kinds import WhoAndWhereForm
from lessons.models import Term
from lessons.models.calendar import WEEKDAYS
from lessons.planning.openings import Window
from lessons.selectors.finding import TimeWish, windows_of, wishes_of
from studio.forms import SensibleDateField
from studio.models import Student

ROWS = 4
GRIDS = [(5, "every 5 minutes"), (15, "every quarter of an hour"), (30, "every half hour")]
WEEKLY, ONCE = "weekly", "once"
# How far ahead a single lesson is looked for unless said otherwise, and at most.
ONCE_DAYS, MOST_DAYS = 28, 120


class FindTimeForm(WhoAndWhereForm):
    """Whose lesson, where, how long, in which term or between which dates, and within what."""

    kind = forms.ChoiceField(
        label="What for",
        choices=[(WEEKLY, "a weekly lesson in a term"), (ONCE, "one single lesson")],
    )
    term = forms.ModelChoiceField(queryset=Term.objects.none(), empty_label=None)
    every_weeks = forms.TypedChoiceField(label="How often", choices=EVERY, coerce=int, initial=1)
    grid = forms.TypedChoiceField(label="Starts", choices=GRIDS, coerce=int, initial=15)
    first_date = SensibleDateField(
        label="From", required=False, help_text="Empty: from tomorrow, or the term’s first day."
    )
    last_date = SensibleDateField(
        label="Until",
        required=False,
        help_text="Empty: to the term’s end; four weeks for one lesson.",
    )

    field_order = [
        "student",
        "kind",
        "where",
        "minutes",
        "term",
        "every_weeks",
        "grid",
        "first_date",
        "last_date",
    ]

    def __init__(self, data: QueryDict | None = None, **kwargs: Any) -> None:
        if data is not None:
            # Links from before there were single lessons name no kind.
            data = data.copy()
            data.setdefault("kind", WEEKLY)
        super().__init__(data, **kwargs)
        del self.fields["at"]
        self.fields["term"].required = data is None or data.get("kind") != ONCE
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
            self.fields[f"every_{row}"] = forms.TypedChoiceField(
                label="in", required=False, coerce=int, empty_value=None, choices=EVERY, initial=1
            )
            self.fields[f"anchor_{row}"] = SensibleDateField(label="week of", required=False)
            self.fields[f"best_{row}"] = forms.BooleanField(label="liked best", required=False)

    @property
    def rows(self) -> list[list[forms.BoundField]]:
        """The fields of each window."""
        names = ("day", "from", "until", "every", "anchor", "best")
        return [[self[f"{name}_{row}"] for name in names] for row in range(ROWS)]

    @property
    def has_more_rows(self) -> bool:
        """True when a window beyond the first is filled in or wrong."""
        names = [f"{name}_{row}" for name in ("day", "until", "anchor") for row in range(1, ROWS)]
        return any(self[name].value() not in (None, "") or self[name].errors for name in names)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        windows = [self._window(cleaned, row) for row in range(ROWS)]
        given = tuple(window for window in windows if window is not None)
        if not given and "student" in cleaned:
            given = windows_of(cleaned["student"])
        if not given and not self.errors:
            self.add_error(
                "day_0",
                "Choose at least one weekday on which the family can come: none is written down "
                "for them yet.",
            )
        cleaned["windows"] = given
        self._check_dates(cleaned)
        return cleaned

    @property
    def is_once(self) -> bool:
        """True when one single lesson is looked for; call it on a valid form."""
        return bool(self.cleaned_data["kind"] == ONCE)

    def wish(self) -> TimeWish:
        """Return what is looked for; call it on a valid form."""
        data = self.cleaned_data
        first, last = self._dates(data)
        return TimeWish(
            student=data["student"],
            place=self.place(),
            minutes=data["minutes"],
            first_date=min(first, last),
            last_date=last,
            windows=data["windows"],
            every_weeks=1 if self.is_once else data["every_weeks"],
            grid=data["grid"],
        )

    def _window(self, cleaned: dict[str, Any], row: int) -> Window | None:
        weekday = cleaned.get(f"day_{row}")
        if weekday is None:
            return None
        begins: time | None = cleaned.get(f"from_{row}")
        ends: time | None = cleaned.get(f"until_{row}")
        every = cleaned.get(f"every_{row}") or 1
        anchor = cleaned.get(f"anchor_{row}")
        if every > 1 and anchor is None and f"anchor_{row}" not in self.errors:
            self.add_error(f"anchor_{row}", "Name a day in a week that suits.")
        window = Window(
            weekday,
            _minute(begins) if begins else 0,
            (_minute(ends) if ends else 0) or 24 * 60,
            every,
            anchor if every > 1 else None,
            is_preferred=cleaned.get(f"best_{row}", False),
        )
        if window.ends <= window.begins:
            self.add_error(f"until_{row}", "The hours must end after they begin.")
        return window

    def _check_dates(self, cleaned: dict[str, Any]) -> None:
        if self.errors:
            return
        first, last = self._dates(cleaned)
        if last < first and (cleaned["first_date"] or cleaned["last_date"]):
            self.add_error("last_date", "There is no day left between these two.")
        elif cleaned["kind"] == ONCE and (last - first).days > MOST_DAYS:
            self.add_error("last_date", f"Look at no more than {MOST_DAYS} days at once.")

    def _dates(self, data: dict[str, Any]) -> tuple[date, date]:
        tomorrow = self.today + timedelta(days=1)
        first: date = max(tomorrow, data["first_date"] or tomorrow)
        if data["kind"] == ONCE:
            return first, data["last_date"] or first + timedelta(days=ONCE_DAYS)
        term: Term = data["term"]
        last: date = min(term.last_date, data["last_date"] or term.last_date)
        return max(term.first_date, first), last


def told_by(student: Student, places: Sequence[tuple[str, str]]) -> dict[str, Any]:
    """Return what is written down for a student, as the form begins with it."""
    wishes = wishes_of(student)
    where = AT_HOME
    if wishes.place_id is not None and wishes.place is not None:
        known = {value for value, _ in places}
        where = ONLINE if wishes.place.is_online else str(wishes.place_id)
        where = where if where in known else AT_HOME
    initial: dict[str, Any] = {"where": where, "every_weeks": wishes.every_weeks}
    if wishes.pk is not None:
        initial["minutes"] = wishes.minutes
    for row, window in enumerate(windows_of(student)[:ROWS]):
        initial |= {
            f"day_{row}": window.weekday,
            f"from_{row}": time(window.begins // 60, window.begins % 60),
            f"until_{row}": time(window.ends // 60 % 24, window.ends % 60),
            f"every_{row}": window.every_weeks,
            f"anchor_{row}": window.anchor,
            f"best_{row}": window.is_preferred,
        }
    return initial


def _minute(at: time) -> int:
    return at.hour * 60 + at.minute
