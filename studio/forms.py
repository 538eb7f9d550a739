"""The studio's forms, and the fields that other apps' forms share."""

from __future__ import annotations

import zoneinfo
from datetime import date
from typing import Any

from babel import Locale, UnknownLocaleError
from babel.numbers import list_currencies
from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator

from studio.models import Adult, Family, Paper, Place, PlaceKind, Student, Studio, User
from studio.position_forms import AsksAboutPosition, PositionField, position_text

EARLIEST = date(1990, 1, 1)
LATEST = date(2100, 12, 31)


class SensibleDateField(forms.DateField):
    """A date between 1990 and 2100: anything else is a slip of the finger."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault(
            "error_messages", {"invalid": "Write the date like 2026-09-07 (year, month, day)."}
        )
        super().__init__(
            validators=[
                MinValueValidator(EARLIEST, "Choose a date from 1990 on."),
                MaxValueValidator(LATEST, "Choose a date before 2101."),
            ],
            **kwargs,
        )


class PlaceForm(AsksAboutPosition, forms.ModelForm):
    """A place's name, address and position, and what is asked for going there."""

    position = PositionField(required=False)

    class Meta:
        model = Place
        fields = [
            "name",
            "address",
            "minutes_from_base",
            "road_overruled_reason",
            "surcharge_by_hand",
        ]
        widgets = {"address": forms.Textarea(attrs={"rows": 3})}

    field_order = [
        "name",
        "address",
        "position",
        "is_position_meant",
        "minutes_from_base",
        "road_overruled_reason",
        "surcharge_by_hand",
    ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.add_question()
        self.order_fields(self.field_order)
        self.initial.setdefault("position", position_text(self.instance))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        self.ask_about_position(besides=self.instance)
        if cleaned.get("surcharge_by_hand") is not None and not cleaned.get(
            "road_overruled_reason"
        ):
            self.add_error(
                "road_overruled_reason",
                "A surcharge of its own is for a place outside the radius: say why you go there.",
            )
        return cleaned

    def save(self, commit: bool = True) -> Place:  # noqa: FBT001, FBT002 - Django's own signature
        position = self.cleaned_data["position"]
        self.instance.latitude, self.instance.longitude = position or (None, None)
        return super().save(commit)


class FamilyForm(AsksAboutPosition, forms.Form):
    """A family, as it comes in with one telephone call."""

    name = forms.CharField(label="Family’s name", max_length=120)
    adult_name = forms.CharField(label="Adult’s name", max_length=120)
    adult_email = forms.EmailField(
        label="Adult’s e-mail", required=False, help_text="For notes and invoices."
    )
    adult_phone = forms.CharField(label="Adult’s telephone", max_length=40, required=False)
    address = forms.CharField(
        max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    position = PositionField(label="Position of their home", required=False)
    first_student = forms.CharField(label="First student’s name", max_length=120)
    first_birth_year = forms.IntegerField(
        label="First student’s year of birth", required=False, min_value=1900, max_value=2100
    )
    second_student = forms.CharField(label="Second student’s name", max_length=120, required=False)
    second_birth_year = forms.IntegerField(
        label="Second student’s year of birth", required=False, min_value=1900, max_value=2100
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.add_question()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        self.ask_about_position()
        return cleaned


class FamilyEditForm(forms.ModelForm):
    """A family's name and the teacher's own note."""

    class Meta:
        model = Family
        fields = ["name", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}


class AdultForm(forms.ModelForm):
    """One adult of a family."""

    class Meta:
        model = Adult
        fields = [
            "name",
            "email",
            "phone",
            "receives_notes",
            "receives_invoices",
            "receives_reminders",
        ]


class StudentForm(forms.ModelForm):
    """A student."""

    started_date = SensibleDateField(label="First lesson on", required=False)
    left_date = SensibleDateField(label="Left on", required=False)

    class Meta:
        model = Student
        fields = [
            "name",
            "birth_year",
            "is_left_handed",
            "kit",
            "started_date",
            "left_date",
            "note",
        ]
        widgets = {
            "note": forms.Textarea(attrs={"rows": 3}),
            "kit": forms.Select(
                choices=[
                    ("four_piece", "Four-piece kit"),
                    ("five_piece", "Five-piece kit"),
                    ("five_piece_two_pedals", "Five-piece kit, two bass pedals"),
                    ("pad", "Practice pad"),
                ]
            ),
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        started, left = cleaned.get("started_date"), cleaned.get("left_date")
        if started and left and left < started:
            self.add_error("left_date", "They cannot have left before their first lesson.")
        return cleaned


class StudioForm(AsksAboutPosition, forms.ModelForm):
    """What the studio is called and how it writes money, times and paper."""

    base_address = forms.CharField(
        label="Address of your teaching room",
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    base_position = PositionField(label="Position of your home base", required=False)
    position_of = "base_position"

    class Meta:
        model = Studio
        fields = [
            "name",
            "teacher_name",
            "phone",
            "email",
            "currency",
            "time_zone",
            "country",
            "locale",
            "paper",
        ]
        widgets = {"paper": forms.Select(choices=Paper.choices)}
        help_texts = {
            "currency": "Three letters, such as EUR.",
            "time_zone": "Such as Europe/Dublin. Lessons keep their wall-clock time.",
            "country": "Two letters, such as IE: for public holidays.",
            "locale": "How money and dates are written, such as en_IE.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        base = self.instance.base
        self.fields["base_address"].initial = base.address if base else ""
        self.fields["base_position"].initial = position_text(base)
        self.add_question()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        zone = cleaned.get("time_zone")
        self.ask_about_position(
            besides=self.instance.base, zone=zoneinfo.ZoneInfo(zone) if zone else None
        )
        return cleaned

    def clean_currency(self) -> str:
        code = self.cleaned_data["currency"].strip().upper()
        if code not in list_currencies():
            raise ValidationError(f"“{code}” is not an ISO 4217 currency. Write EUR, GBP, PLN …")
        return code

    def clean_country(self) -> str:
        code = self.cleaned_data["country"].strip().upper()
        if code not in Locale("en").territories or len(code) != 2:
            raise ValidationError(f"“{code}” is not an ISO 3166 country. Write IE, GB, PL …")
        return code

    def clean_locale(self) -> str:
        text = self.cleaned_data["locale"].strip().replace("-", "_")
        try:
            Locale.parse(text)
        except (UnknownLocaleError, ValueError):
            raise ValidationError(f"“{text}” is not a known locale. Write en_IE, pl_PL …") from None
        return text

    def clean_time_zone(self) -> str:
        name = self.cleaned_data["time_zone"].strip()
        if name not in zoneinfo.available_timezones():
            raise ValidationError(f"“{name[:40]}” is not a time zone. Write Europe/Dublin …")
        return name

    def save(self, commit: bool = True) -> Studio:  # noqa: FBT001, FBT002 - Django's own signature
        base = self.instance.base or Place(kind=PlaceKind.ROOM)
        base.name = self.cleaned_data["name"]
        base.address = self.cleaned_data["base_address"]
        base.latitude, base.longitude = self.cleaned_data["base_position"] or (None, None)
        base.save()
        self.instance.base = base
        self.instance.pk = 1
        return super().save(commit)


class FirstTeacherForm(forms.Form):
    """The very first page of an empty studio: who are you?"""

    username = forms.CharField(max_length=60, min_length=2)
    email = forms.EmailField(label="E-mail", required=False)


class AccountNameForm(forms.ModelForm):
    """The name that somebody signs in with."""

    class Meta:
        model = User
        fields = ["username"]
