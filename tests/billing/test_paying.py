"""Payments and balances."""

from __future__ import annotations

import uuid
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from billing import services
from billing.balances import balances, free_credit, open_items, sources
from billing.charging.errors import BadAllocation, BadAmount
from billing.models import Allocation, Invoice, Payment
from billing.selectors import family_account
from studio.models import Studio
from tests.billing.conftest import NOW, TODAY, Desk
from tests.factories.billing import InvoiceFactory, InvoiceLineFactory


def issued(desk: Desk, month: int, amount: str) -> Invoice:
    draft = InvoiceFactory(family=desk.family, period_start=date(2026, month, 1))
    InvoiceLineFactory(invoice=draft, net=Decimal(amount))
    return desk.issue(draft, today=date(2026, month, 28))


def open_amounts(desk: Desk) -> list[Decimal]:
    return [item.open for item in sorted(open_items(desk.family.pk, "EUR"), key=lambda i: i.due)]


def owed(desk: Desk) -> Decimal:
    return balances("EUR")[desk.family.pk].owed


class TestPaymentRecord:
    def test_pays_oldest_first_and_keeps_what_is_left(self, desk: Desk) -> None:
        issued(desk, 1, "30.00")
        issued(desk, 2, "30.00")

        desk.pay("45.00")
        assert open_amounts(desk) == [Decimal(15)]

        desk.pay("25.00")
        assert open_amounts(desk) == []
        assert owed(desk) == Decimal(-10)
        assert free_credit(sources(desk.family.pk, "EUR")) == Decimal(10)

    def test_an_invoice_can_be_named(self, desk: Desk) -> None:
        issued(desk, 1, "30.00")
        second = issued(desk, 2, "30.00")

        desk.pay("35.00", first=second)

        assert [item.key for item in open_items(desk.family.pk, "EUR")] != [second.pk]
        assert open_amounts(desk) == [Decimal(25)]

    def test_pressing_twice_records_once(self, desk: Desk) -> None:
        key = uuid.uuid4()

        assert desk.pay("20.00", key=key).pk == desk.pay("20.00", key=key).pk
        assert Payment.objects.count() == 1

    @pytest.mark.parametrize("amount", ["0", "-1", "1.005", "1e9"])
    def test_refuses_what_is_no_payment(self, desk: Desk, amount: str) -> None:
        with pytest.raises(BadAmount):
            desk.pay(amount)
        assert not Payment.objects.exists()

    def test_dinars_keep_their_three_decimals(self, desk: Desk) -> None:
        Studio.objects.update(currency="KWD")

        assert desk.pay("1.005").amount == Decimal("1.005")
        assert balances("KWD")[desk.family.pk].owed == Decimal("-1.005")


class TestByHand:
    def test_pays_what_one_says_and_the_rest_oldest_first(self, desk: Desk) -> None:
        first = issued(desk, 1, "30.00")
        second = issued(desk, 2, "30.00")

        desk.pay("35.00", shares={second.pk: Decimal(10)})

        left = {item.key: item.open for item in open_items(desk.family.pk, "EUR")}
        assert left == {first.pk: Decimal(5), second.pk: Decimal(20)}

    @pytest.mark.parametrize("share", ["31", "40"])
    def test_refuses_more_than_is_open_and_writes_nothing(self, desk: Desk, share: str) -> None:
        first = issued(desk, 1, "30.00")

        with pytest.raises(BadAllocation):
            desk.pay("35.00", shares={first.pk: Decimal(share)})

        assert not Payment.objects.exists()


class TestPaymentReverse:
    def test_undoes_the_payment_and_opens_what_it_paid(self, desk: Desk) -> None:
        issued(desk, 1, "30.00")
        payment = desk.pay("50.00")

        services.payment_reverse(payment=payment, by=desk.teacher, today=TODAY, now=NOW)

        assert open_amounts(desk) == [Decimal(30)]
        assert owed(desk) == Decimal(30)
        assert free_credit(sources(desk.family.pk, "EUR")) == 0

    def test_other_money_steps_in(self, desk: Desk) -> None:
        issued(desk, 1, "30.00")
        slip = desk.pay("30.00")
        desk.pay("20.00")

        services.payment_reverse(payment=slip, by=desk.teacher, today=TODAY, now=NOW)

        assert open_amounts(desk) == [Decimal(10)]

    def test_only_once(self, desk: Desk) -> None:
        payment = desk.pay("50.00")
        back = services.payment_reverse(payment=payment, by=desk.teacher, today=TODAY, now=NOW)

        for taken in (payment, back):
            with pytest.raises(services.AlreadyReversed):
                services.payment_reverse(payment=taken, by=desk.teacher, today=TODAY, now=NOW)
        assert owed(desk) == 0


class TestRefund:
    def test_gives_back_no_more_than_the_credit(self, desk: Desk) -> None:
        issued(desk, 1, "30.00")
        desk.pay("50.00")
        facts = {
            "family": desk.family,
            "paid_date": TODAY,
            "method": "cash",
            "by": desk.teacher,
            "now": NOW,
        }

        with pytest.raises(services.NotThatMuchCredit, match=r"20\.00 EUR"):
            services.payment_refund(amount=Decimal("20.01"), **facts)
        services.payment_refund(amount=Decimal("20.00"), **facts)

        assert owed(desk) == 0
        assert issued(desk, 2, "5.00").allocations.count() == 0


class TestAccountLaws:
    @settings(max_examples=25)
    @given(
        steps=st.lists(
            st.tuples(st.sampled_from(["bill", "pay", "back", "credit"]), st.integers(1, 9000)),
            max_size=9,
        )
    )
    def test_statement_balance_and_open_items_agree(
        self, desk: Desk, steps: list[tuple[str, int]]
    ) -> None:
        family = desk.family = type(desk.family).objects.create(
            name="Generated", home=desk.family.home
        )
        for n, (what, units) in enumerate(steps):
            amount = Decimal(units) / 100
            if what == "bill":
                draft = InvoiceFactory(family=family, period_start=date(2020 + n, 1, 1))
                InvoiceLineFactory(invoice=draft, net=amount)
                desk.issue(draft)
            elif what == "pay":
                desk.pay(str(amount))
            elif what == "back":
                payment = Payment.objects.filter(family=family, amount__gt=0).first()
                if payment and not Payment.objects.filter(reverses=payment).exists():
                    services.payment_reverse(payment=payment, by=desk.teacher, today=TODAY, now=NOW)
            else:
                invoice = (
                    Invoice.objects.invoices().filter(family=family, credit_notes=None).first()
                )
                if invoice:
                    services.credit_note_issue(
                        invoice=invoice,
                        lines=list(invoice.lines.all()),
                        words="x",
                        by=desk.teacher,
                        today=TODAY,
                        now=NOW,
                    )

        account = family_account(
            family=family, studio=Studio.current(), user=desk.teacher, today=TODAY
        )
        still_open = sum((item.open for item in open_items(family.pk, "EUR")), Decimal(0))
        free = free_credit(sources(family.pk, "EUR"))
        assert account.statement.closing == account.balance.owed == still_open - free
        assert still_open == 0 or free == 0, "money lies idle while something is open"
        for invoice in Invoice.objects.invoices().filter(family=family):
            paid = sum((a.amount for a in Allocation.objects.filter(invoice=invoice)), Decimal(0))
            assert 0 <= paid <= (invoice.total or 0)
