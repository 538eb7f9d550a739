"""The waiting list: who looks for a time, and to whom a free one is offered."""

from __future__ import annotations

from datetime import date, time, timedelta
from typing import Any

from django import forms

from lessons.forms.fields import (
    AT_HOME,
    ONLINE,
    MinutesField,
    StudentField,
    WallTimeField,
    place_choices,
)
from lessons.models import Series, Waiting
from lessons.models.calendar import WEEKDAYS
from lessons.selectors.booked import minute_of
from lessons.selectors.free_slots import FreeSlot
from lessons.services.booking import online_place
from lessons.services.waiting import WaitingWish, WindowWish
from studio.forms import SensibleDateField
from studio.models import Place, PlaceKind, Student, Studio
from studio.position_forms import AsksAboutPosition, PositionField, position_text

ROWS = 4
FIRST_ANSWER_DAYS = 3


class SeriesField(forms.ModelChoiceField):
    """A weekly lesson that is running."""

    def label_from_instance(self, obj: Any) -> str:
        names = " and ".join(student.name for student in obj.students.all())
        return f"{names}: {obj}"


class WaitingForm(AsksAboutPosition, forms.Form):
    """Somebody who looks for a weekly time: a student, or an enquiry."""

    student = StudentField(required=False, help_text="Leave empty for an enquiry.")
    replaces = SeriesField(
        label="Gives up",
        queryset=Series.objects.none(),
        required=False,
        empty_label="nothing: it is a lesson more",
        help_text="The weekly lesson that ends when another time is found.",
    )
    name = forms.CharField(label="Enquiry: who would learn", max_length=120, required=False)
    birth_year = forms.IntegerField(
        label="Year of birth", required=False, min_value=1900, max_value=2100
    )
    contact_name = forms.CharField(label="Who to ask for", max_length=120, required=False)
    email = forms.EmailField(label="E-mail", required=False)
    phone = forms.CharField(label="Telephone", max_length=40, required=False)
    where = forms.ChoiceField(choices=[])
    address = forms.CharField(
        label="Address of an enquiry", max_length=500, required=False, widget=forms.Textarea
    )
    position = PositionField(label="Position of an enquiry", required=False)
    minutes = MinutesField(initial=30)
    since_date = SensibleDateField(
        label="Waiting since", help_text="It decides the order: whoever waits longest is first."
    )
    note = forms.CharField(label="Note for yourself", max_length=500, required=False)

    def __init__(
        self, *args: Any, studio: Studio, today: date, waiting: Waiting | None = None, **kwargs: Any
    ) -> None:
        initial = {"since_date": today, "where": AT_HOME, "minutes": 30}
        initial |= _told(waiting) if waiting else {}
        kwargs["initial"] = initial | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)
        self.add_question()
        self.home = waiting.place if waiting and waiting.is_enquiry else None
        running = Series.objects.filter(last_date__gte=today, stopped_from_date=None)
        self.fields["student"].queryset = (  # type: ignore[attr-defined]
            Student.objects.active().select_related("family__home").by_name()
        )
        self.fields["replaces"].queryset = running.prefetch_related("students").order_by(  # type: ignore[attr-defined]
            "first_date", "at", "pk"
        )
        self.fields["where"].choices = place_choices(studio)  # type: ignore[attr-defined]
        self.fields["address"].widget.attrs["rows"] = 2
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
            self.fields[f"best_{row}"] = forms.BooleanField(label="liked best", required=False)

    @property
    def rows(self) -> list[list[forms.BoundField]]:
        """The fields of each window."""
        names = ("day", "from", "until", "best")
        return [[self[f"{name}_{row}"] for name in names] for row in range(ROWS)]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        student, replaces = cleaned.get("student"), cleaned.get("replaces")
        if student is None:
            if not cleaned.get("name") and "name" not in self.errors:
                self.add_error("name", "Choose a student, or write who would learn.")
            if replaces is not None:
                self.add_error("replaces", "An enquiry has no lesson to give up.")
        elif replaces is not None and student not in replaces.students.all():
            self.add_error("replaces", f"This is not a lesson of {student.name}.")
        if student is None and "position" in cleaned:
            self.ask_about_position(besides=self.home)
        cleaned["windows"] = self._windows(cleaned)
        return cleaned

    def wish(self) -> WaitingWish:
        """Return everything that is written; call it on a valid form."""
        data = self.cleaned_data
        return WaitingWish(
            student=data["student"],
            name=data["name"],
            contact_name=data["contact_name"],
            email=data["email"],
            phone=data["phone"],
            birth_year=data["birth_year"],
            place=self._place(),
            address=data["address"],
            position=data["position"],
            minutes=data["minutes"],
            replaces=data["replaces"],
            note=data["note"],
            since_date=data["since_date"],
            windows=data["windows"],
        )

    def _windows(self, cleaned: dict[str, Any]) -> list[WindowWish]:
        windows = []
        for row in range(ROWS):
            weekday = cleaned.get(f"day_{row}")
            if weekday is None:
                continue
            begins = cleaned.get(f"from_{row}") or time()
            ends = cleaned.get(f"until_{row}") or time()
            if ends != time() and ends <= begins:
                self.add_error(f"until_{row}", "The hours must end after they begin.")
            best = cleaned.get(f"best_{row}", False)
            windows.append(WindowWish(weekday, begins, ends, best))
        return windows

    def _place(self) -> Place | None:
        where, student = self.cleaned_data["where"], self.cleaned_data["student"]
        if where == AT_HOME:
            home: Place | None = student.family.home if student else None
            return home
        return online_place() if where == ONLINE else Place.objects.get(pk=int(where))


