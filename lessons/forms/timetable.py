"""Building a term's timetable, and accepting it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django import forms
from django.http import QueryDict

from lessons.models import DraftLesson, Term, TimetableDraft
from lessons.selectors.timetable_pages import from_date_for

MOST_TICKS = 1000


class BuildForm(forms.Form):
    """For which term."""

    term = forms.ModelChoiceField(queryset=Term.objects.none(), empty_label=None)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # A term in its last week has no Monday left that anything could begin on.
        terms = Term.objects.filter(last_date__gte=from_date_for(date.min, today)).in_order()
        self.fields["term"].queryset = terms  # type: ignore[attr-defined]

    @property
    def term_chosen(self) -> Term | None:
        """The term that was asked for, or else the first of those that have days left."""
        if self.is_bound and self.is_valid():
            chosen: Term = self.cleaned_data["term"]
            return chosen
        first: Term | None = self.fields["term"].queryset.first()  # type: ignore[attr-defined]
        return first


class AcceptForm(forms.Form):
    """Which rows of the plan (``lesson``, one tick each), from which week on, and who is told."""

    from_date = forms.TypedChoiceField(
        label="From the week of", coerce=date.fromisoformat, choices=[]
    )
    are_families_told = forms.BooleanField(
        label="Tell the families whose lessons change: one message each", required=False
    )

    def __init__(
        self, *args: Any, draft: TimetableDraft, plan: str, today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.draft, self.plan = draft, plan
        self.fields["from_date"].choices = [  # type: ignore[attr-defined]
            (f"{day:%Y-%m-%d}", f"{day:%-d %B %Y}") for day in weeks(draft, today)
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        # One box for each row, drawn from the draft: no field of the form itself.
        ticks = self.data.getlist("lesson") if isinstance(self.data, QueryDict) else []
        numbers = {int(tick) for tick in ticks[:MOST_TICKS] if is_number(tick)}
        known = DraftLesson.objects.filter(draft=self.draft, plan=self.plan)
        cleaned["ticked"] = numbers & set(known.values_list("pk", flat=True))
        if not ticks:
            raise forms.ValidationError("Tick at least one lesson, then look again.")
        if len(cleaned["ticked"]) != len(set(ticks)):
            raise forms.ValidationError(
                "Some ticks are not of this timetable. Go back to it and tick again."
            )
        return cleaned

    def ticked(self) -> frozenset[int]:
        """Return the numbers of the ticked rows; call it on a valid form."""
        return frozenset(self.cleaned_data["ticked"])


def is_number(text: str) -> bool:
    """Return True for digits that a row's number could have."""
    return text.isascii() and text.isdigit() and len(text) <= 9


def weeks(draft: TimetableDraft, today: date) -> list[date]:
    """Return the days that the draft could begin on: its own first day, then Mondays."""
    day = max(draft.from_date, from_date_for(draft.from_date, today))
    days = []
    while day <= draft.term.last_date:
        days.append(day)
        day += timedelta(days=7 - day.weekday())
    return days
