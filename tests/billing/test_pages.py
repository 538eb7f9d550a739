"""Pages about money: what they show, what they refuse, how many queries they make."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest
from django.core import mail
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from billing import services
from billing.models import BillingSettings, Invoice, LineKind, Payment, Rate
from studio.models import OutgoingEmail, Role, Studio, User
from studio.outbox import outbox_send
from tests.billing.conftest import NOW, TODAY, Desk
from tests.factories.billing import InvoiceFactory, InvoiceLineFactory, PaymentFactory, RateFactory
from tests.factories.studio import FamilyFactory, UserFactory

BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


def signed_in(user: User) -> Client:
    client = Client()
    client.force_login(user, backend=BACKEND)
    return client


@pytest.fixture
def browser(desk: Desk) -> Client:
    return signed_in(desk.teacher)


@pytest.fixture
def parent(desk: Desk) -> Client:
    desk.adult.user = UserFactory(role=Role.PARENT)
    desk.adult.save()
    return signed_in(desk.adult.user)


def words(response: Any) -> str:
    """Return the page's text, its spaces made single."""
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


HUGE = "9" * 400
BAD_PAYMENTS = [
    ("amount", "-5"),
    ("amount", "0"),
    ("amount", "1.005"),
    ("amount", "1e400"),
    ("amount", "NaN"),
    ("amount", "Infinity"),
    ("amount", HUGE),
    ("amount", "100000000"),
    ("amount", "ten"),
    ("amount", ""),
    ("paid_date", "9999-12-31"),
    ("paid_date", "0001-01-01"),
    ("paid_date", "2099-01-01"),
    ("paid_date", "yesterday"),
    ("method", "gold"),
    ("invoice", "999999999999999999999"),
    ("direction", "sideways"),
    ("note", "x" * 201),
    ("note", "\x00"),
]


class TestPaymentForm:
    @pytest.mark.parametrize(("name", "value"), BAD_PAYMENTS)
    def test_refuses_at_the_field_and_writes_nothing(
        self, desk: Desk, browser: Client, name: str, value: str
    ) -> None:
        data = {"direction": "in", "amount": "20", "paid_date": "2026-11-02", "method": "cash"}

        response = browser.post(
            reverse("billing:payment_create", args=[desk.family.pk]), {**data, name: value}
        )

        assert response.status_code == 422
        assert name in response.context["form"].errors
        assert not Payment.objects.exists()

    def test_shares_by_hand_are_checked_at_the_amount(self, desk: Desk, browser: Client) -> None:
        issued = desk.issue()
        address = reverse("billing:payment_create", args=[desk.family.pk])
        data = {"direction": "in", "amount": "20", "paid_date": "2026-11-02", "method": "cash"}

        refused = browser.post(address, {**data, f"share_{issued.pk}": "21"})
        done = browser.post(address, {**data, f"share_{issued.pk}": "20"})

        assert refused.status_code == 422
        assert "1.00 more than the payment" in words(refused)
        assert done.status_code == 302
        assert issued.allocations.get().amount == 20

    def test_a_decimal_comma_is_read(self, desk: Desk, browser: Client) -> None:
        data = {"direction": "in", "amount": "20,50", "paid_date": "2026-11-02", "method": "cash"}

        browser.post(reverse("billing:payment_create", args=[desk.family.pk]), data)

        assert Payment.objects.get().amount == Decimal("20.50")

    def test_yen_have_no_decimals(self, desk: Desk, browser: Client) -> None:
        Studio.objects.update(currency="JPY")
        data = {"direction": "in", "amount": "20.5", "paid_date": "2026-11-02", "method": "cash"}

        response = browser.post(reverse("billing:payment_create", args=[desk.family.pk]), data)

        assert "JPY has no decimals" in words(response)

    def test_no_more_goes_back_than_there_is(self, desk: Desk, browser: Client) -> None:
        data = {"direction": "back", "amount": "1", "paid_date": "2026-11-02", "method": "cash"}

        response = browser.post(reverse("billing:payment_create", args=[desk.family.pk]), data)

        assert response.status_code == 422
        assert "Only 0.00 EUR" in words(response)


class TestRateForm:
    @pytest.mark.parametrize(
        ("name", "value"),
        [
            ("minutes", "0"),
            ("minutes", "-30"),
            ("minutes", "100000"),
            ("amount", "-1"),
            ("amount", "0.001"),
            ("amount", HUGE),
            ("from_date", "9999-01-01"),
            ("until_date", "2026-08-31"),
            ("place_kind", "moon"),
            ("family", "999"),
        ],
    )
    def test_refuses_at_the_field(self, desk: Desk, browser: Client, name: str, value: str) -> None:
        data = {"minutes": "60", "place_kind": "", "amount": "40", "from_date": "2026-09-01"}

        response = browser.post(reverse("billing:rate_create"), {**data, name: value})

        assert response.status_code == 422
        assert name in response.context["form"].errors
        assert Rate.objects.count() == 2

    def test_refuses_a_second_price_from_the_same_day(self, desk: Desk, browser: Client) -> None:
        data = {"minutes": "30", "place_kind": "", "amount": "40", "from_date": "2026-01-01"}

        response = browser.post(reverse("billing:rate_create"), data)

        assert "from_date" in response.context["form"].errors


