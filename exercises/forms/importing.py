"""A score or a recording from another program, which of its bars to take, and what it means."""

from __future__ import annotations

import re
from typing import Any

from django import forms

from exercises.forms.library import bpm_field, sentence
from exercises.notation.imported import Hints
from exercises.rhythm.errors import BadMeter
from exercises.rhythm.figure import MOST_BARS
from exercises.rhythm.meter import Meter
from exercises.rhythm.surfaces import Surface
from studio.uploads import LARGEST_UPLOAD_BYTES

ENDINGS = (".musicxml", ".xml", ".mxl", ".mid", ".midi")
HIGHEST_BAR = 999_999
LEAVE_OUT = "leave-out"
AS_READ = ""
_MOST_PICKS = 300
_LONGEST_SAID = 200
_BARS = re.compile(r"(\d{1,6})-(\d{1,6})", re.ASCII)
_SURFACES = {str(surface.value): surface for surface in Surface}


def is_midi_name(name: str) -> bool:
    """True when a file's name says MIDI."""
    return name.lower().endswith((".mid", ".midi"))


def _bar_field(label: str, help_text: str = "") -> forms.IntegerField:
    wrong = f"A bar is a whole number from 1 to {HIGHEST_BAR}."
    return forms.IntegerField(
        label=label,
        min_value=1,
        max_value=HIGHEST_BAR,
        required=False,
        help_text=help_text,
        error_messages={"min_value": wrong, "max_value": wrong, "invalid": wrong},
    )


class ImportForm(forms.Form):
    """One file, new or kept from the last look; its bars; and the teacher's word on it.

    Besides the fields there are pairs of ``said`` and ``means``: what the file says of a surface,
    and the surface here that it stands for. ``hints`` has them once the form is valid.
    """

    score = forms.FileField(
        label="File",
        allow_empty_file=True,
        max_length=255,
        help_text="MusicXML (.musicxml, .xml, .mxl) or MIDI (.mid), at most 2 MB.",
        widget=forms.FileInput(attrs={"accept": ",".join(ENDINGS)}),
        error_messages={"required": "Choose a MusicXML or MIDI file."},
    )
    kept = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    from_bar = _bar_field("From bar", "Left empty: from the first bar in which something sounds.")
    to_bar = _bar_field(
        "To bar",
        f"At most {MOST_BARS} bars; left empty: all that fits of a score, two of a recording.",
    )
    meter = forms.CharField(
        label="Meter", max_length=10, required=False, help_text="Such as 4/4 or 7/8."
    )
    bpm = bpm_field("Tempo", required=False, help_text="Beats a minute.")
    take = forms.CharField(required=False, max_length=20)
    list_from = _bar_field("List from bar")

    def __init__(self, *args: Any, too_large: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.hints = Hints()
        score = self.fields["score"]
        # A file that was too large came, so it is missing only because it was not read.
        score.required = too_large or not self.data.get("kept")
        if too_large:
            score.error_messages["required"] = (
                f"That file is larger than {LARGEST_UPLOAD_BYTES // 1024 // 1024} MB, which no "
                "score of a few bars is. Nothing was read. Export only the drum part and try again."
            )

    def clean_score(self) -> Any:
        """Refuse what is no score by its name, or empty; None when no new file came."""
        score = self.cleaned_data["score"]
        if score is None:
            return None
        if not score.name.lower().endswith(ENDINGS):
            raise forms.ValidationError(
                "That is not a MusicXML or MIDI file by its name. Choose one that ends in "
                ".musicxml, .xml, .mxl or .mid."
            )
        if score.size == 0:
            raise forms.ValidationError("That file is empty. Export it again and try once more.")
        return score

    def clean_meter(self) -> Meter | None:
        """Read the meter."""
        text: str = self.cleaned_data["meter"]
        try:
            return Meter.parse(text) if text else None
        except BadMeter as bad:
            raise forms.ValidationError(sentence(str(bad))) from bad

    def clean(self) -> dict[str, Any]:
        """Put bars and hints together."""
        data: dict[str, Any] = super().clean() or {}
        if any(name in self.errors for name in ("kept", "take", "list_from")):
            # These are sent by the page, not written by anyone, so they have no place for errors.
            self.add_error(None, "The page sent something that cannot be read. Try once more.")
        self._clean_bars(data)
        picks = self._sent_picks()
        if len(picks) > _MOST_PICKS or any(not _is_pick(*pick) for pick in picks):
            self.add_error(
                None, "A surface was chosen that is not in the list. Choose one from the list."
            )
        else:
            surfaces = {said: _SURFACES.get(means) for said, means in picks if means != AS_READ}
            self.hints = Hints(surfaces, data.get("meter"), data.get("bpm"))
        return data

    def _clean_bars(self, data: dict[str, Any]) -> None:
        pressed = _BARS.fullmatch(data.get("take") or "")
        if pressed is not None:
            data["from_bar"], data["to_bar"] = int(pressed[1]), int(pressed[2])
        elif data.get("take"):
            self.add_error("from_bar", "Those bars are not in the list. Write them here instead.")
        first, last = data.get("from_bar"), data.get("to_bar")
        if last is None:
            return
        if first is None:
            if "from_bar" in data:
                self.add_error("from_bar", "Write the first bar as well as the last one.")
        elif not 1 <= last - first + 1 <= MOST_BARS:
            self.add_error(
                "to_bar",
                f"1 to {MOST_BARS} bars can be taken at once; bars {first} to {last} cannot.",
            )

    @property
    def stretch(self) -> dict[str, int]:
        """The bars asked for, as the readers want to hear it; empty when it is left to them."""
        first, last = self.cleaned_data["from_bar"], self.cleaned_data["to_bar"]
        asked = {} if first is None else {"start_bar": first}
        return asked if last is None else asked | {"bars": last - first + 1}

    @property
    def picks(self) -> list[tuple[str, str]]:
        """What the file says and what it shall mean, in pairs; sound ones only."""
        return [pick for pick in self._sent_picks() if _is_pick(*pick)][:_MOST_PICKS]

    def _sent_picks(self) -> list[tuple[str, str]]:
        if not self.is_bound or not hasattr(self.data, "getlist"):
            return []
        return list(zip(self.data.getlist("said"), self.data.getlist("means"), strict=False))


def _is_pick(said: str, means: str) -> bool:
    return len(said) <= _LONGEST_SAID and (means in (AS_READ, LEAVE_OUT) or means in _SURFACES)
