"""How long before a lesson its family is reminded."""

from __future__ import annotations

from django import forms

from lessons.models import ReminderRules


class ReminderRulesForm(forms.ModelForm):
    """The lead of reminders."""

    class Meta:
        model = ReminderRules
        fields = ["hours_before"]
        labels = {"hours_before": "Families are reminded by e-mail"}
        help_texts = {
            "hours_before": "By the wall clock, never between 21:00 and 8:00: then the evening "
            "before."
        }
