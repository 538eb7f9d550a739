"""The teacher's own appointments."""

from __future__ import annotations

from datetime import time
from typing import Any

from django import forms

from lessons.forms.fields import WallTimeField
from lessons.forms.wishes import NamedPlaceField
from lessons.models import Appointment
from lessons.models.appointments import RHYTHMS
from studio.forms import SensibleDateField
from studio.models import Place, PlaceKind


class AppointmentForm(forms.ModelForm):
    """One appointment, once or every few weeks."""

    first_date = SensibleDateField(label="Day")
    begins_at = WallTimeField(label="From")
    ends_at = WallTimeField(label="Until", help_text="00:00 is midnight.")
    every_weeks = forms.TypedChoiceField(label="How often", choices=RHYTHMS, coerce=int, initial=0)
    last_date = SensibleDateField(
        label="Last day",
        required=False,
        help_text="Only if it repeats. Empty: until further notice.",
    )
    place = NamedPlaceField(
        label="Where",
        queryset=Place.objects.none(),
        required=False,
        empty_label="Anywhere: no road to it counts",
    )
    is_kept_all_the_same = forms.BooleanField(
        label="Keep it although lessons are booked then: I will move them", required=False
    )

    class Meta:
        model = Appointment
        fields = [
            "label",
            "first_date",
            "begins_at",
            "ends_at",
            "every_weeks",
            "last_date",
            "place",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        places = Place.objects.exclude(kind=PlaceKind.ONLINE).order_by("kind", "name", "pk")
        self.fields["place"].queryset = places  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        begins, ends = cleaned.get("begins_at"), cleaned.get("ends_at")
        if begins is not None and ends is not None and ends != time() and ends <= begins:
            self.add_error("ends_at", "It must end after it begins.")
        first, last = cleaned.get("first_date"), cleaned.get("last_date")
        if cleaned.get("every_weeks") == 0:
            cleaned["last_date"] = None
        elif first and last and last < first:
            self.add_error("last_date", "The last day is before the first.")
        return cleaned
