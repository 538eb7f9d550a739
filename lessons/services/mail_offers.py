"""Messages about weekly times that are offered, queued with what they tell of."""

from __future__ import annotations

from datetime import datetime

from django.template.loader import render_to_string
from django.utils import timezone

from lessons.models import Offer, OfferState, Waiting
from studio.models import Adult, Event, Studio
from studio.outbox import mail_queue

_SUBJECTS = {
    OfferState.OPEN: "a weekly time is free",
    OfferState.CONFIRMED: "the weekly lesson is booked",
    OfferState.LOST: "that time has just gone",
}


def tell_offer(*, offer: Offer, event: Event, studio: Studio, now: datetime) -> int:
    """Tell the family how the offer stands; return how many messages."""
    people = people_of(offer.waiting)
    subject = f"{offer.waiting.name}: {_SUBJECTS[OfferState(offer.state)]}"
    with timezone.override(studio.zone):
        for number, (address, name) in enumerate(people):
            context = {"offer": offer, "name": name, "studio": studio}
            mail_queue(
                key=f"offer:{offer.pk}:{offer.state}:{event.pk}:{number}",
                to=address,
                subject=subject,
                body=render_to_string("emails/offer.txt", context),
                now=now,
            )
    return len(people)


def tell_teacher_of_offer(*, offer: Offer, event: Event, studio: Studio, now: datetime) -> None:
    """Tell the teacher what a family answered."""
    if not studio.email:
        return
    with timezone.override(studio.zone):
        mail_queue(
            key=f"offer:{offer.pk}:{offer.state}:{event.pk}:teacher",
            to=studio.email,
            subject=f"{offer.waiting.name}: {offer.get_state_display()}",
            body=f"{offer.waiting.name}, {offer}: {offer.get_state_display()}.\n",
            now=now,
        )


def people_of(waiting: Waiting) -> list[tuple[str, str]]:
    """Return the addresses and names to write to: the family's adults, or the enquiry's own."""
    if waiting.student is None:
        name = waiting.contact_name or waiting.name
        return [(waiting.email, name)] if waiting.email else []
    adults = Adult.objects.filter(family=waiting.student.family_id).exclude(email="")
    return [(adult.email, adult.name) for adult in adults.order_by("pk")]
