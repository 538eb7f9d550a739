"""One lesson: attendance, notes, moving, calling off."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from lessons import services
from lessons.forms import AttendanceForm, CallOffForm, MoveForm, NoteForm
from lessons.models import CalledOffBy, Lesson, MissedLessonRules
from lessons.planning.recurrence import CannotRepeat
from lessons.selectors.road import road_to
from lessons.services.desk_presses import (
    ChangedElsewhere,
    PressedNote,
    mark_pressed,
    note_pressed,
)
from lessons.services.upset_undoing import lesson_put_back
from studio.access import teacher_only
from studio.htmx import StudioRequest, page
from studio.local_time import local_date

# Says to static/js/desk.js what became of a press; an answer without it is none of ours.
DESK_HEADER = "X-Desk"
# A service says no in words; the page shows them and the lesson stays as it was.
SAYS_NO = (services.LessonLocked, services.LessonNotYet, services.NoteEmpty)


def _lesson(request: StudioRequest, pk: int) -> Lesson:
    return get_object_or_404(Lesson.objects.visible_to(request.user).with_people(), pk=pk)


@require_GET
@teacher_only
def lesson_detail(request: StudioRequest, pk: int) -> HttpResponse:
    """Show one lesson: where, who, attendance, note, what to do with it."""
    return _detail(request, _lesson(request, pk))


@require_POST
@teacher_only
def lesson_mark(request: StudioRequest, pk: int) -> HttpResponse:
    """Mark one student as there or not."""
    lesson = _lesson(request, pk)
    form = AttendanceForm(request.POST)
    if not form.is_valid():
        messages.error(request, "That was no attendance mark. Nothing was changed.")
        return (
            _refused(_slip(request, lesson))
            if request.htmx
            else _detail(request, lesson, status=422)
        )
    try:
        mark_pressed(
            lesson=lesson,
            student=form.cleaned_data["student"],
            attendance=form.cleaned_data["attendance"],
            by=request.user,
            now=timezone.now(),
            key=form.cleaned_data["press_key"],
            seen=_seen(request),
        )
    except (*SAYS_NO, ChangedElsewhere) as refusal:
        messages.error(request, str(refusal))
        return _refused(_back_to_desk(request, lesson))
    return _back_to_desk(request, lesson)


@require_POST
@teacher_only
def lesson_note(request: StudioRequest, pk: int, student_pk: int) -> HttpResponse:
    """Keep a student's note, and send it if that was pressed."""
    lesson = _lesson(request, pk)
    taker = get_object_or_404(lesson.takers.select_related("student"), student_id=student_pk)
    form = NoteForm(request.POST)
    pressed = None
    if form.is_valid():
        try:
            pressed = note_pressed(
                lesson=lesson,
                student=taker.student,
                body=form.cleaned_data["body"],
                is_to_be_sent=request.POST.get("press") == "send",
                by=request.user,
                now=timezone.now(),
                key=form.cleaned_data["press_key"],
                seen=_seen(request),
            )
        except ChangedElsewhere as changed:
            form.add_error("body", f"{changed} “{changed.now_there or 'nothing'}”")
        except SAYS_NO as refusal:
            messages.error(request, str(refusal))
            return _refused(_back_to_desk(request, lesson))
    if pressed is None:
        bound = (student_pk, form)
        if request.htmx:
            return _refused(_slip(request, lesson, bound))
        return _detail(request, lesson, status=422, bound_note=bound)
    if words := _note_words(pressed):
        messages.success(request, words)
    return _back_to_desk(request, lesson)


