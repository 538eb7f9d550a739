"""Money and dates as the studio's country writes them (Babel, CLDR)."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from babel import Locale, UnknownLocaleError
from babel.dates import format_date
from babel.numbers import format_currency, get_currency_precision

from billing.charging.errors import UnknownCurrency
from billing.charging.money import Currency, currency


def currency_of(code: str) -> Currency:
    """Return the studio's currency; a withdrawn one (DEM) counts as CLDR says it did."""
    try:
        return currency(code)
    except UnknownCurrency:
        return Currency(code, get_currency_precision(code))


def known_locale(name: str) -> Locale:
    """Return the locale, or Irish English for a name that CLDR does not have."""
    try:
        return Locale.parse(name)
    except (UnknownLocaleError, ValueError):
        return Locale.parse("en_IE")


def money_text(amount: Decimal, code: str, locale: str) -> str:
    """Return the amount with its currency's sign: ISO 4217's decimals, the locale's habits."""
    unit = currency_of(code)
    where = known_locale(locale)
    pattern = where.currency_formats["standard"].pattern
    decimals = f".{'0' * unit.places}" if unit.places else ""
    written = ";".join(_with_decimals(half, decimals) for half in pattern.split(";"))
    text = format_currency(
        unit.round(amount), unit.code, written, locale=where, currency_digits=False
    )
    return text.replace("\N{HYPHEN-MINUS}", "\N{MINUS SIGN}")


def _with_decimals(pattern: str, decimals: str) -> str:
    return pattern.replace(".00", decimals)


def day_text(day: date, locale: str) -> str:
    """Return the day with its month in letters: ``3 Nov 2026``."""
    return str(format_date(day, "medium", locale=known_locale(locale)))


def month_text(day: date, locale: str) -> str:
    """Return the month: ``November 2026``."""
    return str(format_date(day, "MMMM y", locale=known_locale(locale)))
