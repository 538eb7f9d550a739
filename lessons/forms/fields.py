"""Fields that several forms about lessons share."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Q

from lessons.planning.recurrence import LONGEST_LESSON_MINUTES, SHORTEST_LESSON_MINUTES
from studio.models import Family, Place, PlaceKind, Student, Studio

AT_HOME = "home"
ONLINE = "online"


class WallTimeField(forms.TimeField):
    """A time of the wall clock, to the minute."""

    widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("input_formats", ["%H:%M", "%H:%M:%S"])
        kwargs.setdefault(
            "error_messages", {"invalid": "Write the time like 16:30 (hours and minutes)."}
        )
        super().__init__(**kwargs)


class MinutesField(forms.IntegerField):
    """How long a lesson lasts."""

    def __init__(self, **kwargs: Any) -> None:
        limits = f"A lesson lasts {SHORTEST_LESSON_MINUTES} to {LONGEST_LESSON_MINUTES} minutes."
        super().__init__(
            min_value=SHORTEST_LESSON_MINUTES,
            max_value=LONGEST_LESSON_MINUTES,
            error_messages={
                "min_value": limits,
                "max_value": limits,
                "invalid": "Write the minutes as a whole number, such as 30.",
            },
            **kwargs,
        )


class StudentField(forms.ModelChoiceField):
    """Somebody who takes lessons now."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=Student.objects.none(), empty_label="Choose …", **kwargs)

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.name} ({obj.family.name})"


def place_choices(studio: Studio) -> list[tuple[str, str]]:
    """Return where a lesson can be: the family's home, the studio's rooms, schools, online."""
    shared = Place.objects.filter(
        Q(kind__in=[PlaceKind.ROOM, PlaceKind.SCHOOL]) | Q(pk=studio.base_id)
    )
    rooms = [(str(place.pk), place.name) for place in shared.order_by("kind", "name", "pk")]
    return [(AT_HOME, "At the family’s home"), *rooms, *_other_homes(), (ONLINE, "Online")]


def _other_homes() -> list[tuple[str, str]]:
    """The second homes of children who have two, each by its family's name."""
    rows = Family.other_homes.through.objects.order_by("family__name", "place__name", "pk")
    return [
        (str(place), f"Other home of {family}: {name}")
        for place, family, name in rows.values_list("place", "family__name", "place__name")
    ]
