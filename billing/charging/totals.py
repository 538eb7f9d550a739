"""The arithmetic of an invoice, as EN 16931-1 has it (BT-106 to BT-115, rules BR-CO-10 to 17).

Each line's net is rounded; tax is computed once for each category on the sum of its lines, never
on single lines; the totals tie out by construction.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from enum import StrEnum

from billing.charging.errors import BadAmount
from billing.charging.money import Currency


class TaxCategory(StrEnum):
    """The tax category codes of EN 16931 that a teacher can meet (UNCL5305)."""

    STANDARD = "S"
    ZERO = "Z"
    EXEMPT = "E"
    NOT_SUBJECT = "O"

    @property
    def is_taxed(self) -> bool:
        """True where a percentage above nothing may stand."""
        return self is TaxCategory.STANDARD


@dataclass(frozen=True, slots=True)
class Tax:
    """How something is taxed; ``reason`` says why it is not, where it is not."""

    category: TaxCategory = TaxCategory.EXEMPT
    percent: Decimal = Decimal(0)
    reason: str = ""

    def __post_init__(self) -> None:
        if not self.category.is_taxed and self.percent != 0:
            raise BadAmount("Only the standard category carries a tax percentage.")
        if not 0 <= self.percent <= 100:
            raise BadAmount("A tax percentage is between 0 and 100.")


@dataclass(frozen=True, slots=True)
class Amount:
    """A net amount and how it is taxed: a line, or a reduction or fee on the whole invoice."""

    net: Decimal
    tax: Tax = Tax()


@dataclass(frozen=True, slots=True)
class TaxPart:
    """One row of the tax breakdown (BG-23): what is taxed alike, and the tax on it."""

    tax: Tax
    taxable: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Totals:
    """The foot of an invoice; the comments give the business terms of EN 16931."""

    lines: Decimal  # BT-106
    reductions: Decimal  # BT-107
    fees: Decimal  # BT-108
    net: Decimal  # BT-109
    tax: Decimal  # BT-110
    gross: Decimal  # BT-112
    paid: Decimal  # BT-113
    due: Decimal  # BT-115
    tax_parts: tuple[TaxPart, ...]  # BG-23


def line_net(
    currency: Currency,
    *,
    quantity: Decimal,
    price: Decimal,
    per: Decimal = Decimal(1),
    reduction: Decimal = Decimal(0),
    fee: Decimal = Decimal(0),
) -> Decimal:
    """Return BT-131: quantity times price per so many, plus fees, less reductions, rounded once."""
    if per <= 0:
        raise BadAmount("A price is per one or more, not per nothing.")
    with localcontext(prec=50):
        return currency.round(quantity * price / per + fee - reduction)


def totals(
    currency: Currency,
    lines: Sequence[Amount],
    *,
    reductions: Sequence[Amount] = (),
    fees: Sequence[Amount] = (),
    paid: Decimal = Decimal(0),
) -> Totals:
    """Return the totals of an invoice; every amount given must be in whole smallest units.

    :raises BadAmount: for an amount with more decimals than the currency has
    """
    for amount in (*lines, *reductions, *fees):
        if not currency.is_exact(amount.net):
            raise BadAmount(f"{amount.net} is not a whole number of {currency.code} units.")
    line_sum = currency.sum(line.net for line in lines)
    reduction_sum = currency.sum(reduction.net for reduction in reductions)
    fee_sum = currency.sum(fee.net for fee in fees)
    parts = _tax_parts(
        currency, [*lines, *fees, *(Amount(-cut.net, cut.tax) for cut in reductions)]
    )
    net = currency.round(line_sum - reduction_sum + fee_sum)
    tax = currency.sum(part.amount for part in parts)
    gross = currency.round(net + tax)
    settled = currency.round(paid)
    return Totals(
        lines=line_sum,
        reductions=reduction_sum,
        fees=fee_sum,
        net=net,
        tax=tax,
        gross=gross,
        paid=settled,
        due=currency.round(gross - settled),
        tax_parts=parts,
    )


def _tax_parts(currency: Currency, amounts: Iterable[Amount]) -> tuple[TaxPart, ...]:
    """Return one part per category and percentage, in the order they first appear."""
    taxable: dict[tuple[TaxCategory, Decimal], Decimal] = {}
    named: dict[tuple[TaxCategory, Decimal], Tax] = {}
    for amount in amounts:
        key = (amount.tax.category, amount.tax.percent)
        named.setdefault(key, amount.tax)
        taxable[key] = taxable.get(key, Decimal(0)) + amount.net
    return tuple(
        TaxPart(
            tax=named[key],
            taxable=currency.round(base),
            amount=currency.percent_of(key[1], base),
        )
        for key, base in taxable.items()
    )