class TestSettingsForm:
    good = {
        "payment_days": "14",
        "tax_kind": "exempt",
        "tax_percent": "0",
        "exempt_reason": "Tuition",
        "no_show_percent": "100",
        "late_percent": "100",
    }

    @pytest.mark.parametrize(
        ("name", "value"),
        [
            ("iban", "IE29AIBK93115212345679"),
            ("iban", "hello"),
            ("bic", "XX"),
            ("payment_days", "-1"),
            ("payment_days", "100000"),
            ("number_prefix", "A/B"),
            ("tax_percent", "23"),
            ("no_show_percent", "101"),
            ("late_percent", "-1"),
            ("exempt_reason", ""),
        ],
    )
    def test_refuses_at_the_field(self, desk: Desk, browser: Client, name: str, value: str) -> None:
        response = browser.post(reverse("billing:settings_edit"), {**self.good, name: value})

        assert response.status_code == 422
        assert name in response.context["form"].errors

    def test_keeps_an_iban_without_its_spaces(self, desk: Desk, browser: Client) -> None:
        data = {**self.good, "iban": "ie29 aibk 9311 5212 3456 78", "number_prefix": "cl"}

        browser.post(reverse("billing:settings_edit"), data)

        kept = BillingSettings.current()
        assert (kept.iban, kept.number_prefix) == ("IE29AIBK93115212345678", "CL")

    def test_shows_the_caution(self, desk: Desk, browser: Client) -> None:
        assert "an accountant and your local rules decide" in words(
            browser.get(reverse("billing:settings_edit"))
        )


class TestDraftPage:
    def test_shows_lines_and_takes_a_fee_and_a_discount(self, desk: Desk, browser: Client) -> None:
        draft = desk.draft()
        address = reverse("billing:line_create", args=[draft.pk])

        browser.post(address, {"kind": "fee", "words": "Sticks", "amount": "12.50"})
        browser.post(address, {"kind": "discount", "words": "Two of one", "amount": "10"})

        text = words(browser.get(reverse("billing:invoice_detail", args=[draft.pk])))
        assert "€12.50" in text
        assert "−€10.00" in text
        assert "€226.50" in text

    @pytest.mark.parametrize(
        ("name", "value"),
        [("amount", "-1"), ("amount", HUGE), ("words", ""), ("kind", "gift"), ("words", "w" * 201)],
    )
    def test_refuses_a_bad_line(self, desk: Desk, browser: Client, name: str, value: str) -> None:
        draft = desk.draft()
        data = {"kind": "fee", "words": "Sticks", "amount": "12.50", name: value}

        response = browser.post(reverse("billing:line_create", args=[draft.pk]), data)

        assert response.status_code == 422
        assert not draft.lines.by_hand().exists()

    def test_says_which_lesson_has_no_rate(self, desk: Desk, browser: Client) -> None:
        Rate.objects.all().delete()

        response = browser.get(reverse("billing:invoice_detail", args=[desk.draft().pk]))

        assert "No rate for 30 minutes" in words(response)

    def test_a_month_out_of_the_list_is_refused(self, desk: Desk, browser: Client) -> None:
        for name, args in [("month_draft", []), ("month_issue", []), ("invoice_draft", [1])]:
            args = [desk.family.pk] if args else []
            for month in ("9999-01-01", "x", ""):
                response = browser.post(reverse(f"billing:{name}", args=args), {"month": month})
                assert response.status_code == 422


