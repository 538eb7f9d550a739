"""A family moves house: what is planned from that day on goes to the new place, the past stays."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from lessons.models import HouseMove, Lesson, Series, StudentWishes
from lessons.selectors.homes import HousePlan, house_plan
from lessons.selectors.road import outside_words
from lessons.services.booking import LessonClash, OutsideRadius, PlanChanged, calendar_held
from lessons.services.revision import lesson_changed
from studio.events import event_record
from studio.local_time import local_date
from studio.models import Family, Place, Studio, User

MOVED_REASON = "The family moved house"


_MOVED_FIELDS = ["place", "road_overruled_reason", "revision"]


class MoveDone(Exception):
    """The day of the move has come."""


class MoveToCome(Exception):
    """The family has a move ahead of it already."""


def house_move(
    *,
    family: Family,
    new: Place,
    from_date: date,
    by: User,
    now: datetime,
    seal: str = "",
    road_reason: str = "",
) -> HouseMove:
    """Write a family's new home down and send everything planned from that local day on there.

    Series are split at the day. The family's own home changes on the day itself, at once when it is
    today or past (:func:`house_moves_due`).

    :param new: the new place, not saved yet
    :param seal: what the page showed (:attr:`HousePlan.seal`); empty moves without looking
    :raises MoveToCome: if another move is written down and its day has not come
    :raises PlanChanged: if a seal is given and the calendar is another by now
    :raises LessonClash: if the road to the new place is too long somewhere and no reason is given
    :raises OutsideRadius: if it lies outside the radius and no reason is given
    """
    studio = Studio.current()
    with calendar_held():
        family = Family.objects.select_for_update().get(pk=family.pk)
        if HouseMove.objects.filter(family=family, done_at=None).exists():
            raise MoveToCome(
                f"A move of {family.name} is written down already and its day has not come. "
                "Nothing was changed."
            )
        old = family.home
        plan = house_plan(old=old, new=new, from_date=from_date, studio=studio)
        if seal and seal != plan.seal:
            raise PlanChanged("The calendar changed while you were looking. Nothing was changed.")
        if plan.in_the_way and not road_reason:
            raise LessonClash([clash for found in plan.in_the_way for clash in found.clashes])
        words = outside_words(new, studio)
        if words and not road_reason:
            raise OutsideRadius((), f"{words} Say why you go there all the same.")
        new.road_overruled_reason = road_reason if words else ""
        new.full_clean()
        new.save()
        _go_there(plan, new, road_reason)
        move = HouseMove.objects.create(
            family=family, from_place=old, to_place=new, from_date=from_date, written_at=now
        )
        family.other_homes.add(new)
        event_record(
            kind="family_moves_house",
            subject=family.name,
            by=by,
            now=now,
            family=family.pk,
            from_date=from_date.isoformat(),
            lessons=len(plan.lessons),
            series=len(plan.series),
            road_reason=road_reason,
        )
        if from_date <= local_date(now, studio.zone):
            _live_there(move, now)
    return move


def house_move_take_back(*, move: HouseMove, by: User, now: datetime) -> int:
    """Undo a move whose day has not come; return how many lessons go to the old home again.

    Roads that are too tight on the way back were there before the move, and are not asked about.

    :raises MoveDone: if the day has come
    """
    studio = Studio.current()
    with calendar_held():
        move = HouseMove.objects.select_for_update(of=("self",)).get(pk=move.pk)
        if move.done_at is not None:
            raise MoveDone("They live there already. Write down another move instead.")
        plan = house_plan(
            old=move.to_place, new=move.from_place, from_date=move.from_date, studio=studio
        )
        tight = {found.occurrence.when.start for found in plan.in_the_way}
        for lesson in plan.lessons:
            lesson.place = move.from_place
            if lesson.starts_at not in tight:
                lesson.road_overruled_reason = ""
            lesson_changed(lesson)
        Lesson.objects.bulk_update(plan.lessons, _MOVED_FIELDS, batch_size=50)
        Series.objects.filter(place=move.to_place).update(place=move.from_place)
        move.family.other_homes.remove(move.to_place)
        move.delete()
        event_record(
            kind="move_taken_back",
            subject=move.family.name,
            by=by,
            now=now,
            family=move.family_id,
            lessons=len(plan.lessons),
        )
    return len(plan.lessons)


def house_moves_due(*, now: datetime) -> int:
    """Let every move whose day has come take place; return how many. A second call does nothing."""
    studio = Studio.current()
    today = local_date(now, studio.zone)
    due = HouseMove.objects.filter(done_at=None, from_date__lte=today)
    if not due.exists():
        return 0
    count = 0
    with calendar_held():
        for move in due.select_related("from_place", "to_place").order_by("pk"):
            # Whatever was booked at the old home in the meantime goes along.
            plan = house_plan(
                old=move.from_place, new=move.to_place, from_date=move.from_date, studio=studio
            )
            _go_there(plan, move.to_place, MOVED_REASON)
            _live_there(move, now)
            count += 1
    return count


def _live_there(move: HouseMove, now: datetime) -> None:
    Family.objects.filter(pk=move.family_id).update(home=move.to_place)
    move.family.other_homes.remove(move.to_place)
    StudentWishes.objects.filter(student__family=move.family_id, place=move.from_place).update(
        place=move.to_place
    )
    move.done_at = now
    move.save(update_fields=["done_at"])


def _go_there(plan: HousePlan, new: Place, road_reason: str) -> None:
    tight = {found.occurrence.when.start for found in plan.in_the_way}
    for lesson in plan.lessons:
        lesson.place = new
        lesson.road_overruled_reason = road_reason if lesson.starts_at in tight else ""
        lesson_changed(lesson)
    Lesson.objects.bulk_update(plan.lessons, _MOVED_FIELDS, batch_size=50)
    for series in plan.series:
        _series_there(series, new, plan)


def _series_there(series: Series, new: Place, plan: HousePlan) -> None:
    """Split the series at the day, or take it along whole if nothing of it comes before."""
    moving = {lesson.pk for lesson in plan.lessons if lesson.series_id == series.pk}
    first = min(lesson.starts_at for lesson in plan.lessons if lesson.series_id == series.pk)
    before = series.lessons.filter(starts_at__lt=first).exclude(pk__in=moving)
    after = _first_date(series, plan.from_date)
    if after is None or not before.exists():
        Series.objects.filter(pk=series.pk).update(place=new)
        return
    going_on = Series.objects.get(pk=series.pk)
    going_on.pk, going_on._state.adding = None, True
    going_on.split_from, going_on.place, going_on.first_date = series, new, after
    going_on.full_clean()
    going_on.save()
    going_on.students.set(series.students.all())
    series.lessons.filter(starts_at__gte=first).update(series=going_on)
    Series.objects.filter(pk=series.pk).update(stopped_from_date=plan.from_date)


def _first_date(series: Series, day: date) -> date | None:
    """The first date of the rhythm on or after a day; None when there is none."""
    step = timedelta(weeks=series.every_weeks)
    first = series.first_date
    if first < day:
        first += step * -(-(day - first).days // step.days)
    return first if first <= series.last_date else None


def other_home_add(*, family: Family, place: Place, by: User, now: datetime) -> Place:
    """Write down a second home of the family's children."""
    with calendar_held():
        place.full_clean()
        place.save()
        family.other_homes.add(place)
        event_record(kind="other_home_added", subject=family.name, by=by, now=now, family=family.pk)
    return place


class HomeInUse(Exception):
    """Lessons are still planned at the place."""


def other_home_remove(*, family: Family, place: Place, by: User, now: datetime) -> None:
    """Take a second home off the list; the place itself stays for what was given there.

    :raises HomeInUse: while lessons of the family are planned there, or it is about to move in
    """
    with calendar_held():
        planned = Lesson.objects.filter(
            place=place, status="planned", takers__student__family=family, ends_at__gt=now
        )
        if planned.exists():
            raise HomeInUse(
                "Lessons are planned at this home. Move them or call them off first, then take it "
                "off the list."
            )
        if HouseMove.objects.filter(family=family, to_place=place, done_at=None).exists():
            raise HomeInUse("The family is about to move there. It stays on the list until then.")
        family.other_homes.remove(place)
        event_record(
            kind="other_home_removed", subject=family.name, by=by, now=now, family=family.pk
        )
