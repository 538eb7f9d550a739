"""When a room is free at all."""

from __future__ import annotations

from datetime import time
from typing import Any

from django import forms

from lessons.forms.fields import WallTimeField
from lessons.forms.wishes import NamedPlaceField
from lessons.models import PlaceHours
from studio.models import Place, PlaceKind


class PlaceHoursForm(forms.ModelForm):
    """One window of a weekday in which a room is free."""

    place = NamedPlaceField(label="Room", queryset=Place.objects.none(), empty_label="Choose …")
    begins_at = WallTimeField(label="From")
    ends_at = WallTimeField(label="Until", help_text="00:00 is midnight.")

    class Meta:
        model = PlaceHours
        fields = ["place", "weekday", "begins_at", "ends_at"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rooms = Place.objects.filter(kind__in=[PlaceKind.ROOM, PlaceKind.SCHOOL])
        self.fields["place"].queryset = rooms.order_by("name", "pk")  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        begins, ends = cleaned.get("begins_at"), cleaned.get("ends_at")
        if begins is not None and ends is not None and ends != time() and ends <= begins:
            self.add_error("ends_at", "The hours must end after they begin.")
        return cleaned
