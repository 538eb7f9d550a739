"""The demo scenario's library, one ladder, and a month of practice at home."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from uuid import NAMESPACE_URL, uuid5

from exercises.models import Assignment, Exercise, Felt
from exercises.rhythm.branches import branches
from exercises.rhythm.errors import Refused
from exercises.rhythm.ladder import ladder
from exercises.rhythm.library import BY_SLUG
from exercises.rhythm.moves import to_code
from exercises.rhythm.record import content_hash
from exercises.services.ladders import Rung, ladder_save
from exercises.services.library import cores_add
from exercises.services.practice import AssignmentDraft, practice_log, week_assign
from exercises.variants import variant_title
from studio.local_time import local_date, monday_of
from studio.models import Role, Student, Studio, User

WEEKS = 4
# Days of the week on which each student sat down, minutes, and what each week added to the tempo.
HABITS = {
    "Síofra Quill": ((0, 1, 3, 5), 12, 5),
    "Tadhg Quill": ((1, 4), 8, 3),
    "Staś Żurawski": ((0, 2, 4), 15, 4),
    "Éanna Mac Giolla Easpaig": ((0, 3, 6), 20, 6),
    "Dervla Roche": ((2, 5), 25, 4),
}
SHELF = {
    "Tadhg Quill": ("rock-first-beat",),
    "Staś Żurawski": ("shuffle-first",),
    "Éanna Mac Giolla Easpaig": ("funk-ghosts", "left-hand-leads"),
    "Dervla Roche": ("samba-two-four",),
}
LEAST_CLIMB = 1.2


def demo_build(*, now: datetime) -> None:
    """Fill the library, keep a ladder, set four weeks of work and write down what was practised."""
    studio, teacher = Studio.current(), User.objects.get(role=Role.TEACHER)
    today = local_date(now, studio.zone)
    cores_add(by=teacher, now=now)
    rungs = _ladder_kept(teacher, now)
    monday = monday_of(today)
    for name in HABITS:
        student = Student.objects.get(name=name)
        chosen = rungs if name == "Síofra Quill" else _from_the_shelf(SHELF[name])
        for weeks_ago in reversed(range(WEEKS)):
            _week(student, chosen, monday - timedelta(weeks=weeks_ago), teacher, now, today)


def _ladder_kept(teacher: User, now: datetime) -> list[Exercise]:
    """Keep the first ladder of three steps or more from the first beat to something harder."""
    entry = BY_SLUG["rock-first-beat"]
    core = Exercise.objects.get(content_hash=content_hash(entry.figure))
    found = branches(core.figure, core.played_on, bpm=core.bpm, depth=2)
    start = float(core.grade)
    for variant in found.variants:
        if variant.points < start + LEAST_CLIMB or len(variant.moves) < 2:
            continue
        try:
            climbed = ladder(
                core.figure, variant.figure, core.played_on, bpm=core.bpm, way=variant.moves
            )
        except Refused:
            continue
        if len(climbed.rungs) < 3:
            continue
        steps = [
            Rung(
                rung.figure.titled(variant_title(core.title, rung.words)),
                tuple(to_code(move) for move in rung.moves),
                rung.words[-1],
            )
            for rung in climbed.rungs[1:]
        ]
        kept = ladder_save(core=core, rungs=steps, title="From the first beat", by=teacher, now=now)
        return [
            step.exercise for step in kept.steps.select_related("exercise").order_by("position")
        ]
    raise LookupError("no ladder climbs from the first beat: the demo has nothing to show")


def _from_the_shelf(slugs: tuple[str, ...]) -> list[Exercise]:
    hashes = [content_hash(BY_SLUG[slug].figure) for slug in slugs]
    return [Exercise.objects.get(content_hash=known) for known in hashes]


def _week(
    student: Student,
    chosen: list[Exercise],
    monday: date,
    teacher: User,
    now: datetime,
    today: date,
) -> None:
    days, minutes, gain = HABITS[student.name]
    weeks_in = WEEKS - 1 - (monday_of(today) - monday).days // 7
    # Three at a time: each week the easiest is left behind and the next step joins.
    chosen = chosen[weeks_in : weeks_in + 3] if len(chosen) > WEEKS else chosen
    drafts = [
        AssignmentDraft(
            exercise,
            start_bpm=max(40, exercise.bpm - 24 + gain * weeks_in),
            goal_bpm=max(48, exercise.bpm - 24 + gain * (weeks_in + 2)),
            minutes_per_day=max(5, minutes // len(chosen)),
            note="Slow first. The left hand stays low." if place == 0 else "",
        )
        for place, exercise in enumerate(chosen)
    ]
    set_at = min(now, datetime.combine(monday, time(8), tzinfo=now.tzinfo))
    assigned = week_assign(student=student, monday=monday, drafts=drafts, by=teacher, now=set_at)
    for place, assignment in enumerate(assigned):
        # The last piece on the list is the one that gets left out when the day is short.
        for nth, offset in enumerate(days[: max(2, len(days) - place)]):
            _practised(assignment, monday + timedelta(days=offset), nth, minutes, gain, now, today)


def _practised(
    assignment: Assignment,
    day: date,
    nth: int,
    minutes: int,
    gain: int,
    now: datetime,
    today: date,
) -> None:
    if day > today:
        return
    practice_log(
        assignment=assignment,
        practised_date=day,
        minutes=max(4, minutes // 2 + 2 * nth),
        clean_bpm=assignment.start_bpm + round(gain * nth / 2) - (1 if nth == 1 else 0),
        felt=(Felt.HARD, Felt.GOOD, Felt.GOOD, Felt.EASY)[nth % 4],
        token=uuid5(NAMESPACE_URL, f"demo:{assignment.pk}:{day}"),
        today=day,
        now=min(now, datetime.combine(day, time(18), tzinfo=now.tzinfo)),
    )
