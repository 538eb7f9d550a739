"""What a family asks, and what the teacher answers."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from lessons.models import RequestKind
from lessons.models.requests import LONGEST_WORDS
from lessons.selectors.asking import MOST_TIMES

_MOST_READ = 20


class MomentsField(forms.Field):
    """Instants that a page offered, one box each."""

    widget = forms.SelectMultiple

    def clean(self, value: Any) -> tuple[datetime, ...]:
        moments: list[datetime] = []
        for text in (value or [])[:_MOST_READ]:
            try:
                moment = datetime.fromisoformat(str(text)[:40])
            except ValueError:
                raise ValidationError("Choose among the times that are shown.") from None
            if moment.tzinfo is None or not 2000 <= moment.year <= 2100:
                raise ValidationError("Choose among the times that are shown.")
            moments.append(moment.astimezone(UTC))
        if len(set(moments)) > MOST_TIMES:
            raise ValidationError(f"Choose up to {MOST_TIMES} times.")
        return tuple(sorted(set(moments)))


class AskForm(forms.Form):
    """Move the lesson or call it off, with a wish in words."""

    kind = forms.ChoiceField(choices=RequestKind.choices)
    times = MomentsField(required=False)
    words = forms.CharField(
        label="In your words",
        max_length=LONGEST_WORDS,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    shown = forms.CharField(max_length=24, required=False)


class OtherTimesForm(forms.Form):
    """Other times that the teacher offers instead."""

    times = MomentsField(required=False)
    words = forms.CharField(
        label="A line to the family",
        max_length=LONGEST_WORDS,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class AnswerForm(forms.Form):
    """A line that goes with a no."""

    words = forms.CharField(label="A line to the family", max_length=LONGEST_WORDS, required=False)
