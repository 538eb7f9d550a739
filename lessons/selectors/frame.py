"""Terms, closures, public holidays and own times, as pages list them."""

from __future__ import annotations

from datetime import date
from typing import Any

import holidays
from django.db.models import Count, QuerySet

from lessons.models import Closure, PlaceCorrection, Term


def terms_for_list(*, today: date) -> dict[str, Any]:
    """Return terms and closures, what is over apart from what is not."""
    terms = list(Term.objects.annotate(series_count=Count("series")).in_order())
    closures = list(Closure.objects.select_related("school").in_order())
    return {
        "terms": [term for term in terms if term.last_date >= today],
        "closures": [row for row in closures if row.last_date >= today],
        "past_terms": [term for term in terms if term.last_date < today][-6:],
        "past_closures": [row for row in closures if row.last_date < today][-12:],
    }


def corrections_for_list() -> QuerySet[PlaceCorrection]:
    """Return the teacher's own times, by the places' names."""
    rows = PlaceCorrection.objects.select_related("from_place", "to_place")
    return rows.order_by("from_place__name", "to_place__name", "pk")


def regions_of(country: str) -> list[tuple[str, str]]:
    """Return the country's regions that have public holidays of their own: code and name."""
    try:
        known = holidays.country_holidays(country)
    except NotImplementedError:
        return []
    names = known.get_subdivision_aliases()
    pairs = [(code, (names.get(code) or [code])[0]) for code in known.subdivisions]
    return sorted(pairs, key=lambda pair: pair[1])


def holidays_offered(
    *, country: str, first_date: date, last_date: date, region: str = ""
) -> list[tuple[date, str]]:
    """Return the public holidays that are not closed days yet; empty for an unknown country.

    With a region (one of :func:`regions_of`), its own among them. The days are those of the
    ``holidays`` library.
    """
    years = range(first_date.year, last_date.year + 1)
    try:
        known = holidays.country_holidays(country, subdiv=region or None, years=years)
    except NotImplementedError:
        return []
    # A school that is closed does not close the others.
    everywhere = Closure.objects.touching(first_date, last_date).filter(school=None)
    closed = [row.closed_days() for row in everywhere]
    return [
        (day, name)
        for day, name in sorted(known.items())
        if first_date <= day <= last_date and not any(row.covers(day) for row in closed)
    ]
