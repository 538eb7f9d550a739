"""Asking the road router, on a press."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from lessons.services.routing import road_words, roads_ask
from studio.access import teacher_only
from studio.htmx import StudioRequest


@require_POST
@teacher_only
def road_ask(request: StudioRequest) -> HttpResponse:
    """Ask for all roads and say what came of it."""
    asked = roads_ask(now=timezone.now())
    say = messages.error if asked.trouble else messages.success
    say(request, road_words(asked))
    return redirect("lessons:road")
