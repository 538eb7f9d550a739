"""Terms, closures, hours, and the road: one row each."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, time
from itertools import pairwise
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from lessons.forms.fields import WallTimeField
from lessons.forms.kinds import SchoolField
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
from studio.models import Place, PlaceKind, School


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

    school = SchoolField(
        label="Which school",
        help_text="Only if one school is closed and you teach elsewhere. None: no lessons at all.",
    )

    class Meta:
        model = Closure
        fields = ["name", "first_date", "last_date", "school"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["school"].queryset = School.objects.order_by("name", "pk")  # type: ignore[attr-defined]

    def clean_last_date(self) -> date | None:
        last: date | None = self.cleaned_data["last_date"] or self.cleaned_data.get("first_date")
        return last


class HolidaysForm(forms.Form):
    """Public holidays of the studio's country, offered as closures."""

    days = forms.MultipleChoiceField(
        label="No lessons on", required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(
        self,
        *args: Any,
        offered: list[tuple[date, str]],
        of_region: Mapping[date, str] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.offered = {day.isoformat(): (day, name) for day, name in offered}
        only = of_region or {}
        self.fields["days"].choices = [  # type: ignore[attr-defined]
            (key, f"{day:%a %-d %B %Y}: {name}{f' (only in {only[day]})' if day in only else ''}")
            for key, (day, name) in self.offered.items()
        ]

    def chosen(self) -> list[tuple[date, str]]:
        """Return the ticked holidays; call it on a valid form."""
        return [self.offered[key] for key in self.cleaned_data["days"]]


class WorkingHoursForm(forms.ModelForm):
    """One window of a weekday."""

    begins_at = WallTimeField(label="From")
    ends_at = WallTimeField(label="Until", help_text="00:00 is midnight.")
    first_date = SensibleDateField(
        label="First day",
        required=False,
        help_text="For hours of a season, such as a summer timetable. Between its two days only "
        "hours with days count.",
    )
    last_date = SensibleDateField(label="Last day", required=False)

    class Meta:
        model = WorkingHours
        fields = ["weekday", "begins_at", "ends_at", "first_date", "last_date"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        first, last = cleaned.get("first_date"), cleaned.get("last_date")
        if (first is None) != (last is None) and not {"first_date", "last_date"} & set(self.errors):
            name = "last_date" if last is None else "first_date"
            self.add_error(name, "Give both days, or neither.")
        elif first and last and last < first:
            self.add_error("last_date", "The last day is before the first.")
        begins, ends = cleaned.get("begins_at"), cleaned.get("ends_at")
        if begins is not None and ends is not None and ends != time() and ends <= begins:
            self.add_error("ends_at", "The hours must end after they begin.")
        return cleaned


class MissedLessonRulesForm(forms.ModelForm):
    """How much notice is asked for, what is made up, and how long messages wait."""

    class Meta:
        model = MissedLessonRules
        fields = [
            "notice_hours",
            "is_family_owed_make_up",
            "is_teacher_owing_make_up",
            "make_up_weeks",
            "undo_minutes",
        ]
        help_texts = {
            "notice_hours": "By the wall clock; exactly on the limit is in time.",
            "make_up_weeks": "From the missed lesson’s day.",
            "undo_minutes": "When you are ill or cannot drive: 0 tells the families at once.",
        }


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
    from_time = WallTimeField(
        label="Only when you arrive from",
        required=False,
        help_text="Empty: at any time of day. A time with hours beats one without.",
    )
    until_time = WallTimeField(label="and before", required=False)

    class Meta:
        model = PlaceCorrection
        fields = [
            "from_place",
            "to_place",
            "minutes",
            "is_both_ways",
            "from_time",
            "until_time",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        places = Place.objects.exclude(kind=PlaceKind.ONLINE).order_by("name", "pk")
        for name in ("from_place", "to_place"):
            self.fields[name].queryset = places  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        begins, ends = cleaned.get("from_time"), cleaned.get("until_time")
        if self.errors or (begins is None and ends is None):
            return cleaned
        if begins is None or ends is None:
            missing = "from_time" if begins is None else "until_time"
            self.add_error(missing, "Give both hours, or neither.")
        elif ends <= begins:
            self.add_error("until_time", "The second hour is not after the first.")
        elif other := self._same_hours(begins, ends):
            self.add_error(
                "from_time",
                f"You have a time for this road from {other.from_time:%H:%M} to "
                f"{other.until_time:%H:%M} already, and these hours touch it.",
            )
        return cleaned

    def _same_hours(self, begins: time, ends: time) -> PlaceCorrection | None:
        return (
            PlaceCorrection.objects.filter(
                from_place=self.cleaned_data["from_place"],
                to_place=self.cleaned_data["to_place"],
                from_time__lt=ends,
                until_time__gt=begins,
            )
            .exclude(pk=self.instance.pk)
            .first()
        )

    def clean_to_place(self) -> Place:
        to_place: Place = self.cleaned_data["to_place"]
        if to_place == self.cleaned_data.get("from_place"):
            raise ValidationError("A road needs two different places.")
        return to_place
