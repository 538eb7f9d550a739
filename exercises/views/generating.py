"""Core figures from numbers: even spreads, and pulses against each other."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpResponse
from django.views.decorators.http import require_GET

from exercises.engraving_cache import NotationOptions
from exercises.forms.generating import GenerateForm
from exercises.models import KitChoice
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.figure import Figure
from exercises.rhythm.generating import generated
from exercises.rhythm.kit import KITS
from exercises.rhythm.typed import write_typed
from exercises.selectors.figures import figure_sheet
from studio.access import teacher_only
from studio.htmx import StudioRequest, page

_COMMON = {"meter": "4/4", "bars": "1", "bpm": "80", "kit": KitChoice.FIVE_PIECE}
STARTS = (
    ("3 against 2", {"meter": "3/4", "RH_strokes": 3, "RH_surface": "ride", "LH_strokes": 2}),
    ("4 against 3", {"meter": "3/4", "RH_strokes": 4, "RH_surface": "ride", "RF_strokes": 3}),
    ("5 in 16", {"RH_strokes": 8, "LH_strokes": 5, "LH_steps": 16, "RF_strokes": 4}),
    ("3 in 8 for the foot", {"RH_strokes": 8, "RF_strokes": 3, "RF_steps": 8, "LF_strokes": 4}),
    ("7 in 12", {"meter": "12/8", "RH_strokes": 7, "RH_steps": 12, "RH_surface": "cowbell"}),
)


@require_GET
@teacher_only
def generate(request: StudioRequest) -> HttpResponse:
    """Show the figure that the numbers make, from every side; it is kept in the editor."""
    form = GenerateForm(request.GET or {**_COMMON, **STARTS[0][1]})
    context: dict[str, object] = {
        "form": form,
        "starts": [(words, urlencode({**_COMMON, **fields})) for words, fields in STARTS],
    }
    status = 200
    if form.is_valid():
        context |= _made(form)
        status = 422 if "refused" in context else 200
    else:
        status = 422
    return page(request, "exercises/generate.html", context, fragment="generated", status=status)


def _made(form: GenerateForm) -> dict[str, object]:
    data = form.cleaned_data
    kit = KITS[data["kit"]]
    try:
        figure: Figure = generated(form.streams(), form.chosen_meter(), kit, bars=data["bars"])
    except RhythmError as refused:
        return {"refused": str(refused)}
    sheet = figure_sheet(figure, bpm=data["bpm"], kit=kit, options=NotationOptions(width=560))
    return {"figure": figure, "sheet": sheet, "typed": write_typed(figure.titled(""))}
