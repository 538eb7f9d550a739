"""Building a term's timetable in a process of its own, and writing it down as a draft."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date, time, timedelta
from typing import Any

from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from lessons.models import DraftLesson, PlanChoice, Term, TimetableDraft
from lessons.planning.term.build import BY_CLOCK, NO_SOLVER, build_term
from lessons.planning.term.problem import (
    PLAN_CHANGES,
    Budget,
    Placed,
    TermAnswer,
    TermPlan,
    TermProgress,
    TermRefused,
    Unplaced,
)
from lessons.selectors.term_problem import TermCase, term_case
from lessons.selectors.term_rows import WantedLesson, term_rows
from lessons.selectors.term_seals import term_seals
from studio.long_work import Progress, WorkRefused, WorkResult
from studio.models import Studio

# One number for all: the same term gives the same timetable, today and tomorrow.
SEED = 0
MOST_KEPT = 8
CHOICES = dict(zip((name for name, _ in PLAN_CHANGES), PlanChoice, strict=True))


def timetable_build(parameters: dict[str, Any], progress: Progress) -> WorkResult:
    """Build what was asked for and write it down as a draft.

    :raises WorkRefused: when the term is gone, or nobody is left to place
    """
    term = Term.objects.filter(pk=parameters["term"]).first()
    if term is None:
        raise WorkRefused("The term is not there any more. Nothing was built.")
    from_date = date.fromisoformat(parameters["from_date"])
    studio = Studio.current()
    progress.tell(0, 0, "Reading everybody’s times")
    # The seals first: what changes while the rows are read is then noticed later.
    seals = term_seals(term=term, from_date=from_date, studio=studio)
    case = term_case(rows=term_rows(term=term, from_date=from_date), studio=studio)
    if not case.lessons:
        raise WorkRefused("Nobody has told any times. Nothing was built.")

    def tell(told: TermProgress) -> None:
        progress.tell(told.done, told.total, told.words)

    try:
        # Whoever asks for a stop is heard at the next word of progress, which then raises.
        answer = build_term(
            case.problem, tell=tell, is_stopped=lambda: False, budget=Budget(), seed=SEED
        )
    except TermRefused as no:
        raise WorkRefused(str(no)) from no
    draft = draft_keep(case=case, answer=answer, seals=seals, by=parameters["by"])
    return WorkResult(
        words=_words(case, answer),
        address=reverse("lessons:timetable_draft", args=[draft.pk]),
        numbers=draft.numbers,
    )


def draft_keep(
    *, case: TermCase, answer: TermAnswer, seals: Mapping[str, str], by: int | None
) -> TimetableDraft:
    """Write an answer down as a draft; the oldest ones of the term that came to nothing go."""
    with transaction.atomic():
        draft = TimetableDraft.objects.create(
            term=case.rows.term,
            from_date=case.rows.from_date,
            made_at=timezone.now(),
            made_by_id=by,
            seals=dict(seals),
            seed=answer.seed,
            is_by_solver=answer.has_solver,
            is_stopped_by_clock=answer.stopped_by_clock,
            numbers={CHOICES[plan.name]: _figures(case, plan, answer) for plan in answer.plans},
            unplaced=[_unplaced(case, each) for each in answer.unplaced],
        )
        DraftLesson.objects.bulk_create(
            _row(draft, plan, placed, case)
            for plan in answer.plans
            for placed in plan.placed
            if placed.key in case.wanted
        )
        of_term = TimetableDraft.objects.filter(term=case.rows.term).newest_first()
        old = list(of_term.values_list("pk", flat=True)[MOST_KEPT:])
        TimetableDraft.objects.filter(pk__in=old, chosen="").delete()
    return draft


def _figures(case: TermCase, plan: TermPlan, answer: TermAnswer) -> dict[str, Any]:
    return {
        "placed": sum(placed.key in case.wanted for placed in plan.placed),
        "wanted": case.lessons,
        "is_proven": answer.is_placement_proven,
        "driving": plan.driving,
        "idle": plan.idle,
        "missed": len(plan.missed),
        "changed": len(plan.changed),
        # A share of a thousandth is a whole per cent to a reader who must not be promised more.
        "gap": None if plan.gap is None else math.ceil(plan.gap * 100 - 1e-6),
        # The page has its own words for these two.
        "words": [words for words in answer.words if words not in (NO_SOLVER, BY_CLOCK)],
    }


def _row(draft: TimetableDraft, plan: TermPlan, placed: Placed, case: TermCase) -> DraftLesson:
    wanted = case.wanted[placed.key]
    return DraftLesson(
        draft=draft,
        plan=CHOICES[plan.name],
        student=wanted.student,
        series=wanted.present,
        is_running=wanted.is_running,
        place=wanted.place,
        weekday=placed.weekday,
        at=time(placed.start // 60, placed.start % 60),
        minutes=wanted.minutes,
        every_weeks=wanted.every_weeks,
        first_date=_first_date(wanted, placed, case),
        is_preference_missed=placed.key in plan.missed,
    )


def _first_date(wanted: WantedLesson, placed: Placed, case: TermCase) -> date:
    day = case.week_of + timedelta(weeks=placed.week, days=placed.weekday)
    while day < case.rows.from_date:
        day += timedelta(weeks=wanted.every_weeks)
    return day


def _unplaced(case: TermCase, unplaced: Unplaced) -> dict[str, Any]:
    wanted = case.wanted.get(unplaced.key)
    helps = [each.words for each in unplaced.relaxations]
    return {
        "student": wanted.student.pk if wanted else None,
        "name": wanted.student.name if wanted else "",
        "why": unplaced.why,
        "with": [_name(case, key) for key in unplaced.collides_with],
        "relaxation": helps[0] if helps else "",
        "others": helps[1:],
        "series": wanted.present.pk if wanted and wanted.present and wanted.is_running else None,
    }


def _name(case: TermCase, key: str) -> str:
    names = {job.key: job.name for job in case.problem.jobs}
    return names.get(key, key)


def _words(case: TermCase, answer: TermAnswer) -> str:
    placed = case.lessons - len(answer.unplaced)
    proven = " (proven)" if answer.is_placement_proven else ""
    count = len(answer.plans)
    return (
        f"Placed {placed} of {case.lessons}{proven}; "
        f"{count} timetable{'' if count == 1 else 's'} to choose from."
    )
