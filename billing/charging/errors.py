"""What can be wrong with money, said in words a teacher can act on."""

from __future__ import annotations


class ChargingError(ValueError):
    """Something about money does not make sense; the message is for the person at the screen."""


class UnknownCurrency(ChargingError):
    """The code is not an ISO 4217 currency with a minor unit."""


class BadAmount(ChargingError):
    """The amount does not fit the currency, or is too large to be meant."""


class BadReference(ChargingError):
    """A payment reference or invoice number cannot be made from this."""


class BadAllocation(ChargingError):
    """Money was shared out in a way that does not tie out."""
