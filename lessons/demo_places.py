"""The demo scenario's road: a child with two homes, and a road that is slow at tea time."""

from __future__ import annotations

from datetime import datetime, time
from decimal import Decimal

from lessons.models import PlaceCorrection
from lessons.services.house_moves import other_home_add
from studio.models import Family, Place, PlaceKind, Studio, User


def places_build(*, now: datetime, teacher: User) -> None:
    """Write down a second home and two times of the teacher's own for one road."""
    other_home_add(
        family=Family.objects.get(name="Żurawska"),
        place=Place(
            kind=PlaceKind.HOME,
            name="Żurawski, Mill Quay",
            address="4 Mill Quay\nPassage West\nCo. Cork",
            latitude=Decimal("51.872600"),
            longitude=Decimal("-8.339900"),
        ),
        by=teacher,
        now=now,
    )
    base = Studio.current().base
    if base is None:
        return
    carrigaline = Family.objects.get(name="Mac Giolla Easpaig").home
    for minutes, begins, ends in ((26, None, None), (41, time(16, 30), time(18, 15))):
        PlaceCorrection.objects.create(
            from_place=base,
            to_place=carrigaline,
            minutes=minutes,
            from_time=begins,
            until_time=ends,
        )
