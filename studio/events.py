"""Write down what was done."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from studio.models import Event, User


def event_record(
    *, kind: str, subject: str, by: User | None, now: datetime, **detail: Any
) -> Event:
    """Add one line to the record; call it inside the transaction it tells of."""
    return Event.objects.create(at=now, by=by, kind=kind, subject=subject[:200], detail=detail)
