"""What can be set for a student, with a proposal for each."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.safestring import SafeString

from exercises.engraving_cache import wheel_svg
from exercises.models import Assignment, Exercise, KitChoice, LadderStep
from exercises.proposals import TempoProposal, tempos_proposed
from exercises.rhythm.errors import RhythmError
from exercises.rhythm.grade import grade
from exercises.rhythm.kit import FIVE_PIECE, KITS
from exercises.rhythm.playability import check
from exercises.rhythm.top_tempo import top_tempo
from exercises.selectors.practice import Work, last_clean_bpm, student_week
from studio.models import Student, User

USUAL_MINUTES = 8
MOST_FROM_LIBRARY = 8


@dataclass(frozen=True, slots=True)
class Choice:
    """One exercise that may be set: where it comes from, and what is proposed."""

    exercise: Exercise
    wheel: SafeString
    hint: str
    proposal: TempoProposal
    minutes_per_day: int
    is_proposed: bool
    warning: str

    @property
    def initial(self) -> dict[str, object]:
        """The proposal as a form's first values."""
        return {
            "pick": self.is_proposed,
            "start_bpm": self.proposal.start_bpm,
            "goal_bpm": self.proposal.goal_bpm,
            "minutes_per_day": self.minutes_per_day,
        }


@dataclass(frozen=True, slots=True)
class Choices:
    """All that the assign page offers, each exercise once."""

    carried_on: list[Choice]
    next_steps: list[Choice]
    asked_for: list[Choice]
    shelf: list[Choice]


def choices(
    *,
    student: Student,
    monday: date,
    today: date,
    user: User,
    q: str = "",
    pks: Iterable[int] = (),
    besides: Iterable[int] = (),
) -> Choices:
    """Return last week's work, the next steps of its ladders, what was asked for, and the shelf.

    :param pks: exercises that the teacher came with or has ticked already
    :param besides: exercises that stand elsewhere on the page and are not to be offered again
    """
    week = student_week(student=student, day=monday, today=today)
    taken = {work.assignment.exercise_id for work in week.works} | set(besides)
    before = _latest_before(student, monday, today)
    clean = last_clean_bpm(student=student)
    shelf_rows = Exercise.objects.visible_to(user).current().for_cards()

    def fresh(rows: Iterable[tuple[Exercise, str, int, bool]]) -> list[Choice]:
        found = []
        for exercise, hint, minutes, is_proposed in rows:
            if exercise.pk not in taken:
                taken.add(exercise.pk)
                found.append(
                    _choice(
                        exercise,
                        student,
                        clean,
                        hint=hint,
                        minutes=minutes,
                        is_proposed=is_proposed,
                    )
                )
        return found

    wanted = shelf_rows.filter(pk__in=list(pks))
    shelf = (shelf_rows.titled_like(q) if q else shelf_rows).newest_first()
    asked_for = fresh((row, "", USUAL_MINUTES, True) for row in wanted.order_by("grade", "pk"))
    return Choices(
        asked_for=asked_for,
        carried_on=fresh(_carried_on(work, has_others=bool(asked_for)) for work in before),
        next_steps=fresh(_next_steps(before)),
        shelf=fresh(
            (row, "", USUAL_MINUTES, False)
            for row in shelf.exclude(pk__in=taken)[:MOST_FROM_LIBRARY]
        ),
    )


def _latest_before(student: Student, monday: date, today: date) -> tuple[Work, ...]:
    """The work of the last week before this one that had any, within a term's length."""
    earlier = student.assignments.standing().filter(
        week_date__lt=monday, week_date__gte=monday - timedelta(weeks=12)
    )
    latest = earlier.order_by("-week_date").values_list("week_date", flat=True).first()
    if latest is None:
        return ()
    return student_week(student=student, day=latest, today=today).works


def _carried_on(work: Work, *, has_others: bool) -> tuple[Exercise, str, int, bool]:
    row = work.assignment
    if work.has_reached_goal:
        hint = f"Last time: the goal of {row.goal_bpm} was clean."
    elif work.clean_bpm:
        hint = f"Last time: clean at {work.clean_bpm}, goal {row.goal_bpm}."
    elif work.minutes:
        hint = f"Last time: {work.minutes} minutes, no clean tempo written down."
    else:
        hint = "Last time: nothing written down."
    return row.exercise, hint, row.minutes_per_day, not work.has_reached_goal and not has_others


def _next_steps(before: Iterable[Work]) -> list[tuple[Exercise, str, int, bool]]:
    """The rung above the highest one that the student has on each saved ladder."""
    rows = {work.assignment.exercise_id: work.assignment for work in before}
    steps = LadderStep.objects.filter(
        ladder__in=LadderStep.objects.filter(exercise__in=rows).values("ladder"),
        ladder__is_archived=False,
    )
    ladders: dict[int, list[LadderStep]] = {}
    for step in steps.select_related("exercise", "ladder").order_by("ladder_id", "position"):
        ladders.setdefault(step.ladder_id, []).append(step)
    found = []
    for rungs in ladders.values():
        highest = max(n for n, step in enumerate(rungs) if step.exercise_id in rows)
        if highest + 1 < len(rungs):
            step = rungs[highest + 1]
            hint = f"Next on the ladder “{step.ladder}”: {step.change}"
            minutes = rows[rungs[highest].exercise_id].minutes_per_day
            found.append((step.exercise, hint, minutes, False))
    return found


def _choice(
    exercise: Exercise,
    student: Student,
    clean: dict[int, int],
    *,
    hint: str,
    minutes: int,
    is_proposed: bool,
) -> Choice:
    figure = exercise.figure
    kit = KITS.get(student.kit, FIVE_PIECE)
    warning = ""
    try:
        check(figure, kit)
    except RhythmError as refused:
        # Pad work needs no kit: a pad, a cushion or the snare will do.
        if exercise.kit != KitChoice.PAD:
            warning = f"Not on the {kit.label.lower()} at home: {refused}."
        kit = exercise.played_on
    proposal = tempos_proposed(
        written_bpm=exercise.bpm,
        grade=grade(figure, exercise.bpm, kit).total,
        top_bpm=top_tempo(figure, kit).bpm,
        clean_bpm=clean.get(exercise.pk),
    )
    wheel = wheel_svg(figure, size=72)
    return Choice(exercise, wheel, hint, proposal, minutes, is_proposed, warning)


def set_already(*, student: Student, monday: date) -> list[Assignment]:
    """Return what is set for the week so far."""
    rows = student.assignments.standing().in_week_of(monday)
    return list(rows.in_order().select_related("exercise"))