class FreeTimeForm(forms.Form):
    """A weekly stretch, as an address or a press names it."""

    weekday = forms.TypedChoiceField(label="On", choices=WEEKDAYS, coerce=int)
    begins_at = WallTimeField(label="from")
    ends_at = WallTimeField(label="until")
    first_date = SensibleDateField(label="First day")
    last_date = SensibleDateField(label="Last day")
    series = forms.ModelChoiceField(
        queryset=Series.objects.all(), required=False, widget=forms.HiddenInput
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        ends = minute_of(cleaned["ends_at"]) or 24 * 60
        if ends <= minute_of(cleaned["begins_at"]):
            self.add_error("ends_at", "The time must end after it begins.")
        first, last = cleaned["first_date"], cleaned["last_date"]
        if not first <= last <= first + timedelta(days=366):
            self.add_error("last_date", "Choose a last day within a year of the first.")
        return cleaned

    def slot(self) -> FreeSlot:
        """Return the stretch; call it on a valid form."""
        data = self.cleaned_data
        series: Series | None = data["series"]
        return FreeSlot(
            data["weekday"],
            minute_of(data["begins_at"]),
            minute_of(data["ends_at"]) or 24 * 60,
            data["first_date"],
            data["last_date"],
            series.pk if series else None,
        )


class OfferForm(forms.Form):
    """To whom a time is offered, and until when."""

    waiting = forms.CharField(max_length=40)
    until = SensibleDateField(label="They answer by the end of")

    def numbers(self) -> list[int]:
        """Return the numbers of those it is offered to; nonsense is nobody."""
        parts = self.cleaned_data["waiting"].split(",")[:4]
        return [int(text) for text in parts if _is_key(text)]


def _is_key(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) < 19


def _told(waiting: Waiting) -> dict[str, Any]:
    """Return what is written down, as the form asks for it."""
    place, student = waiting.place, waiting.student
    is_home = place.kind == PlaceKind.HOME
    told: dict[str, Any] = {
        "student": waiting.student_id,
        "replaces": waiting.replaces_id,
        "name": "" if student else waiting.name,
        "birth_year": waiting.birth_year,
        "contact_name": waiting.contact_name,
        "email": waiting.email,
        "phone": waiting.phone,
        "where": AT_HOME if is_home else ONLINE if place.is_online else str(place.pk),
        "address": place.address if is_home and not student else "",
        "position": position_text(place) if is_home and not student else "",
        "minutes": waiting.minutes,
        "since_date": waiting.since_date,
        "note": waiting.note,
    }
    for number, window in enumerate(list(waiting.windows.all())[:ROWS]):
        told[f"day_{number}"] = window.weekday
        told[f"from_{number}"] = window.begins_at
        told[f"until_{number}"] = window.ends_at
        told[f"best_{number}"] = window.is_preferred
    return told
