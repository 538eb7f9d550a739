"""What a student writes down."""

from __future__ import annotations

from django import forms

from exercises.forms.library import bpm_field
from exercises.models import Felt
from exercises.models.limits import LEAST_MINUTES, MOST_MINUTES
from studio.forms import SensibleDateField

_NO_SUCH_DAY = f"Minutes are {LEAST_MINUTES} to {MOST_MINUTES} a day. Check the number."


class PracticeLogForm(forms.Form):
    """Minutes, cleanest tempo and how it felt, for one day."""

    minutes = forms.IntegerField(
        label="Minutes",
        min_value=LEAST_MINUTES,
        max_value=MOST_MINUTES,
        error_messages={
            "min_value": _NO_SUCH_DAY,
            "max_value": _NO_SUCH_DAY,
            "invalid": "Write the minutes as a whole number, such as 10.",
            "required": "How many minutes did you play?",
        },
    )
    clean_bpm = bpm_field(
        "Cleanest tempo",
        required=False,
        help_text="The fastest tempo at which every stroke was right.",
    )
    felt = forms.ChoiceField(
        label="How did it feel?", required=False, choices=Felt.choices, widget=forms.RadioSelect
    )
    practised_date = SensibleDateField(label="Day")
    token = forms.UUIDField(
        widget=forms.HiddenInput,
        error_messages={"invalid": "Open the page again and send the form once more."},
    )
