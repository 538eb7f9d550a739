"""Moving several lessons at once, as if at the same instant."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from django.db.models import F, Prefetch

from lessons.models import Lesson, LessonStudent
from lessons.planning.clashes import Clash, Visit, all_clashes
from lessons.planning.intervals import Interval
from lessons.selectors.road import road_book
from lessons.selectors.series import visits_between
from lessons.services.booking import LessonClash, calendar_held
from lessons.services.changing import LessonLocked
from lessons.services.mail import tell_moved
from lessons.services.revision import lesson_changed
from studio.events import event_record
from studio.models import Studio, User

# Far beyond any lesson: lessons that change places stand here for a moment, because the net below
# the calendar looks at every row by itself.
ASIDE = timedelta(days=73_000)


def lessons_retime(
    *,
    times: Mapping[int, datetime],
    by: User,
    now: datetime,
    studio: Studio,
    is_family_told: bool = False,
    why: str = "",
) -> list[Lesson]:
    """Give planned lessons their new starts, all or none; lengths and places stay.

    Two lessons may change places. What clashed before and still does is not looked at again.

    :param times: the new start of each lesson, by its number
    :raises LessonLocked: if one is marked, called off or gone
    :raises LessonClash: if afterwards one of them overlaps something, or the road lacks minutes
    """
    with calendar_held():
        lessons = _locked(times)
        if len(lessons) != len(times) or not all(lesson.is_planned for lesson in lessons):
            raise LessonLocked("Only planned lessons can be moved. Nothing was changed.")
        lessons = [lesson for lesson in lessons if lesson.starts_at != times[lesson.pk]]
        if not lessons:
            return []
        _refuse(lessons, times, studio)
        Lesson.objects.filter(pk__in=[lesson.pk for lesson in lessons]).update(
            starts_at=F("starts_at") + ASIDE, ends_at=F("ends_at") + ASIDE
        )
        for lesson in lessons:
            before = lesson.starts_at
            if lesson.moved_from is None:
                lesson.moved_from = before
            lesson.starts_at = times[lesson.pk]
            lesson.ends_at = lesson.starts_at + timedelta(minutes=lesson.minutes)
            lesson.road_overruled_reason = ""
            lesson_changed(lesson)
            lesson.full_clean()
            lesson.save()
            event = event_record(
                kind="lesson_moved",
                subject=lesson.names,
                by=by,
                now=now,
                lesson=lesson.pk,
                before=before.isoformat(),
                after=lesson.starts_at.isoformat(),
                why=why,
            )
            if is_family_told:
                tell_moved(lesson=lesson, before=before, event=event, studio=studio, now=now)
    return lessons


def _locked(times: Mapping[int, datetime]) -> list[Lesson]:
    takers = Prefetch("takers", LessonStudent.objects.select_related("student__family"))
    rows = Lesson.objects.select_for_update(of=("self",)).filter(pk__in=list(times))
    return list(rows.select_related("place").prefetch_related(takers).in_order())


def _refuse(lessons: Sequence[Lesson], times: Mapping[int, datetime], studio: Studio) -> None:
    """Look at the calendar as it would be.

    :raises LessonClash: naming what would stand in the way that does not today
    """
    starts = [lesson.starts_at for lesson in lessons] + [times[lesson.pk] for lesson in lessons]
    today = visits_between(min(starts), max(starts))
    moving = {lesson.pk: times[lesson.pk] for lesson in lessons}
    then = [_moved(visit, moving) for visit in today]
    book = road_book(studio)
    known = {_pair(clash) for clash in all_clashes(today, book, studio.zone)}
    found = [
        clash
        for clash in all_clashes(then, book, studio.zone)
        if _pair(clash) not in known or {clash.wanted.key, clash.other.key} & moving.keys()
    ]
    if found:
        raise LessonClash(found, _words(found, studio))


def _moved(visit: Visit, moving: Mapping[int, datetime]) -> Visit:
    if visit.key is None or visit.key not in moving:
        return visit
    when = Interval.lasting(moving[visit.key], visit.when.minutes)
    return Visit(when, visit.stop, visit.label, visit.key)


def _pair(clash: Clash) -> tuple[str, str, frozenset[tuple[str, datetime]]]:
    ends = frozenset((visit.label, visit.when.start) for visit in (clash.wanted, clash.other))
    return clash.kind, clash.words, ends


def _words(found: Sequence[Clash], studio: Studio) -> str:
    parts = [
        f"{clash.wanted.label} at {clash.wanted.when.start.astimezone(studio.zone):%H:%M}: "
        + (f"it {clash.words}" if clash.kind == "overlap" else clash.words)
        for clash in found[:5]
    ]
    return "Nothing was moved. " + ". ".join(parts) + "."
