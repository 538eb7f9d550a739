"""Currencies and their smallest units; rounding and sharing out without losing a cent.

The minor units are those of ISO 4217 list one as published on 2026-01-01 by SIX, the standard's
maintenance agency. CLDR (and so Babel) prints some currencies with fewer decimals than the
standard gives them (IQD, MGA among others); amounts are stored and computed by the standard.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, localcontext

from billing.charging.errors import BadAllocation, BadAmount, UnknownCurrency

_WITHOUT_MINOR_UNIT = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_HUNDREDTHS = """
    AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF
    CHE CHF CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD
    GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL
    MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR
    PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP
    TRY TTD TWD TZS UAH USD USN UYU UZS VED VES WST XAD XCD XCG YER ZAR ZMW ZWG
"""
_THOUSANDTHS = "BHD IQD JOD KWD LYD OMR TND"
_TEN_THOUSANDTHS = "CLF UYW"

MINOR_UNITS: dict[str, int] = {
    code: places
    for places, codes in enumerate(
        (_WITHOUT_MINOR_UNIT, "", _HUNDREDTHS, _THOUSANDTHS, _TEN_THOUSANDTHS)
    )
    for code in codes.split()
}

MOST_UNITS = 10_000_000
"""Most minor-unit-free money one line or payment may be: beyond it, a slip of the finger."""


@dataclass(frozen=True, slots=True)
class Currency:
    """A currency: its code and how many decimals its smallest unit has."""

    code: str
    places: int

    @property
    def quantum(self) -> Decimal:
        """The smallest amount: 0.01 for the euro, 1 for the yen, 0.001 for the Kuwaiti dinar."""
        return Decimal(1).scaleb(-self.places)

    def round(self, amount: Decimal) -> Decimal:
        """Return the amount in whole smallest units, halves away from zero.

        EN 16931 asks for ordinary commercial rounding; its example 2 tells it from rounding halves
        to even (365.13 from 365.125).
        """
        with localcontext(prec=50):
            return amount.quantize(self.quantum, rounding=ROUND_HALF_UP)

    def is_exact(self, amount: Decimal) -> bool:
        """Return True when the amount is a whole number of smallest units."""
        return amount.is_finite() and self.round(amount) == amount

    def exact(self, amount: Decimal) -> Decimal:
        """Return the amount written with this currency's decimals.

        :raises BadAmount: if it has more decimals than the currency, is not a number, or is too
            large to be meant
        """
        if not amount.is_finite():
            raise BadAmount("Enter an amount of money as a number, for example 25.")
        if abs(amount) > MOST_UNITS:
            raise BadAmount(f"That is more than {MOST_UNITS:,} {self.code}. Check the amount.")
        if not self.is_exact(amount):
            raise BadAmount(f"{self._decimals_in_words()} Write {self.round(amount):f}, if meant.")
        return self.round(amount)

    def _decimals_in_words(self) -> str:
        if self.places == 0:
            return f"{self.code} has no decimals."
        return f"{self.code} has {self.places} decimals at most."

    def zero(self) -> Decimal:
        """Return nothing, written with this currency's decimals."""
        return self.round(Decimal(0))

    def sum(self, amounts: Iterable[Decimal]) -> Decimal:
        """Return the exact sum."""
        return self.round(sum(amounts, Decimal(0)))

    def percent_of(self, percent: Decimal, amount: Decimal) -> Decimal:
        """Return this many per cent of the amount, rounded once."""
        with localcontext(prec=50):
            return self.round(amount * percent / Decimal(100))

    def share(self, amount: Decimal, ratios: Sequence[Decimal | int]) -> tuple[Decimal, ...]:
        """Share the amount out by ratios so that the parts add up to it exactly.

        Each gets its share rounded towards zero; the units left over go one each to the first ones
        whose ratio is not zero (Fowler, Patterns of Enterprise Application Architecture, "Money",
        pp. 488-495: 5 cents by 3 and 7 is 2 and 3).

        :raises BadAllocation: without ratios, with a negative one, or when all are zero
        """
        weights = [Decimal(ratio) for ratio in ratios]
        total = sum(weights, Decimal(0))
        if not weights or any(weight < 0 for weight in weights) or total == 0:
            raise BadAllocation("Sharing out needs at least one ratio above zero and none below.")
        units = self._units(amount)
        sign = -1 if units < 0 else 1
        with localcontext(prec=60):
            parts = [int(abs(units) * weight // total) for weight in weights]
        left = abs(units) - sum(parts)
        takers = [index for index, weight in enumerate(weights) if weight > 0]
        for turn in range(left):
            parts[takers[turn % len(takers)]] += 1
        return tuple(self.round(sign * part * self.quantum) for part in parts)

    def _units(self, amount: Decimal) -> int:
        if not self.is_exact(amount):
            raise BadAmount(self._decimals_in_words())
        return int(amount.scaleb(self.places))


def currency(code: str) -> Currency:
    """Return the currency with this ISO 4217 code.

    :raises UnknownCurrency: for a code that is not in list one, or has no minor unit (gold, XXX)
    """
    wanted = code.strip().upper()
    if wanted not in MINOR_UNITS:
        raise UnknownCurrency(f"“{code[:10]}” is not a currency code. The euro's, say, is EUR.")
    return Currency(wanted, MINOR_UNITS[wanted])
