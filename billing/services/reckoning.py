"""From a family's lessons in a month to what an invoice for it should say."""

from __future__ import annotations

from calendar import monthrange
from datetime import date

from billing.charging.charges import Charges, charges
from billing.localised import currency_of
from billing.models import BilledLesson, BilledVisit, BillingSettings, Invoice, Rate
from lessons.selectors import lesson_facts
from studio.models import Family, Studio


def month_of(day: date) -> tuple[date, date]:
    """Return the first and the last day of this day's month."""
    return day.replace(day=1), day.replace(day=monthrange(day.year, day.month)[1])


def reckon(
    *,
    family: Family,
    month: date,
    settings: BillingSettings,
    studio: Studio,
    without: Invoice | None = None,
) -> Charges:
    """Return what the month's lessons cost and are not billed yet.

    What ``without``, a draft, bills counts as not billed: it is the one being written anew.
    """
    first, last = month_of(month)
    facts = lesson_facts(family=family, first_date=first, last_date=last)
    lesson_claims = BilledLesson.objects.filter(lesson_id__in={fact.lesson_id for fact in facts})
    visit_claims = BilledVisit.objects.filter(family=family, on_date__range=(first, last))
    if without is not None:
        lesson_claims = lesson_claims.exclude(line__invoice=without)
        visit_claims = visit_claims.exclude(line__invoice=without)
    return charges(
        facts,
        rates=[rate.dated for rate in Rate.objects.for_family(family.pk)],
        policy=settings.policy,
        currency=currency_of(studio.currency),
        billed_lessons=set(lesson_claims.values_list("lesson_id", "student_id")),
        billed_visits=set(visit_claims.values_list("on_date", "place_id")),
    )
