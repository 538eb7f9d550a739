"""One figure as a fragment, as sound, and as files to take away."""

from __future__ import annotations

from django.http import FileResponse, HttpResponse, JsonResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from exercises.models.limits import LEAST_BPM, MOST_BPM
from exercises.notation.midi_out import midi
from exercises.notation.musicxml_out import musicxml
from exercises.notation.playback import playback
from exercises.notation.sheet import SheetItem
from exercises.practice_sheets import (
    MIDI_TYPE,
    PDF_TYPE,
    SCORE_TYPE,
    handed_out,
    sheet_pdf,
)
from exercises.selectors.figures import notation_or_none
from exercises.views.asking import Asked, answers_in_words, asked, flag, number
from studio.access import signed_in, teacher_only
from studio.htmx import StudioRequest


@require_GET
@signed_in
@answers_in_words
def exercise_notation(request: StudioRequest, pk: int) -> HttpResponse:
    """Answer with the notation alone, engraved for the width that the page has room for."""
    wanted = asked(request, pk)
    context = {"notation": notation_or_none(wanted.figure, wanted.options)}
    return render(request, "exercises/_notation_alone.html", context)


@require_GET
@signed_in
@answers_in_words
def exercise_playback(request: StudioRequest, pk: int) -> HttpResponse:
    """Answer with what the player sounds."""
    wanted = asked(request, pk)
    return JsonResponse(playback(wanted.figure, bpm=_bpm(request, wanted)))


@require_GET
@teacher_only
@answers_in_words
def exercise_musicxml(request: StudioRequest, pk: int) -> FileResponse:
    """Hand out the figure as MusicXML."""
    wanted = asked(request, pk)
    content = musicxml(
        wanted.figure,
        bpm=_bpm(request, wanted),
        sticking=wanted.options.has_sticking(wanted.figure),
        counting=wanted.options.counting,
    )
    return handed_out(content, wanted.grown.figure.title, "musicxml", SCORE_TYPE)


@require_GET
@teacher_only
@answers_in_words
def exercise_midi(request: StudioRequest, pk: int) -> FileResponse:
    """Hand out the figure as a Standard MIDI File."""
    wanted = asked(request, pk)
    content = midi(
        wanted.figure,
        bpm=_bpm(request, wanted),
        rounds=number(request, "rounds", 1, 1, 32),
        count_in=flag(request, "count_in"),
    )
    return handed_out(content, wanted.grown.figure.title, "mid", MIDI_TYPE)


@require_GET
@teacher_only
@answers_in_words
def exercise_sheet(request: StudioRequest, pk: int) -> FileResponse:
    """Hand out one figure as a printed practice sheet."""
    wanted = asked(request, pk)
    title = wanted.grown.figure.title
    item = SheetItem(
        wanted.figure,
        title=title,
        moves=wanted.grown.changes,
        goal_bpm=_bpm(request, wanted),
        sticking=wanted.options.has_sticking(wanted.figure),
        counting=wanted.options.counting,
    )
    return handed_out(sheet_pdf([item], title=title, studio=request.studio), title, "pdf", PDF_TYPE)


def _bpm(request: StudioRequest, wanted: Asked) -> int:
    return number(request, "bpm", wanted.exercise.bpm, LEAST_BPM, MOST_BPM)
