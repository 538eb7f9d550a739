"""Terms, closures, hours, and the road: one row each."""

from __future__ import annotations

from datetime import date, time
from itertools import pairwise
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from lessons.forms.fields import WallTimeField
from lessons.models import (
    Closure,
    MissedLessonRules,
    PlaceCorrection,
    RoadSettings,
    Term,
    TravelBand,
    WorkingHours,
)
from studio.forms import SensibleDateField
from studio.models import Place, PlaceKind


class _FromToForm(forms.ModelForm):
    """A name, a first and a last day."""

    first_date = SensibleDateField(label="First day")
    last_date = SensibleDateField(label="Last day")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        first, last = cleaned.get("first_date"), cleaned.get("last_date")
        if first and last and last < first:
            self.add_error("last_date", "The last day is before the first.")
        return cleaned


class TermForm(_FromToForm):
    """A term."""

    class Meta:
        model = Term
        fields = ["name", "first_date", "last_date"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        first, last = cleaned.get("first_date"), cleaned.get("last_date")
        if first and last and (last - first).days > 366:
            self.add_error("last_date", "A term is at most a year long.")
        return cleaned


class ClosureForm(_FromToForm):
    """Days without lessons."""

    last_date = SensibleDateField(
        label="Last day", required=False, help_text="Empty: one day only."
    )

    class Meta:
        model = Closure
        fields = ["name", "first_date", "last_date"]

    def clean_last_date(self) -> date | None:
        last: date | None = self.cleaned_data["last_date"] or self.cleaned_data.get("first_date")
        return last


class HolidaysForm(forms.Form):
    """Public holidays of the studio's country, offered as closures."""

    days = forms.MultipleChoiceField(
        label="No lessons on", required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, offered: list[tuple[date, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = {day.isoformat(): (day, name) for day, name in offered}
        self.fields["days"].choices = [  # type: ignore[attr-defined]
            (key, f"{day:%a %-d %B %Y}: {name}") for key, (day, name) in self.offered.items()
        ]

    def chosen(self) -> list[tuple[date, str]]:
        """Return the ticked holidays; call it on a valid form."""
        return [self.offered[key] for key in self.cleaned_data["days"]]


class WorkingHoursForm(forms.ModelForm):
    """One window of a weekday."""

    begins_at = WallTimeField(label="From")
    ends_at = WallTimeField(label="Until", help_text="00:00 is midnight.")

    class Meta:
        model = WorkingHours
        fields = ["weekday", "begins_at", "ends_at"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        begins, ends = cleaned.get("begins_at"), cleaned.get("ends_at")
        if begins is not None and ends is not None and ends != time() and ends <= begins:
            self.add_error("ends_at", "The hours must end after they begin.")
        return cleaned


class MissedLessonRulesForm(forms.ModelForm):
    """How much notice is asked for."""

    class Meta:
        model = MissedLessonRules
        fields = ["notice_hours"]
        help_texts = {"notice_hours": "By the wall clock; exactly on the limit is in time."}


class RoadSettingsForm(forms.ModelForm):
    """The numbers behind the estimate."""

    class Meta:
        model = RoadSettings
        fields = ["circuity", "first_kmh", "middle_kmh", "far_kmh", "parking_minutes"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        order = ["first_kmh", "middle_kmh", "far_kmh"]
        for slower, faster in pairwise(order):
            low, high = cleaned.get(slower), cleaned.get(faster)
            if low is not None and high is not None and high < low:
                self.add_error(
                    faster,
                    "Not below the speed before it: a longer way would come out quicker.",
                )
        return cleaned


class BandForm(forms.ModelForm):
    """One ring round the base."""

    class Meta:
        model = TravelBand
        fields = ["up_to_km", "surcharge"]


class _PlaceField(forms.ModelChoiceField):
    def label_from_instance(self, obj: Any) -> str:
        return str(obj.name)


class CorrectionForm(forms.ModelForm):
    """The teacher's own time for one road."""

    from_place = _PlaceField(label="From", queryset=Place.objects.none(), empty_label="Choose …")
    to_place = _PlaceField(label="To", queryset=Place.objects.none(), empty_label="Choose …")

    class Meta:
        model = PlaceCorrection
        fields = ["from_place", "to_place", "minutes", "is_both_ways"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        places = Place.objects.exclude(kind=PlaceKind.ONLINE).order_by("name", "pk")
        for name in ("from_place", "to_place"):
            self.fields[name].queryset = places  # type: ignore[attr-defined]

    def clean_to_place(self) -> Place:
        to_place: Place = self.cleaned_data["to_place"]
        if to_place == self.cleaned_data.get("from_place"):
            raise ValidationError("A road needs two different places.")
        return to_place