class TestIssueAndSend:
    def test_one_press_issues_and_sends_to_each_adult(self, desk: Desk, browser: Client) -> None:
        draft = desk.draft()

        browser.post(reverse("billing:issue", args=[draft.pk]), {"send": "1"})
        browser.post(reverse("billing:send", args=[draft.pk]))
        outbox_send(now=timezone.now())

        (message,) = mail.outbox
        assert message.to == ["orla@example.com"]
        assert "€224.00" in message.body
        assert f"/money/invoices/{draft.pk}/" in message.body
        (attachment,) = message.attachments
        assert attachment[0] == f"invoice-{Invoice.objects.get().number}.pdf"
        assert attachment[1].startswith(b"%PDF")

    def test_a_new_address_gets_it_too(self, desk: Desk, browser: Client) -> None:
        issued = desk.issue()
        services.invoice_send(invoice=issued, by=desk.teacher, now=NOW)
        desk.adult.email = "orla.new@example.com"
        desk.adult.save()

        services.invoice_send(invoice=Invoice.objects.get(), by=desk.teacher, now=NOW)

        assert OutgoingEmail.objects.count() == 2

    def test_without_an_address_it_is_issued_and_said(self, desk: Desk, browser: Client) -> None:
        desk.adult.receives_invoices = False
        desk.adult.save()
        draft = desk.draft()

        response = browser.post(
            reverse("billing:issue", args=[draft.pk]), {"send": "1"}, follow=True
        )

        assert "receives invoices by e-mail" in words(response)
        assert not Invoice.objects.get().is_draft

    def test_a_stale_draft_is_not_issued_and_said(self, desk: Desk, browser: Client) -> None:
        draft = desk.draft()
        Rate.objects.filter(minutes=30).update(amount=Decimal(26))

        response = browser.post(reverse("billing:issue", args=[draft.pk]), follow=True)

        assert "have changed since this was drafted" in words(response)
        assert Invoice.objects.get().is_draft


class TestAddresses:
    @pytest.mark.parametrize(
        "address",
        [
            "/money/invoices/99999999999999999999999/",
            "/money/families/99999999999999999999999/",
            "/money/payments/99999999999999999999999/reverse/",
            "/money/rates/99999999999999999999999/edit/",
            "/money/invoices/-1/",
        ],
    )
    def test_what_is_not_there_is_not_found(self, browser: Client, address: str) -> None:
        assert browser.get(address).status_code == 404

    def test_a_year_without_invoices(self, browser: Client) -> None:
        response = browser.get("/money/issued/99999999999999999999999/")

        assert response.status_code == 200
        assert "Nothing was issued" in words(response)


class TestParent:
    def test_sees_what_is_owed_and_downloads(self, desk: Desk, parent: Client) -> None:
        issued = desk.issue()
        draft = InvoiceFactory(family=desk.family, period_start=TODAY.replace(month=12, day=1))

        text = words(parent.get(reverse("billing:account", args=[desk.family.pk])))
        pdf = parent.get(reverse("billing:invoice_pdf", args=[issued.pk]))

        assert "€224.00" in text
        assert "Record a payment" not in text
        assert pdf.content.startswith(b"%PDF")
        assert pdf["Content-Disposition"] == 'attachment; filename="invoice-2026-0001.pdf"'
        assert parent.get(reverse("billing:invoice_detail", args=[draft.pk])).status_code == 404

    def test_stays_right_after_a_payment_and_a_credit_note(
        self, desk: Desk, parent: Client
    ) -> None:
        issued = desk.issue()
        desk.pay("200.00")
        services.credit_note_issue(
            invoice=issued,
            lines=list(issued.lines.filter(kind=LineKind.LESSON)[:1]),
            words="Not held",
            by=desk.teacher,
            today=TODAY,
            now=NOW,
        )

        text = words(parent.get(reverse("billing:account", args=[desk.family.pk])))

        assert "Credit €1.00" in text  # 224 less 25 less 200
        assert "−€1.00" in text


LIST_PAGES = ["money", "family_balances", "rate_list"]


def _many(desk: Desk, count: int) -> None:
    for _ in range(count):
        family = FamilyFactory()
        issued = InvoiceFactory(family=family, period_start=TODAY.replace(month=1, day=1))
        InvoiceLineFactory(invoice=issued)
        services.invoice_issue(invoice=issued, by=desk.teacher, today=TODAY, now=NOW)
        InvoiceLineFactory(invoice=InvoiceFactory(family=family))
        PaymentFactory(family=family, recorded_by=desk.teacher)
        RateFactory(family=family)


class TestQueries:
    @pytest.mark.parametrize("name", [*LIST_PAGES, "issued_list"])
    def test_as_many_for_20_rows_as_for_one(self, desk: Desk, browser: Client, name: str) -> None:
        address = reverse(f"billing:{name}", args=[2026] if name == "issued_list" else [])
        counts = []
        for more in (1, 19):
            _many(desk, more)
            with CaptureQueriesContext(connection) as seen:
                assert browser.get(address).status_code == 200
            counts.append(len(seen))

        assert counts[0] == counts[1] <= 20

    def test_an_account_with_many_invoices(self, desk: Desk, browser: Client) -> None:
        address = reverse("billing:account", args=[desk.family.pk])
        counts = []
        for months in (range(1, 2), range(2, 11)):
            for month in months:
                draft = InvoiceFactory(
                    family=desk.family, period_start=TODAY.replace(month=month, day=1)
                )
                InvoiceLineFactory(invoice=draft)
                desk.issue(draft)
                desk.pay("5.00")
            with CaptureQueriesContext(connection) as seen:
                browser.get(address)
            counts.append(len(seen))

        assert counts[0] == counts[1] <= 20
