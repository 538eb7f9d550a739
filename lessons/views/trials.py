"""After a trial lesson: it becomes a weekly lesson, or it does not. After a block: it was given."""

from __future__ import annotations

from datetime import timedelta
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from lessons import services
from lessons.forms.fields import AT_HOME, ONLINE
from lessons.models import Lesson
from lessons.services.desk import block_mark as block_given
from lessons.services.trials import NotATrial, trial_ends
from studio.access import teacher_only
from studio.htmx import StudioRequest
from studio.local_time import local_date


@require_GET
@teacher_only
def trial_goes_on(request: StudioRequest, pk: int) -> HttpResponse:
    """Go to the booking of a weekly lesson, filled in with the trial's student, time and place."""
    lesson = get_object_or_404(Lesson.objects.visible_to(request.user).with_people(), pk=pk)
    starts = lesson.starts_at.astimezone(request.studio.zone)
    today = local_date(timezone.now(), request.studio.zone)
    first = max(starts.date() + timedelta(days=1), today)
    takers = list(lesson.takers.all())
    where = str(lesson.place_id)
    if lesson.place.is_online:
        where = ONLINE
    elif takers and takers[0].student.family.home_id == lesson.place_id:
        where = AT_HOME
    given = {
        "student": takers[0].student_id if takers else "",
        "where": where,
        "weekday": starts.weekday(),
        "at": f"{starts:%H:%M}",
        "minutes": lesson.minutes,
        "from_date": f"{first:%Y-%m-%d}",
    }
    return redirect(f"{reverse('lessons:series_book')}?{urlencode(given)}")


@require_POST
@teacher_only
def trial_over(request: StudioRequest, pk: int) -> HttpResponse:
    """Write down that the trial leads to nothing more."""
    lesson = get_object_or_404(Lesson.objects.visible_to(request.user), pk=pk)
    try:
        leaving = trial_ends(lesson=lesson, by=request.user, now=timezone.now())
    except NotATrial as refusal:
        messages.error(request, str(refusal))
    else:
        names = " and ".join(student.name for student in leaving)
        words = f"{names} is in your list as having left" if names else "Nothing more was to do"
        messages.success(request, f"{words}; the trial lesson and its note stay.")
    return redirect("lessons:lesson_detail", pk)


@require_POST
@teacher_only
def block_mark(request: StudioRequest, pk: int) -> HttpResponse:
    """Mark that a block took place, or take that back."""
    lesson = get_object_or_404(Lesson.objects.visible_to(request.user), pk=pk)
    try:
        block_given(
            lesson=lesson,
            is_given=request.POST.get("given") != "no",
            by=request.user,
            now=timezone.now(),
        )
    except (services.LessonLocked, services.LessonNotYet) as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "Written down.")
    return redirect("lessons:lesson_detail", pk)
