"""A figure as the teacher writes it, and the filters of the library."""

from __future__ import annotations

from typing import Any

from django import forms

from exercises.models import Exercise, KitChoice
from exercises.models.library import Kind
from exercises.models.limits import LEAST_BPM, MOST_BPM
from exercises.rhythm.errors import BadFigure, RhythmError
from exercises.rhythm.figure import Figure
from exercises.rhythm.limbs import LIMBS
from exercises.rhythm.record import checked_title
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed import LONGEST_TEXT, read_typed, write_typed
from exercises.selectors.library import BANDS, meters_in_use, tags_in_use
from exercises.services.library import MOST_TAGS, ExerciseDraft

# What the beats of a library are mostly cut into; in a compound meter three parts are eighths.
PARTS = {
    1: "one: on the beat",
    2: "two: eighths",
    3: "three: triplets, or eighths in 6/8",
    4: "four: sixteenths",
    6: "six: sextuplets, or sixteenths in 6/8",
    8: "eight: thirty-seconds",
}
EMPTY_BAR = """4/4

RH hi-hat:    .... .... .... ....
LH snare:     .... .... .... ....
RF bass-drum: .... .... .... ....
"""


def bpm_field(label: str, *, required: bool = True, help_text: str = "") -> forms.IntegerField:
    """Return a field for a tempo in beats a minute."""
    return forms.IntegerField(
        label=label,
        required=required,
        min_value=LEAST_BPM,
        max_value=MOST_BPM,
        help_text=help_text,
        error_messages={
            "min_value": f"A tempo is {LEAST_BPM} to {MOST_BPM} beats a minute.",
            "max_value": f"A tempo is {LEAST_BPM} to {MOST_BPM} beats a minute.",
            "invalid": "Write the tempo as a whole number, such as 84.",
        },
    )


class ExerciseForm(forms.Form):
    """A figure, typed or drawn in the lanes, with its title, tempo, kit and tags."""

    title = forms.CharField(label="Title", max_length=120)
    bpm = bpm_field("Tempo", help_text="Beats a minute; the grade is reckoned at this tempo.")
    kit = forms.ChoiceField(label="Played on", choices=KitChoice.choices)
    tags = forms.CharField(
        label="What it trains",
        required=False,
        max_length=300,
        help_text="Words of your own with commas between them, such as left hand, half-time.",
    )
    typed = forms.CharField(
        label="The figure, a line for each limb",
        max_length=LONGEST_TEXT,
        strip=False,
        widget=forms.Textarea(
            attrs={"rows": 7, "spellcheck": "false", "autocomplete": "off", "class": "typed"}
        ),
        help_text="x is a stroke, X an accent, g a ghost note, a full stop a rest; the characters "
        "between two spaces share one beat.",
    )
    source_note = forms.CharField(required=False, max_length=200, widget=forms.HiddenInput)

    figure: Figure | None = None

    @classmethod
    def for_exercise(cls, exercise: Exercise) -> ExerciseForm:
        """Return the form filled with a kept exercise."""
        return cls(
            initial={
                "title": exercise.title,
                "bpm": exercise.bpm,
                "kit": exercise.kit,
                "tags": ", ".join(tag.name for tag in exercise.tags.all()),
                "typed": write_typed(exercise.figure.titled("")),
            }
        )

    def clean_title(self) -> str:
        """Refuse characters that no score or sheet can carry."""
        try:
            return checked_title(self.cleaned_data["title"])
        except BadFigure as bad:
            raise forms.ValidationError(sentence(str(bad))) from bad

    def clean_tags(self) -> tuple[str, ...]:
        """Return the tags, refusing more than a card can show."""
        names = [" ".join(name.split()) for name in self.cleaned_data["tags"].split(",")]
        names = [name for name in names if name]
        if len(names) > MOST_TAGS:
            raise forms.ValidationError(f"Keep it to {MOST_TAGS} tags.")
        for name in names:
            if len(name) > 40:
                raise forms.ValidationError(f"A tag has at most 40 letters: “{name[:40]}…”")
        return tuple(names)

    def clean_typed(self) -> str:
        """Read the figure, saying the line and column where it cannot be read."""
        text: str = self.cleaned_data["typed"]
        try:
            self.figure = read_typed(text)
        except RhythmError as bad:
            raise forms.ValidationError(sentence(str(bad))) from bad
        return text

    def draft(self) -> ExerciseDraft:
        """Return what the form says; call it on a valid form only."""
        data: dict[str, Any] = self.cleaned_data
        if self.figure is None:
            raise ValueError("only a valid form holds a figure")
        return ExerciseDraft(
            self.figure.titled(data["title"]),
            data["bpm"],
            data["kit"],
            tags=data["tags"],
            source_note=data["source_note"],
        )


class PreviewForm(ExerciseForm):
    """The same while it is being written: only what the picture needs is asked for."""

    title = forms.CharField(required=False, max_length=120)
    tags = forms.CharField(required=False, max_length=300)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kit"].required = False


class LibraryFilterForm(forms.Form):
    """What the library is narrowed to."""

    q = forms.CharField(label="Title or tag", required=False, max_length=80)
    limb = forms.ChoiceField(
        label="Uses",
        required=False,
        choices=[("", "any limb"), *((limb.value, limb.spoken) for limb in LIMBS)],
    )
    surface = forms.ChoiceField(
        label="Plays on",
        required=False,
        choices=[
            ("", "any surface"),
            *((surface.value, surface.spoken) for surface in Surface),
        ],
    )
    subdivision = forms.ChoiceField(
        label="Cuts a beat into",
        required=False,
        choices=[("", "anything"), *((str(parts), words) for parts, words in PARTS.items())],
    )
    meter = forms.ChoiceField(label="Meter", required=False)
    kind = forms.ChoiceField(
        label="Kind", required=False, choices=[("", "everything"), *Kind.choices]
    )
    band = forms.ChoiceField(
        label="Grade",
        required=False,
        choices=[("", "any grade"), *((key, words) for key, (_, _, words) in BANDS.items())],
    )
    tag = forms.ChoiceField(label="Trains", required=False)
    order = forms.ChoiceField(
        label="Order",
        required=False,
        choices=[
            ("", "newest first"),
            ("grade", "easiest first"),
            ("hardest", "hardest first"),
            ("title", "by title"),
            ("rudiment", "rudiments by number"),
        ],
    )
    put_away = forms.BooleanField(label="Show what is put away", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = [(name, name) for name in tags_in_use()]
        self.fields["tag"].choices = [("", "anything"), *names]  # type: ignore[attr-defined]
        meters = [(meter, meter) for meter in meters_in_use()]
        self.fields["meter"].choices = [("", "any meter"), *meters]  # type: ignore[attr-defined]
        for field in self.fields.values():
            if isinstance(field, forms.ChoiceField):
                field.error_messages["invalid_choice"] = "The library has no such choice."

    def chosen(self) -> list[tuple[str, str, str]]:
        """Return what is asked for: each field's name, its label, and the choice in words."""
        found = []
        for name, value in self.cleaned_data.items() if self.is_valid() else ():
            if not value or name == "order":
                continue
            field = self.fields[name]
            choices: Any = getattr(field, "choices", None)
            words = "yes" if value is True else dict(choices)[value] if choices else value
            found.append((name, str(field.label), str(words)))
        return found


def sentence(words: str) -> str:
    """Return an engine's message as a sentence."""
    text = words.strip()
    return text if not text else text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")
