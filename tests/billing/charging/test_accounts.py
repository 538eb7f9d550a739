"""Totals, allocation, statements and numbers: everything ties out."""

from __future__ import annotations

import itertools
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from billing.charging.allocation import OpenItem, Source, by_hand, draws, oldest_first
from billing.charging.errors import BadAllocation, BadAmount, BadReference
from billing.charging.money import MINOR_UNITS, currency
from billing.charging.numbering import invoice_number, missing_serials, payment_reference
from billing.charging.statement import Entry, EntryKind, by_age, statement
from billing.charging.totals import Amount, Tax, TaxCategory, line_net, totals

DAY = date(2026, 11, 1)
cents = st.integers(1, 10**6).map(lambda n: Decimal(n) / 100)
items = st.lists(
    st.builds(
        OpenItem,
        key=st.integers(1, 50),
        due=st.integers(0, 90).map(lambda n: DAY + timedelta(days=n)),
        open=cents,
    ),
    max_size=8,
    unique_by=lambda item: item.key,
)
taxes = st.sampled_from(
    [
        Tax(TaxCategory.EXEMPT, reason="tuition"),
        Tax(TaxCategory.STANDARD, Decimal(23)),
        Tax(TaxCategory.STANDARD, Decimal("13.5")),
        Tax(TaxCategory.ZERO),
    ]
)


class TestTotals:
    @given(
        code=st.sampled_from(sorted(MINOR_UNITS)),
        units=st.lists(st.tuples(st.integers(-(10**7), 10**7), taxes), max_size=12),
        paid=st.integers(0, 10**6),
    )
    def test_they_tie_out_to_the_smallest_unit(
        self, code: str, units: list[tuple[int, Tax]], paid: int
    ) -> None:
        unit = currency(code)
        lines = [Amount(unit.round(n * unit.quantum), tax) for n, tax in units]

        foot = totals(unit, lines, paid=unit.round(paid * unit.quantum))

        assert foot.net == sum((line.net for line in lines), Decimal(0))
        assert foot.net == sum((part.taxable for part in foot.tax_parts), Decimal(0))
        assert foot.tax == sum((part.amount for part in foot.tax_parts), Decimal(0))
        assert foot.gross == foot.net + foot.tax
        assert foot.due + foot.paid == foot.gross
        assert all(unit.is_exact(value) for value in (foot.net, foot.tax, foot.gross, foot.due))

    def test_refuses_fractions_of_a_cent(self) -> None:
        with pytest.raises(BadAmount):
            totals(currency("EUR"), [Amount(Decimal("0.001"))])

    def test_refuses_a_price_per_nothing(self) -> None:
        with pytest.raises(BadAmount):
            line_net(currency("EUR"), quantity=Decimal(1), price=Decimal(1), per=Decimal(0))

    @pytest.mark.parametrize(
        ("category", "percent"),
        [(TaxCategory.EXEMPT, 5), (TaxCategory.STANDARD, 101), (TaxCategory.STANDARD, -1)],
    )
    def test_refuses_a_tax_that_cannot_be(self, category: TaxCategory, percent: int) -> None:
        with pytest.raises(BadAmount):
            Tax(category, Decimal(percent))


