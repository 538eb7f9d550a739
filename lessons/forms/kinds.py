"""Who takes part: one student, a group, or a school's block."""

from __future__ import annotations

from contextlib import suppress
from datetime import date, time
from typing import Any

from django import forms
from django.http import QueryDict

from lessons.forms.fields import (
    AT_HOME,
    ONLINE,
    MinutesField,
    StudentField,
    WallTimeField,
    place_choices,
)
from lessons.models import LessonKind
from lessons.planning.recurrence import WeeklyRule
from lessons.selectors.homes import home_on
from lessons.selectors.series_wish import OwnTime
from lessons.services.booking import online_place
from studio.models import Place, School, Student, Studio

MOST_IN_A_GROUP = 30
WEEKLY_KINDS = [
    (LessonKind.LESSON, "A lesson for one student"),
    (LessonKind.GROUP, "A group of students"),
    (LessonKind.SCHOOL, "A block for a school"),
]
SINGLE_KINDS = [WEEKLY_KINDS[0], (LessonKind.TRIAL, "A trial lesson"), *WEEKLY_KINDS[1:]]


class OthersField(forms.ModelMultipleChoiceField):
    """The other students of a group."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        super().__init__(queryset=Student.objects.none(), **kwargs)

    def clean(self, value: Any) -> Any:
        """Refuse keys that no row can have before the database is asked for them."""
        for key in value or ():
            if not (str(key).isascii() and str(key).isdecimal() and len(str(key)) < 19):
                raise forms.ValidationError("That is none of the students. Choose from the list.")
        return super().clean(value)

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.name} ({obj.family.name})"


class SchoolField(forms.ModelChoiceField):
    """A school that pays for a block."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            queryset=School.objects.none(), required=False, empty_label="No school", **kwargs
        )

    def label_from_instance(self, obj: Any) -> str:
        return str(obj.name)


class WhoAndWhereForm(forms.Form):
    """A student and the place where the lesson is."""

    student = StudentField()
    where = forms.ChoiceField(choices=[])
    at = WallTimeField(label="Begins at")
    minutes = MinutesField(initial=30)

    def __init__(self, *args: Any, studio: Studio, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.studio, self.today = studio, today
        self.active = Student.objects.active().select_related("family__home").by_name()
        self.fields["student"].queryset = self.active  # type: ignore[attr-defined]
        self.fields["where"].choices = place_choices(studio)  # type: ignore[attr-defined]

    def place(self) -> Place:
        """Return the chosen place; call it on a valid form."""
        where = self.cleaned_data["where"]
        if where == AT_HOME:
            rule: WeeklyRule | None = self.cleaned_data.get("rule")
            day = self.cleaned_data.get("day") or (rule.first_date if rule else self.today)
            return home_on(self.cleaned_data["student"].family, day)
        if where == ONLINE:
            return online_place()
        return Place.objects.get(pk=int(where))


class KindForm(WhoAndWhereForm):
    """The same, for lessons of any kind; a kind that is not given is a lesson for one."""

    kind = forms.ChoiceField(label="What it is", choices=WEEKLY_KINDS, initial=LessonKind.LESSON)
    others = OthersField(label="The others of the group")
    school = SchoolField(label="School")
    label = forms.CharField(
        label="What it is called",
        required=False,
        max_length=80,
        help_text="Such as: Saturday group, or: third class, spring. It stands in your calendar.",
    )

    def __init__(self, data: Any = None, *args: Any, **kwargs: Any) -> None:
        if data is not None and not data.get("kind"):
            data = data.copy()
            data["kind"] = LessonKind.LESSON
        super().__init__(data, *args, **kwargs)
        self.fields["student"].required = False
        self.fields["student"].help_text = "A school’s block needs none."
        self.fields["others"].queryset = self.active  # type: ignore[attr-defined]
        schools = School.objects.select_related("place").order_by("name", "pk")
        self.fields["school"].queryset = schools  # type: ignore[attr-defined]

    @property
    def is_for_many(self) -> bool:
        """True when the fields of a group or a school are in use."""
        return any(self[name].errors or self[name].value() for name in ("others", "school")) or (
            str(self["kind"].value() or "") in (LessonKind.GROUP, LessonKind.SCHOOL)
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        kind = cleaned["kind"] = cleaned.get("kind") or LessonKind.LESSON
        student, others = cleaned.get("student"), list(cleaned.get("others") or ())
        if kind == LessonKind.GROUP and student is None and others and "student" not in self.errors:
            # All of a group may be ticked below: then the first of them stands for it.
            student = cleaned["student"] = others[0]
        people = [student] if student else []
        people += [other for other in others if other != student]
        if kind == LessonKind.SCHOOL:
            self._check_school(cleaned)
        else:
            self._check_people(kind, student, len(people))
        if len(people) > MOST_IN_A_GROUP:
            self.add_error("others", f"At most {MOST_IN_A_GROUP} students take part.")
        cleaned["people"] = tuple(people)
        return cleaned

    def place(self) -> Place:
        data = self.cleaned_data
        if data["kind"] == LessonKind.SCHOOL and data["where"] == AT_HOME:
            place: Place = data["school"].place
            return place
        return super().place()

    def people_and_kind(self) -> dict[str, Any]:
        """Return who takes part and as what, for a wish or a booking; for a valid form."""
        data = self.cleaned_data
        is_school = data["kind"] == LessonKind.SCHOOL
        return {
            "students": data["people"],
            "kind": data["kind"],
            "school": data["school"] if is_school else None,
            "label": data["label"] if data["kind"] in (LessonKind.SCHOOL, LessonKind.GROUP) else "",
        }

    def _check_people(self, kind: str, student: Student | None, count: int) -> None:
        if "student" in self.errors or "others" in self.errors:
            return
        if student is None:
            self.add_error("student", "Choose the student.")
        elif kind == LessonKind.GROUP and count < 2:
            self.add_error("others", "A group has at least two students: tick the others.")
        elif kind != LessonKind.GROUP and count > 1:
            self.add_error("kind", "For several students choose “A group of students”.")

    def _check_school(self, cleaned: dict[str, Any]) -> None:
        if cleaned.get("school") is None:
            self.add_error("school", "Choose the school that the block is for.")
        elif not cleaned.get("label"):
            cleaned["label"] = cleaned["school"].name[:80]


def own_times(data: Any) -> tuple[OwnTime, ...]:
    """Return the dates that were given a time of their own; nonsense is none.

    One pair of boxes per date, drawn from the plan: no fields of the form itself.
    """
    if not isinstance(data, QueryDict):
        return ()
    found = []
    names = [name for name in data if name.startswith("own_at_")][:400]
    for name in names:
        with suppress(ValueError):
            day = date.fromisoformat(name.removeprefix("own_at_"))
            at = time.fromisoformat(data.get(name, "")).replace(second=0, microsecond=0)
            to_day = date.fromisoformat(data.get(f"own_day_{day}") or str(day))
            if at.tzinfo is None and abs((to_day - day).days) <= 28:
                found.append(OwnTime(day, to_day, at))
    return tuple(sorted(found, key=lambda each: each.day))


def left_out(data: Any) -> frozenset[date]:
    """Return the dates whose boxes were ticked; nonsense is none."""
    given = data.getlist("left_out") if isinstance(data, QueryDict) else []
    days = set()
    for text in given[:400]:
        with suppress(ValueError):
            days.add(date.fromisoformat(text))
    return frozenset(days)
