"""Core figures from numbers."""

from __future__ import annotations

from typing import Any

from django import forms

from exercises.forms.library import bpm_field
from exercises.models import KitChoice
from exercises.rhythm.euclid import MOST_STEPS
from exercises.rhythm.generating import Stream
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed_words import USUAL_SURFACE

METERS = ("4/4", "3/4", "2/4", "5/4", "7/4", "6/8", "7/8", "9/8", "12/8")


class GenerateForm(forms.Form):
    """A meter, and for each limb how many strokes in how many steps, on which surface."""

    meter = forms.ChoiceField(label="Meter", choices=[(meter, meter) for meter in METERS])
    bars = forms.TypedChoiceField(
        label="Spread over", coerce=int, choices=[(1, "one bar"), (2, "two bars")]
    )
    bpm = bpm_field("Tempo")
    kit = forms.ChoiceField(label="Played on", choices=KitChoice.choices)
    accents = forms.BooleanField(label="Accent each limb’s first stroke", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for limb in LIMBS:
            usual = USUAL_SURFACE[limb]
            others = (s for s in Surface if s.by_foot == limb.is_foot and s is not usual)
            surfaces = [(s.value, s.spoken) for s in (usual, *others)]
            name = limb.value
            self.fields[f"{name}_strokes"] = _number("Strokes", 0, MOST_STEPS)
            self.fields[f"{name}_steps"] = _number("in steps", 1, MOST_STEPS)
            self.fields[f"{name}_turn"] = _number("begun later by", 0, MOST_STEPS)
            self.fields[f"{name}_surface"] = forms.ChoiceField(
                label="on", required=False, choices=surfaces
            )

    @property
    def rows(self) -> list[tuple[Limb, list[forms.BoundField]]]:
        """Each limb with its fields."""
        names = ("strokes", "steps", "turn", "surface")
        return [(limb, [self[f"{limb.value}_{name}"] for name in names]) for limb in LIMBS]

    def streams(self) -> list[Stream]:
        """Return each busy limb's stream; steps left empty are as many as strokes (a pulse)."""
        data = self.cleaned_data
        found = []
        for limb in LIMBS:
            strokes = data.get(f"{limb.value}_strokes") or 0
            if strokes:
                surface = data.get(f"{limb.value}_surface") or USUAL_SURFACE[limb]
                found.append(
                    Stream(
                        limb,
                        Surface(surface),
                        strokes,
                        data.get(f"{limb.value}_steps") or strokes,
                        data.get(f"{limb.value}_turn") or 0,
                        is_first_accented=data["accents"],
                    )
                )
        return found

    def chosen_meter(self) -> Meter:
        """Return the meter; call it on a valid form only."""
        return Meter.parse(self.cleaned_data["meter"])


def _number(label: str, least: int, most: int) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=least,
        max_value=most,
        error_messages={
            "invalid": f"Write a whole number from {least} to {most}.",
            "min_value": f"Write a whole number from {least} to {most}.",
            "max_value": f"Write a whole number from {least} to {most}.",
        },
    )
