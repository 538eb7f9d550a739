"""The mileage log for a spreadsheet."""

from __future__ import annotations

from lessons.selectors.mileage import MileageLog
from studio.spreadsheet import csv_bytes

CAUTION = (
    "Kilometres are reckoned, not read from the car. Whether and how they count is decided by the "
    "tax rules where you live: ask there, and keep the car’s own readings as well."
)
_HEADS = ("Date", "From", "To", "For", "Kilometres", "Kilometres rest on")


def mileage_csv(log: MileageLog) -> bytes:
    """Return one row for each road that was driven, then the sum and the caution."""
    rows: list[tuple[object, ...]] = [_HEADS]
    for day in log.days:
        rows += [
            (
                day.day.isoformat(),
                leg.start,
                leg.end,
                leg.purpose,
                "" if leg.km is None else f"{leg.km:.1f}",
                leg.source_words,
            )
            for leg in day.legs
        ]
    unknown = f"and {log.unknown} roads whose distance is not known" if log.unknown else ""
    rows.append(("Sum", "", "", "", f"{log.km:.1f}", unknown))
    rows.append((CAUTION,))
    return csv_bytes(rows)
