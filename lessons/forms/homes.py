"""A family's new home, or a second one."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator

from studio.forms import SensibleDateField
from studio.models import Family, Place, PlaceKind
from studio.position_forms import AsksAboutPosition, PositionField

# A move is told of within the year, or it is a slip of the finger.
MOST_DAYS_AWAY = 366


class HomeForm(AsksAboutPosition, forms.Form):
    """Where a home is, and what to call it in the day's list."""

    name = forms.CharField(
        label="What to call it",
        max_length=120,
        help_text="As it stands in your day: such as the family’s name and the street.",
    )
    address = forms.CharField(
        max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    position = PositionField(required=False)
    minutes_from_base = forms.IntegerField(
        label="Driving minutes from base, if you know better",
        required=False,
        min_value=0,
        validators=[MaxValueValidator(600)],
    )

    def __init__(self, *args: Any, family: Family, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.family = family
        self.add_question()
        self.order_fields(["from_date", "name", "address", "position", "is_position_meant"])

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        self.ask_about_position()
        return cleaned

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"].strip()
        homes = [self.family.home, *self.family.other_homes.all()]
        if name in {home.name for home in homes}:
            raise forms.ValidationError(
                "Another home of theirs is called so. Call this one something else, such as its "
                "street, so that you can tell them apart."
            )
        return name

    def place(self) -> Place:
        """Return the place, not saved yet; call it on a valid form."""
        latitude, longitude = self.cleaned_data["position"] or (None, None)
        return Place(
            kind=PlaceKind.HOME,
            name=self.cleaned_data["name"],
            address=self.cleaned_data["address"],
            latitude=latitude,
            longitude=longitude,
            minutes_from_base=self.cleaned_data["minutes_from_base"],
        )


class HouseMoveForm(HomeForm):
    """The new home, and from which day on."""

    from_date = SensibleDateField(label="They live there from")
    road_reason = forms.CharField(
        label="Go there all the same, because",
        max_length=200,
        required=False,
        help_text="The road is too long, or the place lies outside your radius: say why it works.",
    )
    seal = forms.CharField(required=False, max_length=32, widget=forms.HiddenInput)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_from_date(self) -> date:
        day: date = self.cleaned_data["from_date"]
        if abs((day - self.today).days) > MOST_DAYS_AWAY:
            away = timedelta(days=MOST_DAYS_AWAY)
            raise forms.ValidationError(
                f"Choose a day between {self.today - away:%-d %B %Y} and "
                f"{self.today + away:%-d %B %Y}."
            )
        return day