@require_http_methods(["GET", "POST"])
@teacher_only
def lesson_move(request: StudioRequest, pk: int) -> HttpResponse:
    """Give one lesson another time, length or place."""
    lesson = _lesson(request, pk)
    form = MoveForm(
        request.POST if request.method == "POST" else None, lesson=lesson, studio=request.studio
    )
    if form.is_valid():
        data = form.cleaned_data
        try:
            services.lesson_move(
                lesson=lesson,
                day=data["day"],
                at=data["at"],
                minutes=data["minutes"],
                place=form.place(),
                road_reason=data["road_reason"],
                is_family_told=data["is_family_told"],
                by=request.user,
                now=timezone.now(),
            )
        except CannotRepeat as trouble:
            form.add_error(trouble.field, str(trouble))
        except services.LessonClash as clash:
            form.add_error("road_reason" if clash.can_be_overruled else "at", str(clash))
        except services.LessonLocked as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "The lesson is moved.")
            return redirect("lessons:lesson_detail", pk)
    context = {"form": form, "lesson": lesson}
    return page(request, "lessons/lesson_move.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@teacher_only
def lesson_call_off(request: StudioRequest, pk: int) -> HttpResponse:
    """Call one lesson off."""
    lesson, now = _lesson(request, pk), timezone.now()
    policy = MissedLessonRules.current().policy()
    form = CallOffForm(
        request.POST if request.method == "POST" else None,
        studio=request.studio,
        now=now,
        lesson=lesson,
        policy=policy,
    )
    if form.is_valid():
        data = form.cleaned_data
        try:
            services.lesson_call_off(
                lesson=lesson,
                called_off_by=CalledOffBy(data["called_off_by"]),
                told_at=data["told_at"],
                reason=data["reason"],
                counts_as=data["counts_as"] or None,
                is_make_up_owed=data["is_make_up_owed"],
                overruled_because=data["overruled_because"],
                is_family_told=data["is_family_told"],
                by=request.user,
                now=now,
            )
        except services.LessonLocked as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "The lesson is called off. You can put it back.")
            return redirect("lessons:lesson_detail", pk)
    zone = request.studio.zone
    context = {
        "form": form,
        "lesson": lesson,
        "if_family": policy.verdict(
            by="family", told_at=now, starts_at=lesson.starts_at, zone=zone
        ),
        "if_teacher": policy.verdict(
            by="teacher", told_at=now, starts_at=lesson.starts_at, zone=zone
        ),
    }
    return page(
        request, "lessons/lesson_call_off.html", context, status=422 if form.errors else 200
    )


@require_POST
@teacher_only
def lesson_reinstate(request: StudioRequest, pk: int) -> HttpResponse:
    """Put a called-off lesson back."""
    lesson = _lesson(request, pk)
    try:
        lesson_put_back(lesson=lesson, by=request.user, now=timezone.now())
    except (services.LessonLocked, services.LessonClash) as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "The lesson is planned again.")
    return redirect("lessons:lesson_detail", pk)


def _detail(
    request: StudioRequest,
    lesson: Lesson,
    *,
    status: int = 200,
    bound_note: tuple[int, NoteForm] | None = None,
) -> HttpResponse:
    now = timezone.now()
    zone = request.studio.zone
    context: dict[str, Any] = {
        "lesson": lesson,
        "road": road_to(lesson.place),
        "day": local_date(lesson.starts_at, zone),
        "is_future": local_date(lesson.starts_at, zone) > local_date(now, zone),
        "bound_note": bound_note,
    }
    return page(request, "lessons/lesson_detail.html", context, status=status)


def _slip(
    request: StudioRequest, lesson: Lesson, bound_note: tuple[int, NoteForm] | None = None
) -> HttpResponse:
    """Answer htmx with the lesson's slip alone."""
    context = {
        "lesson": _lesson(request, lesson.pk),
        "back": request.POST.get("back", "lesson"),
        "bound_note": bound_note,
        "is_fragment": True,
    }
    answer = page(request, "lessons/slip.html", context)
    answer[DESK_HEADER] = "done"
    return answer


def _refused(answer: HttpResponse) -> HttpResponse:
    """Tell the desk's script that the press arrived and was not done."""
    answer[DESK_HEADER] = "refused"
    return answer


def _seen(request: StudioRequest) -> list[str]:
    """What stood on the page when it was pressed; a page without script does not say."""
    return request.POST.getlist("seen")[:20]


def _note_words(pressed: PressedNote) -> str:
    if pressed.is_repeated:
        return ""
    if pressed.sent is not None:
        return _sent_words(pressed.sent)
    if pressed.note is not None and pressed.note.pk:
        return "The note is kept. The family has not been sent it yet."
    return ""


def _back_to_desk(request: StudioRequest, lesson: Lesson) -> HttpResponse:
    """Answer htmx with the slip, a plain browser with the page it came from."""
    if request.htmx:
        return _slip(request, lesson)
    if request.POST.get("back") == "day":
        day = local_date(lesson.starts_at, request.studio.zone)
        return redirect(f"{reverse('lessons:today')}?day={day.isoformat()}#slip-{lesson.pk}")
    return redirect("lessons:lesson_detail", lesson.pk)


def _sent_words(sent: services.SentNote) -> str:
    if sent.was_sent_before:
        return "The family has this note already. Nothing was sent again."
    words = "The family sees the note when signed in."
    if sent.mailed:
        words += f" It goes by e-mail to {' and '.join(sent.mailed)}."
    else:
        words += " Nobody in the family receives notes by e-mail."
    if sent.without_address:
        words += f" No e-mail address is known of {' and '.join(sent.without_address)}."
    return words
