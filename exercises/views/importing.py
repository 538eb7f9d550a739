"""Figures from other programs: read, looked at with all guesses, then kept like any other."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from pathlib import PurePath

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from exercises.forms import ExerciseForm, ImportForm
from exercises.forms.library import sentence
from exercises.models.limits import LEAST_BPM, MOST_BPM
from exercises.notation.imported import Imported, LimbRule, SurfaceRule
from exercises.notation.midi_in import read_midi
from exercises.notation.musicxml_in import read_musicxml
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.typed import write_typed
from exercises.services.library import kit_for
from exercises.views.editing import USUAL_BPM, exercise_form_page
from studio.access import teacher_only
from studio.htmx import StudioRequest, page

_SURE = {SurfaceRule.OURS, SurfaceRule.GM_KEY}


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What was read and what was guessed, in words, before anything is kept."""

    imported: Imported
    is_midi: bool

    @property
    def stretch(self) -> str:
        """Which bars were taken."""
        first, bars = self.imported.first_bar, self.imported.figure.bars
        taken = f"bar {first}" if bars == 1 else f"bars {first} to {first + bars - 1}"
        return f"{taken} of {self.imported.bars_in_file}"

    @property
    def error(self) -> str:
        """How far strokes were moved onto the grid."""
        found = self.imported
        if found.worst_error_beats < 0.0005:
            return "Every stroke stood exactly on the grid; nothing was moved."
        if found.worst_error_ms is None or found.mean_error_ms is None:
            return (
                f"Strokes were moved onto the grid by {found.mean_error_beats:.3f} of a beat on "
                f"average, {found.worst_error_beats:.3f} at most."
            )
        return (
            f"Strokes were moved onto the grid by {found.mean_error_ms:.0f} ms on average, "
            f"{found.worst_error_ms:.0f} ms at most."
        )

    @property
    def surfaces(self) -> list[str]:
        """By which rule the surfaces were found, the doubtful ones too."""
        counted = Counter(source.surface_rule for source in self.imported.sources)
        return [
            f"{count} stroke{'s' if count > 1 else ''}, surface: {rule.words}"
            + ("" if rule in _SURE else " (please check)")
            for rule, count in counted.most_common()
        ]

    @property
    def limbs(self) -> list[str]:
        """By which rule the limbs were chosen."""
        counted = Counter(source.limb_rule for source in self.imported.sources)
        return [
            f"{count} stroke{'s' if count > 1 else ''}, limb: {rule.words}"
            + (" (a guess: please check)" if rule is LimbRule.HANDS else "")
            for rule, count in counted.most_common()
        ]


@require_http_methods(["GET", "POST"])
@teacher_only
def exercise_import(request: StudioRequest) -> HttpResponse:
    """Ask for a file, or show in the editor what was read from it. Nothing is kept yet."""
    if request.method == "GET":
        return page(request, "exercises/exercise_import.html", {"form": ImportForm()})
    form = ImportForm(
        request.POST, request.FILES, too_large=getattr(request, "upload_too_large", False)
    )
    if form.is_valid():
        try:
            found = _read(form)
        except RhythmError as refused:
            form.add_error("score", sentence(str(refused)))
        else:
            report = ImportReport(found, form.is_midi)
            return exercise_form_page(
                request, _filled(report, form.cleaned_data["score"].name), report=report
            )
    return page(request, "exercises/exercise_import.html", {"form": form}, status=422)


def _read(form: ImportForm) -> Imported:
    """Read the bars that were asked for, or those that the reader chooses by itself.

    :raises ImportRefused: with the reason in words
    """
    data = form.cleaned_data
    stretch = {name: data[name] for name in ("start_bar", "bars") if data[name] is not None}
    content: bytes = data["score"].read()
    return read_midi(content, **stretch) if form.is_midi else read_musicxml(content, **stretch)


def _filled(report: ImportReport, filename: str) -> ExerciseForm:
    """Return the editor's form with the imported figure in it."""
    found = report.imported
    bpm = round(found.bpm) if found.bpm else USUAL_BPM
    kind = "MIDI" if report.is_midi else "MusicXML"
    stem = "".join(letter for letter in PurePath(filename).stem if letter.isprintable())
    return ExerciseForm(
        initial={
            "title": (found.figure.title or stem)[:120],
            "bpm": min(MOST_BPM, max(LEAST_BPM, bpm)),
            "kit": kit_for(found.figure),
            "typed": write_typed(found.figure.titled("")),
            "source_note": f"imported from {kind}: {stem}"[:200],
        }
    )
