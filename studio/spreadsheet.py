"""Rows for a spreadsheet, as CSV (RFC 4180) that no program takes for formulas."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

# A cell that begins so is run as a formula by spreadsheets (OWASP, "CSV Injection").
_DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def csv_bytes(rows: Iterable[Sequence[object]]) -> bytes:
    """Return the rows as CSV in UTF-8 with a byte order mark, which spreadsheets need for accents.

    Text that would be a formula gets an apostrophe before it; numbers are left alone.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for row in rows:
        writer.writerow([_cell(value) for value in row])
    return b"\xef\xbb\xbf" + out.getvalue().encode("utf-8")


def _cell(value: object) -> object:
    if isinstance(value, str) and value.lstrip(" ").startswith(_DANGEROUS):
        return f"'{value}"
    return value