class TestAllocation:
    @given(amount=cents, open_now=items)
    def test_ties_out_and_never_overpays(self, amount: Decimal, open_now: list[OpenItem]) -> None:
        shares, left = oldest_first(amount, open_now)

        wanted = {item.key: item.open for item in open_now}
        assert sum((share.amount for share in shares), Decimal(0)) + left == amount
        assert all(0 < share.amount <= wanted[share.item] for share in shares)
        assert left == 0 or all(share.amount == wanted[share.item] for share in shares)
        assert left == max(Decimal(0), amount - sum(wanted.values(), Decimal(0)))

    @given(amount=cents, open_now=items)
    def test_an_older_one_is_full_before_a_newer_gets_anything(
        self, amount: Decimal, open_now: list[OpenItem]
    ) -> None:
        shares, _ = oldest_first(amount, open_now)
        got = {share.item: share.amount for share in shares}
        ordered = sorted(open_now, key=lambda item: (item.due, item.key))

        for older, newer in itertools.pairwise(ordered):
            if got.get(newer.key):
                assert got.get(older.key) == older.open

    def test_one_can_be_named_to_come_first(self) -> None:
        old, new = OpenItem(1, DAY, Decimal(30)), OpenItem(2, DAY + timedelta(30), Decimal(30))

        shares, left = oldest_first(Decimal(40), [old, new], first=2)

        assert [(share.item, share.amount) for share in shares] == [(2, 30), (1, 10)]
        assert left == 0

    def test_money_that_goes_back_pays_nothing(self) -> None:
        with pytest.raises(BadAllocation):
            oldest_first(Decimal(-1), [])

    @pytest.mark.parametrize(
        "wanted", [{1: Decimal(31)}, {2: Decimal(1)}, {1: Decimal(0)}, {1: Decimal(25)}]
    )
    def test_by_hand_refuses_what_does_not_fit(self, wanted: dict[int, Decimal]) -> None:
        with pytest.raises(BadAllocation):
            by_hand(Decimal(20), wanted, [OpenItem(1, DAY, Decimal(30))])

    def test_by_hand_gives_what_is_left(self) -> None:
        shares, left = by_hand(Decimal(40), {1: Decimal(25)}, [OpenItem(1, DAY, Decimal(30))])

        assert ([(s.item, s.amount) for s in shares], left) == ([(1, Decimal(25))], Decimal(15))

    @given(
        lefts=st.lists(st.integers(-(10**4), 10**5), max_size=6),
        open_now=items,
    )
    def test_spending_never_uses_more_than_is_there(
        self, lefts: list[int], open_now: list[OpenItem]
    ) -> None:
        sources = [
            Source(f"payment:{n}", DAY + timedelta(days=n), Decimal(left) / 100)
            for n, left in enumerate(lefts)
        ]

        found = draws(sources, open_now)

        free = max(sum((s.left for s in sources), Decimal(0)), Decimal(0))
        wanted = sum((item.open for item in open_now), Decimal(0))
        assert sum((draw.amount for draw in found), Decimal(0)) == min(free, wanted)
        for source in sources:
            used = sum((d.amount for d in found if d.source == source.key), Decimal(0))
            assert used <= max(source.left, Decimal(0))


entries = st.lists(
    st.builds(
        Entry,
        on=st.integers(0, 200).map(lambda n: DAY + timedelta(days=n)),
        kind=st.sampled_from(list(EntryKind)),
        key=st.integers(1, 10**6),
        words=st.just("x"),
        amount=st.integers(-(10**6), 10**6).map(lambda n: Decimal(n) / 100),
    ),
    max_size=30,
)


class TestStatement:
    @given(found=entries)
    def test_the_running_balance_is_the_sum_of_its_parts(self, found: list[Entry]) -> None:
        whole = statement(found)

        balance = Decimal(0)
        for row in whole.rows:
            balance += row.entry.amount
            assert row.balance == balance
        assert whole.closing == sum((entry.amount for entry in found), Decimal(0))
        assert whole.closing == whole.opening + whole.charged - whole.credited
        assert [row.entry.on for row in whole.rows] == sorted(entry.on for entry in found)

    @given(found=entries, cut=st.integers(0, 200))
    def test_two_stretches_join(self, found: list[Entry], cut: int) -> None:
        day = DAY + timedelta(days=cut)

        before, after = statement(found, last=day), statement(found, first=day + timedelta(days=1))

        assert before.closing == after.opening
        assert after.closing == statement(found).closing
        assert len(before.rows) + len(after.rows) == len(found)


class TestAges:
    @pytest.mark.parametrize(
        ("days", "name"),
        [
            (0, "not_yet_due"),
            (1, "up_to_30"),
            (30, "up_to_30"),
            (31, "up_to_60"),
            (60, "up_to_60"),
            (61, "older"),
        ],
    )
    def test_where_each_day_falls(self, days: int, name: str) -> None:
        ages = by_age([OpenItem(1, DAY - timedelta(days=days), Decimal(5))], today=DAY)

        assert getattr(ages, name) == 5
        assert ages.total == 5
        assert ages.overdue == (0 if days == 0 else 5)


class TestNumbers:
    def test_as_printed(self) -> None:
        assert invoice_number("", 2026, 7) == "2026-0007"
        assert invoice_number(" cl ", 2026, 9999) == "CL-2026-9999"

    @pytest.mark.parametrize(("year", "serial"), [(2026, 0), (2026, 10000), (99, 1)])
    def test_refuses_what_cannot_be(self, year: int, serial: int) -> None:
        with pytest.raises(BadReference):
            invoice_number("", year, serial)

    def test_finds_the_gaps(self) -> None:
        assert missing_serials([1, 2, 5]) == (3, 4)
        assert missing_serials([]) == ()

    @pytest.mark.parametrize("number", ["", "---", "A" * 22])
    def test_no_reference_from_nothing(self, number: str) -> None:
        with pytest.raises(BadReference):
            payment_reference(number)

    @given(core=st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", min_size=1, max_size=21))
    def test_every_reference_checks_out(self, core: str) -> None:
        reference = payment_reference(core)
        moved = reference[4:] + reference[:4]

        assert int("".join(str(int(char, 36)) for char in moved)) % 97 == 1
