"""From a family's lessons in a month to what an invoice for it should say."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta

from django.db.models import Q

from billing.charging.charges import Charges, LessonKey, charges
from billing.charging.credits import Billed, Credits, credits
from billing.localised import currency_of
from billing.models import BilledLesson, BilledVisit, BillingSettings, Invoice, InvoiceStatus, Rate
from lessons.facts import LessonFact
from lessons.models import Lesson
from lessons.selectors import facts_of_lessons, lesson_facts
from studio.local_time import local_date
from studio.models import Family, Studio

# Nothing is taken back from an invoice older than this by itself; a credit note still can.
CREDITED_BACK = timedelta(days=366)


def month_of(day: date) -> tuple[date, date]:
    """Return the first and the last day of this day's month."""
    return day.replace(day=1), day.replace(day=monthrange(day.year, day.month)[1])


def reckon(
    *,
    family: Family,
    month: date,
    settings: BillingSettings,
    studio: Studio,
    today: date,
    without: Invoice | None = None,
) -> Charges:
    """Return what the month's lessons cost and are not billed yet, and what is to be taken back.

    What ``without``, a draft, bills counts as not billed: it is the one being written anew.
    """
    first, last = month_of(month)
    facts = lesson_facts(family=family, first_date=first, last_date=last)
    lesson_claims = BilledLesson.objects.filter(lesson_id__in={fact.lesson_id for fact in facts})
    visit_claims = BilledVisit.objects.filter(family=family, on_date__range=(first, last))
    if without is not None:
        lesson_claims = lesson_claims.exclude(line__invoice=without)
        visit_claims = visit_claims.exclude(line__invoice=without)
    found = charges(
        facts,
        rates=[rate.dated for rate in Rate.objects.for_family(family.pk)],
        policy=settings.policy,
        currency=currency_of(studio.currency),
        billed_lessons=set(lesson_claims.values_list("lesson_id", "student_id")),
        billed_visits=set(visit_claims.values_list("on_date", "place_id")),
        paid_lessons=_paid(facts, without),
    )
    taken = _credits(family, found, studio=studio, today=today, without=without)
    return replace(found, credits=taken.lines, waiting_credits=taken.waiting)


def _not_taken_back(line: str, without: Invoice | None) -> Q:
    """Lines that no credit takes back, apart from those of the draft being written anew."""
    free = Q(**{f"{line}credited_by__isnull": True})
    if without is not None:
        free |= Q(**{f"{line}credited_by__invoice": without})
    return free


def _paid(facts: Sequence[LessonFact], without: Invoice | None) -> set[LessonKey]:
    """Return which of the lessons that are made up here are on an invoice and not taken back."""
    made_up = {fact.makes_up for fact in facts if fact.makes_up is not None}
    if not made_up:
        return set()
    claims = BilledLesson.objects.filter(lesson_id__in=made_up, line__net__gt=0)
    if without is not None:
        claims = claims.exclude(line__invoice=without)
    claims = claims.filter(_not_taken_back("line__", without))
    return set(claims.values_list("lesson_id", "student_id"))


def _credits(
    family: Family, found: Charges, *, studio: Studio, today: date, without: Invoice | None
) -> Credits:
    """Look at what issued invoices in this currency ask for and did not happen after all."""
    issued = Q(
        line__invoice__family=family,
        line__invoice__status=InvoiceStatus.ISSUED,
        line__invoice__currency=studio.currency,
        line__invoice__issue_date__gte=today - CREDITED_BACK,
        line__net__gt=0,
    ) & _not_taken_back("line__", without)
    off = (
        Q(lesson__status="called_off")
        | Q(lesson__overrulings__counts_as="excused")
        | ~Q(lesson__takers__away_outcome="")
    )
    claims = BilledLesson.objects.filter(
        pk__in=BilledLesson.objects.filter(issued & off).values("pk")
    )
    missed = list(claims.select_related("line__invoice").order_by("pk"))
    days = _days_off(family, today, studio)
    visits = list(
        BilledVisit.objects.filter(issued, family=family, on_date__in=days)
        .select_related("line__invoice")
        .order_by("pk")
    )
    if not missed and not visits:
        return Credits((), ())
    billed = [_billed_lesson(claim) for claim in missed] + [_billed_visit(row) for row in visits]
    return credits(billed, _facts_for(family, missed, visits), today=today, most=found.net)


def _days_off(family: Family, today: date, studio: Studio) -> set[date]:
    """Return the days on which a lesson of the family was called off: a drive may be too much."""
    off = Lesson.objects.filter(status="called_off", takers__student__family=family)
    lessons = off.on_days(today - CREDITED_BACK, today + CREDITED_BACK, studio.zone)
    return {
        local_date(starts_at, studio.zone)
        for starts_at in lessons.values_list("starts_at", flat=True)
    }


def _facts_for(
    family: Family, missed: Iterable[BilledLesson], visits: Sequence[BilledVisit]
) -> list[LessonFact]:
    facts = list(facts_of_lessons(family=family, lesson_ids={one.lesson_id for one in missed}))
    days = [visit.on_date for visit in visits]
    if days:
        known = {(fact.lesson_id, fact.student_id) for fact in facts}
        facts += [
            fact
            for fact in lesson_facts(family=family, first_date=min(days), last_date=max(days))
            if (fact.lesson_id, fact.student_id) not in known
        ]
    return facts


def _billed_lesson(claim: BilledLesson) -> Billed:
    line = claim.line
    return Billed(
        line_id=line.pk,
        number=line.invoice.number,
        on=line.on_date or line.invoice.period_start,
        place_id=line.place_id or 0,
        words=line.words,
        net=line.net,
        lesson=(claim.lesson_id, claim.student_id),
        student_name=line.student_name,
    )


def _billed_visit(row: BilledVisit) -> Billed:
    line = row.line
    return Billed(
        line_id=line.pk,
        number=line.invoice.number,
        on=row.on_date,
        place_id=row.place_id,
        words=line.words,
        net=line.net,
    )
