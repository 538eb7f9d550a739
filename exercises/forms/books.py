"""What goes into a practice book."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from exercises.models import Exercise
from exercises.rhythm.errors import BadFigure
from exercises.rhythm.record import checked_title
from exercises.services.books import BookWish
from studio.models import Student


class BookForm(forms.Form):
    """Title, foreword and ways of writing; each exercise has a place in the order."""

    title = forms.CharField(label="Title", max_length=80)
    foreword = forms.CharField(
        label="A word to the reader",
        required=False,
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    student = forms.ModelChoiceField(
        label="For",
        required=False,
        queryset=Student.objects.none(),
        empty_label="nobody in particular",
    )
    sticking = forms.BooleanField(label="Sticking under every note", required=False)
    counting = forms.BooleanField(label="Counting under every note", required=False)
    left_handed_view = forms.BooleanField(label="Written for a left-handed kit", required=False)

    def __init__(self, *args: Any, exercises: Sequence[Exercise], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.exercises = list(exercises)
        students: Any = self.fields["student"]
        students.queryset = Student.objects.active().by_name()
        for number, exercise in enumerate(self.exercises, start=1):
            self.fields[f"place_{exercise.pk}"] = forms.IntegerField(
                label=f"Place of {exercise.title}",
                required=False,
                min_value=0,
                max_value=999,
                initial=number,
                error_messages={"invalid": "Write the place as a number; 0 leaves it out."},
            )

    @property
    def rows(self) -> list[tuple[Exercise, forms.BoundField]]:
        """Each exercise with its place field."""
        return [(exercise, self[f"place_{exercise.pk}"]) for exercise in self.exercises]

    def clean_title(self) -> str:
        """Refuse characters that no sheet can carry."""
        try:
            return checked_title(self.cleaned_data["title"])
        except BadFigure as bad:
            raise forms.ValidationError(str(bad)) from bad

    def wish(self, changes: Mapping[int, str]) -> BookWish:
        """Return what is asked for; call it on a valid form only. An empty place comes last."""
        data = self.cleaned_data
        places = {exercise: data.get(f"place_{exercise.pk}") for exercise in self.exercises}
        kept = [exercise for exercise in self.exercises if places[exercise] != 0]
        kept.sort(key=lambda exercise: places[exercise] or 1000)
        return BookWish(
            exercises=tuple(kept),
            title=data["title"],
            changes=changes,
            foreword=data["foreword"],
            student=data["student"],
            sticking=data["sticking"],
            counting=data["counting"],
            left_handed_view=data["left_handed_view"],
        )
