"""At the lesson: attendance and the note."""

from __future__ import annotations

from django import forms

from lessons.models import Attendance
from lessons.models.notes import LONGEST_NOTE


class DeskForm(forms.Form):
    """What every press at the desk carries: a key of its own, so that it is done once."""

    press_key = forms.CharField(required=False, max_length=64)


class AttendanceForm(DeskForm):
    """Whether one student was there."""

    student = forms.IntegerField(min_value=1)
    attendance = forms.ChoiceField(choices=Attendance.choices)


class NoteForm(DeskForm):
    """The text of a progress note."""

    body = forms.CharField(
        label="Progress note",
        required=False,
        max_length=LONGEST_NOTE,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
