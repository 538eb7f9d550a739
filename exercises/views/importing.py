"""Figures from other programs: read, looked at with all guesses, then kept like any other."""

from __future__ import annotations

from pathlib import PurePath

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from exercises.forms import ExerciseForm, ImportForm
from exercises.forms.importing import HIGHEST_BAR, is_midi_name
from exercises.forms.library import sentence
from exercises.kept_files import KeptFile, keep_file, kept_file
from exercises.models.limits import LEAST_BPM, MOST_BPM
from exercises.notation.imported import Imported, LimbRule, NoSuchBars
from exercises.notation.midi_in import USUAL_BARS
from exercises.notation.stretches import Offer, Take, offers, open_file
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.typed import write_typed
from exercises.services.library import kit_for
from exercises.views.editing import USUAL_BPM, exercise_form_page
from exercises.views.import_report import ImportReport
from studio.access import teacher_only
from studio.htmx import StudioRequest, page

_GONE = (
    "That file is no longer here: files are kept for half an hour. Your bars are; choose the file "
    "again."
)


@require_http_methods(["GET", "POST"])
@teacher_only
def exercise_import(request: StudioRequest) -> HttpResponse:
    """Ask for a file, or show in the editor what was read from it. No figure is kept yet.

    The file itself is kept for half an hour, so that other bars, or other surfaces, can be asked
    for without sending it again.
    """
    if request.method == "GET":
        return page(request, "exercises/exercise_import.html", {"form": ImportForm()})
    form = ImportForm(
        request.POST, request.FILES, too_large=getattr(request, "upload_too_large", False)
    )
    is_valid = form.is_valid()
    held = _held(request, form)
    if is_valid and held is None:
        form.add_error("score", _GONE)
    elif is_valid and held is not None:
        try:
            report = _report(form, held)
        except NoSuchBars as no:
            form.add_error("from_bar", sentence(str(no)))
        except RhythmError as refused:
            form.add_error("score", sentence(str(refused)))
        else:
            return exercise_form_page(request, _filled(report.imported, held.name), report=report)
    form.fields["score"].required = held is None
    context = {"form": form, "held": held, "carried": form.picks if held else []}
    return page(request, "exercises/exercise_import.html", context, status=422)


def _held(request: StudioRequest, form: ImportForm) -> KeptFile | None:
    """The file to read: the one that came, else the one kept from the last look."""
    score = form.cleaned_data.get("score")
    user_pk = int(request.user.pk or 0)
    if score is not None:
        return keep_file(user_pk=user_pk, name=score.name, content=score.read())
    if "score" in form.errors:
        return None
    return kept_file(user_pk=user_pk, key=form.cleaned_data.get("kept") or "")


def _report(form: ImportForm, held: KeptFile) -> ImportReport:
    """Read the bars that were asked for, or those that the reader chooses by itself.

    :raises ImportRefused: with the reason in words
    """
    take = open_file(held.content, is_midi=is_midi_name(held.name))
    found = take(hints=form.hints, **form.stretch)
    list_from = min(form.cleaned_data["list_from"] or found.first_bar, HIGHEST_BAR)
    length = form.stretch.get("bars", min(USUAL_BARS, found.figure.bars))
    seen = {meaning.said for meaning in found.meanings}
    return ImportReport(
        imported=found,
        held=held,
        form=_form_for_next_look(form, found),
        offered=_offered(take, form, found, list_from, length),
        carried=[pick for pick in form.picks if pick[0] not in seen],
        list_from=list_from,
        list_length=length,
    )


def _form_for_next_look(form: ImportForm, found: Imported) -> ImportForm:
    first = found.first_bar
    bpm = form.hints.bpm
    return ImportForm(
        initial={
            "from_bar": first,
            "to_bar": first + found.figure.bars - 1,
            "meter": str(found.figure.meter),
            "bpm": round(bpm) if bpm else None,
        },
        # The editor's own fields for tempo and title stand on the same page.
        auto_id="read_%s",
    )


def _offered(
    take: Take, form: ImportForm, found: Imported, list_from: int, length: int
) -> tuple[Offer, ...]:
    is_ours = all(source.limb_rule is LimbRule.OURS for source in found.sources)
    if is_ours or found.bars_in_file <= found.figure.bars:
        return ()
    return offers(
        take,
        first_bar=list_from,
        length=length,
        bars_in_file=min(found.bars_in_file, HIGHEST_BAR),
        hints=form.hints,
    )


def _filled(found: Imported, filename: str) -> ExerciseForm:
    """Return the editor's form with the imported figure in it."""
    bpm = round(found.bpm) if found.bpm else USUAL_BPM
    kind = "MIDI" if is_midi_name(filename) else "MusicXML"
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
