"""A score or a recording from another program."""

from __future__ import annotations

from typing import Any

from django import forms

from exercises.rhythm.figure import MOST_BARS
from studio.uploads import LARGEST_UPLOAD_BYTES

ENDINGS = (".musicxml", ".xml", ".mxl", ".mid", ".midi")


class ImportForm(forms.Form):
    """One file, and which of its bars to take."""

    score = forms.FileField(
        label="File",
        allow_empty_file=True,
        max_length=255,
        help_text="MusicXML (.musicxml, .xml, .mxl) or MIDI (.mid), at most 2 MB.",
        widget=forms.FileInput(attrs={"accept": ",".join(ENDINGS)}),
        error_messages={"required": "Choose a MusicXML or MIDI file."},
    )
    start_bar = forms.IntegerField(
        label="From bar",
        min_value=1,
        max_value=9999,
        required=False,
        help_text="Left empty: from the first bar in which something sounds.",
    )
    bars = forms.IntegerField(
        label="How many bars",
        min_value=1,
        max_value=MOST_BARS,
        required=False,
        help_text=f"At most {MOST_BARS}; left empty: all that fits of a score, two of a recording.",
    )

    def __init__(self, *args: Any, too_large: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if too_large:
            self.fields["score"].error_messages["required"] = (
                f"That file is larger than {LARGEST_UPLOAD_BYTES // 1024 // 1024} MB, which no "
                "score of a few bars is. Nothing was read. Export only the drum part and try again."
            )

    def clean_score(self) -> Any:
        """Refuse what is no score by its name, or empty."""
        score = self.cleaned_data["score"]
        if not score.name.lower().endswith(ENDINGS):
            raise forms.ValidationError(
                "That is not a MusicXML or MIDI file by its name. Choose one that ends in "
                ".musicxml, .xml, .mxl or .mid."
            )
        if score.size == 0:
            raise forms.ValidationError("That file is empty. Export it again and try once more.")
        return score

    @property
    def is_midi(self) -> bool:
        """True when the file's name says MIDI."""
        return str(self.cleaned_data["score"].name).lower().endswith((".mid", ".midi"))
