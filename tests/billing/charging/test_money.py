"""Currencies: rounding, exactness, sharing out."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from billing.charging.errors import BadAllocation, BadAmount, UnknownCurrency
from billing.charging.money import MINOR_UNITS, currency

codes = st.sampled_from(sorted(MINOR_UNITS))


class TestCurrency:
    @pytest.mark.parametrize("code", ["", "EURO", "XXX", "XAU", "DEM", "€"])
    def test_refuses_what_has_no_minor_unit(self, code: str) -> None:
        with pytest.raises(UnknownCurrency):
            currency(code)

    def test_reads_small_letters(self) -> None:
        assert currency(" eur ").code == "EUR"

    @pytest.mark.parametrize(
        ("code", "amount", "rounded"),
        [
            ("EUR", "2.345", "2.35"),
            ("EUR", "-2.345", "-2.35"),
            ("JPY", "2.5", "3"),
            ("KWD", "1.0005", "1.001"),
        ],
    )
    def test_rounds_halves_away_from_zero(self, code: str, amount: str, rounded: str) -> None:
        assert str(currency(code).round(Decimal(amount))) == rounded

    @pytest.mark.parametrize(
        ("code", "amount"),
        [("EUR", "1.005"), ("JPY", "0.5"), ("KWD", "0.0001"), ("EUR", "NaN"), ("EUR", "1e8")],
    )
    def test_refuses_what_it_cannot_hold(self, code: str, amount: str) -> None:
        with pytest.raises(BadAmount):
            currency(code).exact(Decimal(amount))

    def test_says_what_to_write_instead(self) -> None:
        with pytest.raises(BadAmount, match=r"JPY has no decimals\. Write 3"):
            currency("JPY").exact(Decimal("2.5"))


class TestShare:
    @given(
        code=codes,
        units=st.integers(-(10**9), 10**9),
        ratios=st.lists(st.integers(0, 1000), min_size=1, max_size=8).filter(any),
    )
    def test_parts_tie_out_and_nobody_is_more_than_a_unit_off(
        self, code: str, units: int, ratios: list[int]
    ) -> None:
        unit = currency(code)
        amount = unit.round(units * unit.quantum)

        parts = unit.share(amount, ratios)

        assert sum(parts) == amount
        assert all(part == 0 for part, ratio in zip(parts, ratios, strict=True) if ratio == 0)
        for part, ratio in zip(parts, ratios, strict=True):
            exact = amount * ratio / sum(ratios)
            assert abs(part - exact) < unit.quantum * Decimal("1.000001")

    @pytest.mark.parametrize("ratios", [[], [0, 0], [1, -1]])
    def test_refuses_ratios_that_share_nothing(self, ratios: list[int]) -> None:
        with pytest.raises(BadAllocation):
            currency("EUR").share(Decimal(1), ratios)
