"""When a student can come, what they ask of a timetable, and what the teacher's days must keep."""

from __future__ import annotations

from datetime import time
from typing import Any

from django import forms
from django.db.models import Q

from lessons.forms.fields import MinutesField, WallTimeField
from lessons.models import DayRule, StudentWindow, StudentWishes, TeachingLimits
from studio.forms import SensibleDateField
from studio.models import Place, PlaceKind, Student

EVERY_CHOICES = [
    (1, "every week"),
    (2, "every second week"),
    (3, "every third week"),
    (4, "every 4 weeks"),
]


class NamedPlaceField(forms.ModelChoiceField):
    """A place by its name."""

    def label_from_instance(self, obj: Any) -> str:
        return str(obj.name)


class WishesForm(forms.ModelForm):
    """What a student asks of a timetable."""

    minutes = MinutesField(label="Minutes of a lesson")
    every_weeks = forms.TypedChoiceField(label="How often", choices=EVERY_CHOICES, coerce=int)
    latest_end = WallTimeField(
        label="Over by", required=False, help_text="Empty: the hour of your limits for children."
    )
    place = NamedPlaceField(
        label="Where",
        queryset=Place.objects.none(),
        required=False,
        empty_label="At the family’s home",
    )

    class Meta:
        model = StudentWishes
        fields = [
            "minutes",
            "lessons_per_week",
            "least_days_between",
            "every_weeks",
            "latest_end",
            "place",
            "is_with_siblings",
        ]
        help_texts = {
            "least_days_between": "Counts for those who take several lessons a week.",
        }

    def __init__(self, *args: Any, student: Student, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        shared = Q(kind__in=[PlaceKind.ROOM, PlaceKind.SCHOOL, PlaceKind.ONLINE])
        homes = Q(families_besides=student.family_id)
        places = Place.objects.filter(shared | homes).distinct().order_by("kind", "name", "pk")
        self.fields["place"].queryset = places  # type: ignore[attr-defined]


class WindowForm(forms.ModelForm):
    """A stretch of a weekday in which a student can come."""

    begins_at = WallTimeField(label="From")
    ends_at = WallTimeField(label="Until", help_text="00:00 is midnight.")
    every_weeks = forms.TypedChoiceField(
        label="In which weeks", choices=EVERY_CHOICES, coerce=int, initial=1
    )
    anchor_date = SensibleDateField(
        label="A day in a week that suits",
        required=False,
        help_text="Only if it is not every week: the weeks are counted from that one.",
    )

    class Meta:
        model = StudentWindow
        fields = ["weekday", "begins_at", "ends_at", "every_weeks", "anchor_date", "is_preferred"]
        labels = {"is_preferred": "Liked best"}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        _later(self, cleaned, "begins_at", "ends_at", "It must end after it begins.")
        if cleaned.get("every_weeks", 1) > 1 and not cleaned.get("anchor_date"):
            if "anchor_date" not in self.errors:
                self.add_error("anchor_date", "Name a day in a week that suits.")
        elif cleaned.get("every_weeks") == 1:
            cleaned["anchor_date"] = None
        return cleaned


class LimitsForm(forms.ModelForm):
    """What the teacher asks of every day and week."""

    evening_begins_at = WallTimeField(label="An evening begins at")
    child_latest_end = WallTimeField(label="A child’s lesson is over by")

    class Meta:
        model = TeachingLimits
        fields = [
            "most_minutes_a_day",
            "evening_begins_at",
            "most_evenings_a_week",
            "buffer_minutes",
            "child_age",
            "child_latest_end",
            "is_room_needed_online",
        ]
        help_texts = {
            "buffer_minutes": "Added to every road when a time is looked for.",
            "is_room_needed_online": (
                "Ticked: the road to your desk and on counts between two visits. "
                "Not ticked: you teach online from wherever you are."
            ),
        }


class DayRuleForm(forms.ModelForm):
    """Where a weekday begins and ends, and its meal."""

    starts_from = NamedPlaceField(
        label="The day begins at",
        queryset=Place.objects.none(),
        required=False,
        empty_label="Your base",
    )
    ends_at_place = NamedPlaceField(
        label="The day ends at",
        queryset=Place.objects.none(),
        required=False,
        empty_label="Your base",
    )
    meal_from = WallTimeField(label="A meal between", required=False)
    meal_until = WallTimeField(label="and", required=False)

    class Meta:
        model = DayRule
        fields = ["starts_from", "ends_at_place", "meal_from", "meal_until", "meal_minutes"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        places = Place.objects.exclude(kind=PlaceKind.ONLINE).order_by("kind", "name", "pk")
        for name in ("starts_from", "ends_at_place"):
            self.fields[name].queryset = places  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        begins, ends = cleaned.get("meal_from"), cleaned.get("meal_until")
        if (begins is None) != (ends is None):
            name = "meal_until" if ends is None else "meal_from"
            if name not in self.errors:
                self.add_error(name, "Give both times of the meal, or neither.")
        elif begins is not None and ends is not None:
            between = (ends.hour - begins.hour) * 60 + ends.minute - begins.minute
            if between <= 0:
                self.add_error("meal_until", "It must end after it begins.")
            elif between < (cleaned.get("meal_minutes") or 0):
                self.add_error("meal_minutes", "The meal does not fit between the two times.")
        return cleaned


def _later(
    form: forms.ModelForm, cleaned: dict[str, Any], first: str, second: str, words: str
) -> None:
    """Refuse a second time that is not later; 00:00 is midnight."""
    begins, ends = cleaned.get(first), cleaned.get(second)
    if begins is not None and ends is not None and ends != time() and ends <= begins:
        form.add_error(second, words)
