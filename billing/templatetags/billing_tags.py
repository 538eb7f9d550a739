"""Money in templates, and billing's parts of pages that mix apps."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django import template
from django.template import Context
from django.utils import timezone

from billing import selectors
from billing.balances import Balance, balances
from billing.charging.numbering import grouped
from billing.localised import day_text, money_text, month_text
from lessons.selectors import road_to
from studio.local_time import local_date
from studio.models import Family, Place, Studio

register = template.Library()


def _studio(context: Context) -> Studio:
    found = context.get("studio")
    return found if isinstance(found, Studio) else Studio.current()


@register.simple_tag(takes_context=True)
def money(context: Context, amount: Decimal | None, code: str = "") -> str:
    """Write an amount as the studio's country writes money: ``{% money row.open %}``."""
    if amount is None:
        return ""
    studio = _studio(context)
    return money_text(Decimal(amount), code or studio.currency, studio.locale)


@register.simple_tag(takes_context=True)
def day(context: Context, value: date | None) -> str:
    """Write a day as the studio's country writes it."""
    return day_text(value, _studio(context).locale) if value else ""


@register.simple_tag(takes_context=True)
def month(context: Context, value: date) -> str:
    """Write a month: November 2026."""
    return month_text(value, _studio(context).locale)


@register.filter
def in_fours(text: str) -> str:
    """Write an account number or a reference in groups of four."""
    return grouped(text)


@register.inclusion_tag("billing/_family_balance.html", takes_context=True)
def family_balance(context: Context, family: Family) -> dict[str, Any]:
    """Show the teacher what a family owes, with the way to its account."""
    studio = _studio(context)
    found = balances(studio.currency, [family.pk]).get(family.pk, Balance())
    return {"family": family, "balance": found, "studio": studio}


@register.inclusion_tag("billing/_family_money.html", takes_context=True)
def family_money(context: Context, family: Family) -> dict[str, Any]:
    """Show a family what it owes, and its invoices."""
    studio = _studio(context)
    today = local_date(timezone.now(), studio.zone)
    shown = selectors.family_account(
        family=family, studio=studio, user=context["request"].user, today=today
    )
    return {"family": family, "shown": shown, "studio": studio}


@register.inclusion_tag("billing/_lesson_price.html", takes_context=True)
def lesson_price(
    context: Context, place: Place, minutes: int, family: Family | None = None
) -> dict[str, Any]:
    """Show what a lesson of so many minutes at a place costs today, before it is booked."""
    studio = _studio(context)
    band = road_to(place).band
    price = selectors.lesson_price(
        place=place,
        minutes=int(minutes),
        on=local_date(timezone.now(), studio.zone),
        studio=studio,
        surcharge=band.surcharge,
        band_label=band.label,
        family=family or place.families.first(),
    )
    return {"price": price, "minutes": minutes, "studio": studio}


@register.inclusion_tag("billing/_setup_links.html")
def money_setup() -> dict[str, Any]:
    """Link to what has to be set up about money, for the studio's set-up page."""
    return {}
