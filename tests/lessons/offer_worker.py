"""What one family's process does in the race for an offered time; a fresh process imports it."""

from __future__ import annotations

from datetime import datetime
from typing import Any


def press_yes(
    database_name: str, offers: list[tuple[int, int]], moment: datetime, gate: Any
) -> list[str]:
    """Say yes to each offer as its person, as fast as it goes; return what the page would say."""
    import django

    django.setup()
    from django.db import connection

    connection.close()
    connection.settings_dict["NAME"] = database_name
    from lessons.models import Offer
    from lessons.services.confirming import offer_confirm
    from lessons.services.offer_rows import OfferOver
    from studio.models import User

    said = []
    for offer_pk, user_pk in offers:
        offer, user = Offer.objects.get(pk=offer_pk), User.objects.get(pk=user_pk)
        gate.wait(timeout=60)
        try:
            offer_confirm(offer=offer, by=user, now=moment)
        except OfferOver as refusal:
            said.append(str(refusal))
        else:
            said.append("booked")
    connection.close()
    return said
