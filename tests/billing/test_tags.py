"""Billing's parts of pages that mix apps, and money as countries write it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.db import connection
from django.template import Context, Template
from django.test import RequestFactory

from billing.localised import money_text, month_text
from billing.models import Rate
from billing.triggers import GUARD_NAMES, freeze, thaw
from studio.models import Studio
from tests.billing.conftest import Desk
from tests.factories.billing import RateFactory


def rendered(source: str, user: Any, **given: Any) -> str:
    request = RequestFactory().get("/")
    request.user = user
    context = Context({"request": request, "studio": Studio.current(), "user": user, **given})
    return " ".join(Template("{% load billing_tags %}" + source).render(context).split())


class TestFamilyBalance:
    def test_says_what_is_owed_or_too_much(self, desk: Desk) -> None:
        source = "{% family_balance family %}"
        assert "Nothing is owed" in rendered(source, desk.teacher, family=desk.family)

        desk.issue()
        assert "€224.00" in rendered(source, desk.teacher, family=desk.family)

        desk.pay("230.00")
        assert "Credit of" in rendered(source, desk.teacher, family=desk.family)


class TestFamilyMoney:
    def test_lists_invoices_with_their_pdf_and_state(self, desk: Desk) -> None:
        issued = desk.issue()
        desk.pay("24.00")

        text = rendered("{% family_money family %}", desk.teacher, family=desk.family)

        assert "You owe <strong" in text
        assert "€200.00" in text
        assert f"/money/invoices/{issued.pk}/pdf/" in text
        assert "part paid" in text


class TestLessonPrice:
    def test_is_what_will_be_billed(self, desk: Desk) -> None:
        Rate.objects.filter(minutes=30).update(from_date=date(2020, 1, 1))

        text = rendered("{% lesson_price place 30 %}", desk.teacher, place=desk.family.home)

        assert "€25.00" in text
        assert "€6.00" in text

    def test_knows_the_family_s_own_price(self, desk: Desk) -> None:
        RateFactory(family=desk.family, amount=Decimal(19), from_date=date(2020, 1, 1))

        text = rendered("{% lesson_price place 30 %}", desk.teacher, place=desk.family.home)

        assert "€19.00" in text

    def test_says_when_there_is_no_rate(self, desk: Desk) -> None:
        text = rendered("{% lesson_price place 50 %}", desk.teacher, place=desk.family.home)

        assert "No rate for 50 minutes" in text


class TestMoneyText:
    @pytest.mark.parametrize(
        ("amount", "code", "locale", "written"),
        # CLDR's patterns through Babel; decimals by ISO 4217.
        [
            ("1234.5", "EUR", "en_IE", "€1,234.50"),
            ("-1234.5", "EUR", "en_IE", "−€1,234.50"),
            ("1234.5", "EUR", "pl_PL", "1\xa0234,50\xa0€"),
            ("1234", "JPY", "ja_JP", "￥1,234"),
            ("1.5", "KWD", "en_IE", "KWD1.500"),
            ("1.5", "IQD", "en_IE", "IQD1.500"),
            ("1", "EUR", "xx_YY", "€1.00"),
            ("1", "DEM", "en_IE", "DEM1.00"),
        ],
    )
    def test_as_the_country_writes_it(
        self, amount: str, code: str, locale: str, written: str
    ) -> None:
        assert money_text(Decimal(amount), code, locale) == written

    @pytest.mark.parametrize(("locale", "written"), [("en_IE", "November"), ("de_DE", "November")])
    def test_months_have_names(self, locale: str, written: str) -> None:
        assert month_text(date(2026, 11, 1), locale) == f"{written} 2026"


class TestGuards:
    def test_go_and_come_back_for_a_migration(self, db: None) -> None:
        editor: Any = SimpleNamespace(connection=connection)

        thaw(None, editor)  # type: ignore[arg-type]
        gone = _guards()
        freeze(None, editor)  # type: ignore[arg-type]

        assert gone.isdisjoint(GUARD_NAMES)
        assert _guards() >= set(GUARD_NAMES)


def _guards() -> set[str]:
    query = (
        "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
        if connection.vendor == "postgresql"
        else "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        return {name for (name,) in cursor.fetchall()}
