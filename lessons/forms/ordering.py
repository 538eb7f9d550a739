"""Which lessons of a day stay, and which families agreed to the new order."""

from __future__ import annotations

from django import forms
from django.http import QueryDict

# A day has far fewer lessons and families than this; what is beyond it is nonsense.
MOST_TICKS = 60
_LONGEST_NUMBER = 12


def numbers_in(data: QueryDict, name: str) -> frozenset[int]:
    """Return the whole numbers given under a name; what is none is left out."""
    texts = data.getlist(name)[:MOST_TICKS]
    return frozenset(
        int(text)
        for text in texts
        if len(text) <= _LONGEST_NUMBER and text.isascii() and text.isdigit()
    )


class AcceptOrderForm(forms.Form):
    """What the page showed, and whether the families are told."""

    seal = forms.CharField(max_length=32, widget=forms.HiddenInput)
    is_family_told = forms.BooleanField(
        label="Tell these families their new times by e-mail", required=False
    )
