"""Invoice numbers without gaps, and the payment reference made from them."""

from __future__ import annotations

import re
from collections.abc import Iterable

from billing.charging.errors import BadReference

_PREFIX = re.compile(r"[A-Z0-9]{0,8}")
MOST_A_YEAR = 9999


def check_prefix(prefix: str) -> str:
    """Return the prefix in capitals.

    :raises BadReference: unless it is up to eight letters and digits, which is what fits in a
        payment reference together with the year and the serial
    """
    tidy = prefix.strip().upper()
    if not _PREFIX.fullmatch(tidy):
        raise BadReference("A number's prefix is up to eight letters A to Z and digits, no spaces.")
    return tidy


def invoice_number(prefix: str, year: int, serial: int) -> str:
    """Return the number as printed: ``2026-0001``, or ``CL-2026-0001`` with a prefix.

    :raises BadReference: for a serial that is not 1 to 9999 or a year that is not four digits
    """
    if not 1 <= serial <= MOST_A_YEAR or not 1000 <= year <= 9999:
        raise BadReference(f"There is no invoice {serial} in the year {year}.")
    start = f"{check_prefix(prefix)}-" if prefix.strip() else ""
    return f"{start}{year}-{serial:04d}"


def missing_serials(serials: Iterable[int]) -> tuple[int, ...]:
    """Return which serials of a year are missing below its highest: nothing, if all is well."""
    used = set(serials)
    return tuple(serial for serial in range(1, max(used, default=0) + 1) if serial not in used)


def _mod_97(text: str) -> int:
    return int("".join(str(int(char, 36)) for char in text)) % 97


def payment_reference(number: str) -> str:
    """Return the ISO 11649 creditor reference for an invoice number: RF, two check digits, number.

    The check digits are 98 minus the remainder of the number followed by RF00, with letters read
    as 10 to 35, when divided by 97 (ISO 7064 mod 97-10), as in an IBAN.

    :raises BadReference: if nothing is left of the number, or more than 21 characters
    """
    core = re.sub(r"[^A-Z0-9]", "", number.upper())
    if not 1 <= len(core) <= 21:
        raise BadReference("A payment reference holds 1 to 21 letters and digits.")
    return f"RF{98 - _mod_97(core + 'RF00'):02d}{core}"


def grouped(reference: str) -> str:
    """Return the reference, or an account number, in groups of four as banks print it."""
    tidy = re.sub(r"\s", "", reference)
    return " ".join(tidy[start : start + 4] for start in range(0, len(tidy), 4))
