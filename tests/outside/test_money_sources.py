"""Money against published sources: ISO 4217, EN 16931, ISO 11649, ISO 13616, Fowler."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from stdnum import iso11649

from billing.charging.money import MINOR_UNITS, currency
from billing.charging.numbering import payment_reference
from billing.charging.totals import Amount, Tax, TaxCategory, Totals, line_net, totals
from billing.models.settings import check_iban

USABLE = {"reproduced", "computed"}


def _checks(shared_checks: Path, start: str) -> list[dict[str, Any]]:
    found = [
        check
        for check in json.loads((shared_checks / "checks.json").read_text(encoding="utf-8"))
        if check["id"].startswith(start) and check["status"] in USABLE
    ]
    assert found, f"no usable check begins with {start}"
    return found


def d(text: str) -> Decimal:
    return Decimal(text)


def standard(percent: str) -> Tax:
    return Tax(TaxCategory.STANDARD, d(percent))


EXEMPT = Tax(TaxCategory.EXEMPT, reason="exempt")


class TestMinorUnits:
    def test_each_currency_of_the_shared_checks(self, shared_checks: Path) -> None:
        # ISO 4217 list one (SIX), as carried by the PyPI package iso4217 1.16.20260101.
        for check in _checks(shared_checks, "E.iso4217."):
            assert currency(check["input"]["code"]).places == check["expected"], check["id"]

    @pytest.mark.parametrize(
        ("code", "places"),
        # ISO 4217 list one, published 2026-01-01, read from its table. CLDR (Babel) prints IQD
        # and MGA without decimals: the standard says 3 and 2.
        [("KWD", 3), ("IQD", 3), ("MGA", 2), ("CLF", 4), ("VND", 0), ("MRU", 2), ("XCG", 2)],
    )
    def test_the_ones_that_lists_get_wrong(self, code: str, places: int) -> None:
        assert currency(code).places == places

    def test_how_many_there_are_of_each(self) -> None:
        # Counted in ISO 4217 list one, published 2026-01-01: 139 with two decimals, 17 with none,
        # 7 with three, 2 with four; 13 codes (metals, test codes) have no minor unit.
        counts = {n: list(MINOR_UNITS.values()).count(n) for n in (0, 2, 3, 4)}

        assert counts == {0: 17, 2: 139, 3: 7, 4: 2}


# Lines of the example invoices, read from github.com/ConnectingEurope/eInvoicing-EN16931
# (ubl/examples, at 0995d598) and github.com/OpenPEPPOL/peppol-bis-invoice-3 (rules/examples). The
# totals come from the shared checks, or stand in the same files.
S25, S15, S21, S12 = standard("25"), standard("15"), standard("21"), standard("12")
EXAMPLES: dict[str, tuple[str, list[Amount], list[Amount], list[Amount], str]] = {
    "E.inv.tc434-8": (
        "EUR",
        [
            Amount(line_net(currency("EUR"), quantity=d(q), price=d(p), per=d(per)), S21)
            for q, p, per in [
                ("16000", "0.00880", "1"),
                ("16000", "0.00101", "1"),
                ("132", "15.24", "12"),
                ("58", "1.53", "1"),
                ("1", "441.00", "12"),
                ("1", "678.00", "12"),
                ("1", "83.34", "1"),
                ("1", "190.31", "1"),
                ("1", "64.21", "1"),
                ("1", "64.46", "1"),
            ]
        ],
        [],
        [],
        "0",
    ),
    "E.inv.tc434-5": (
        "DKK",
        [Amount(d("1000"), S25), Amount(d("500"), S25), Amount(d("2500"), S12)],
        [Amount(d("150"), S25)],
        [Amount(d("150"), S25)],
        "2337.50",
    ),
    "E.inv.tc434-7": ("SEK", [Amount(d("3200"), Tax(TaxCategory.NOT_SUBJECT))], [], [], "0"),
    "E.inv.peppol-base": (
        "EUR",
        [
            Amount(line_net(currency("EUR"), quantity=d("7"), price=d("400")), S25),
            Amount(line_net(currency("EUR"), quantity=d("-3"), price=d("500")), S25),
        ],
        [],
        [Amount(d("25"), S25)],
        "0",
    ),
    "E.inv.peppol-allow": (
        "EUR",
        [
            Amount(
                line_net(
                    currency("EUR"),
                    quantity=d("10"),
                    price=d("410"),
                    reduction=d("101"),
                    fee=d("1"),
                ),
                S25,
            ),
            Amount(line_net(currency("EUR"), quantity=d("10"), price=d("200"), per=d("2")), EXEMPT),
            Amount(d("900"), S25),
        ],
        [Amount(d("200"), S25)],
        [Amount(d("200"), S25)],
        "1000",
    ),
    "E.inv.peppol-neg": (
        "EUR",
        [Amount(d("-2800"), S25), Amount(d("1500"), S25)],
        [],
        [Amount(d("-25"), S25)],
        "0",
    ),
}
TERMS = {
    "BT-106": "lines",
    "BT-107": "reductions",
    "BT-108": "fees",
    "BT-109": "net",
    "BT-110": "tax",
    "BT-112": "gross",
    "BT-113": "paid",
    "BT-115": "due",
}


def _example(name: str) -> Totals:
    code, lines, reductions, fees, paid = EXAMPLES[name]
    return totals(currency(code), lines, reductions=reductions, fees=fees, paid=d(paid))


class TestInvoiceTotals:
    def test_the_published_examples(self, shared_checks: Path) -> None:
        # EN 16931-1 rules BR-CO-10 to 17, BR-S-08/09, on the examples named above.
        checks = _checks(shared_checks, "E.inv.")

        assert {check["id"] for check in checks} == set(EXAMPLES)
        for check in checks:
            found = _example(check["id"])
            for term, name in TERMS.items():
                if term in check["expected"]:
                    assert getattr(found, name) == d(check["expected"][term]), (check["id"], term)
            for category, percent, taxable, tax in check["expected"].get("vat", []):
                part = found.tax_parts[0]
                assert part.tax.category == category
                assert part.tax.percent == percent
                assert (part.taxable, part.amount) == (d(taxable), d(tax))

    def test_halves_go_up_and_tax_is_per_category(self) -> None:
        # ubl-tc434-example2.xml of the same repository: 25 % of 1460.50 is 365.125, printed as
        # 365.13 (half even would give 365.12); BT-110 365.28, BT-112 1801.78, BT-115 801.78.
        unit = currency("NOK")
        lines = [
            Amount(d("1273.00"), S25),  # as printed: its own price and quantity give twice that
            Amount(line_net(unit, quantity=d("-1"), price=d("3.96")), S15),
            Amount(line_net(unit, quantity=d("2"), price=d("2.48")), S15),
            Amount(line_net(unit, quantity=d("-1"), price=d("25.00")), EXEMPT),
            Amount(line_net(unit, quantity=d("250"), price=d("0.75")), S25),
        ]

        found = totals(
            unit,
            lines,
            reductions=[Amount(d("100"), S25)],
            fees=[Amount(d("100"), S25)],
            paid=d("1000"),
        )

        assert found.lines == d("1436.50")
        assert [part.amount for part in found.tax_parts] == [d("365.13"), d("0.15"), d("0.00")]
        assert (found.tax, found.gross, found.due) == (d("365.28"), d("1801.78"), d("801.78"))

    def test_tax_on_single_lines_would_be_a_cent_more(self) -> None:
        # The same example 8: per category 190.87 (right), per line 190.88 (wrong).
        lines = EXAMPLES["E.inv.tc434-8"][1]
        unit = currency("EUR")

        per_line = sum((unit.percent_of(d("21"), line.net) for line in lines), d("0"))

        assert per_line == d("190.88")
        assert totals(unit, lines).tax == d("190.87")


class TestPaymentReference:
    def test_what_is_valid(self, shared_checks: Path) -> None:
        # ISO 11649 through python-stdnum; ours makes the check digits of each valid one again.
        for check in _checks(shared_checks, "E.rf.RF"):
            ref = check["input"]["ref"]
            assert (payment_reference(ref[4:]) == ref) is check["expected"], ref

    def test_the_generated_one(self, shared_checks: Path) -> None:
        for check in _checks(shared_checks, "E.rf.gen"):
            assert payment_reference(check["input"]["base"]) == check["expected"]

    @pytest.mark.parametrize("number", ["2026-0001", "CL-2026-0042", "ABCDEFGH-2031-9999"])
    def test_our_numbers_give_valid_references(self, number: str) -> None:
        assert iso11649.is_valid(payment_reference(number))  # python-stdnum 2.2


class TestAccountNumber:
    def test_what_is_valid(self, shared_checks: Path) -> None:
        # ISO 13616; validity decided by python-stdnum and schwifty. BE68...: the check digits are
        # right though stdnum knows no such bank, so it is let through.
        for check in _checks(shared_checks, "E.iban."):
            try:
                check_iban(check["input"]["iban"])
                is_taken = True
            except ValidationError:
                is_taken = False
            assert is_taken is check["expected"], check["id"]


class TestSharingOut:
    def test_the_published_splits(self, shared_checks: Path) -> None:
        # Fowler, Patterns of Enterprise Application Architecture (2002), "Money", pp. 488-495.
        unit = currency("EUR")
        for check in _checks(shared_checks, "E.alloc."):
            cents, ratios = check["input"]["cents"], check["input"]["ratios"]
            parts = unit.share(Decimal(cents) / 100, ratios)
            assert [int(part * 100) for part in parts] == check["expected"], check["id"]
