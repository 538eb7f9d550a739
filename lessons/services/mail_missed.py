"""Messages about make-ups, and about days on which many lessons change at once."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import timezone

from lessons.models import Lesson, MakeUpRight, Upset, UpsetLesson
from lessons.selectors.addressees import Addressee, addressees
from lessons.selectors.asking import names_for
from studio.models import Adult, Event, Family, Studio
from studio.outbox import mail_queue


def tell_make_up(
    *, right: MakeUpRight, lesson: Lesson, event: Event, studio: Studio, now: datetime
) -> int:
    """Tell the family when the make-up is; return how many messages."""
    adults = Adult.objects.filter(family=right.student.family_id).exclude(email="").order_by("pk")
    with timezone.override(studio.zone):
        for adult in adults:
            body = render_to_string(
                "emails/make_up.txt",
                {"right": right, "lesson": lesson, "adult": adult, "studio": studio},
            )
            mail_queue(
                key=f"{event.kind}:{event.pk}:{adult.pk}",
                to=adult.email,
                subject=f"{right.student.name}: a lesson made up",
                body=body,
                now=now,
            )
    return len(adults)


def tell_upset(*, upset: Upset, changes: Sequence[UpsetLesson], studio: Studio) -> int:
    """Queue one message for everybody concerned, to go when the upset says; return how many."""
    told = 0
    with timezone.override(studio.zone):
        for one in addressees(upset, changes):
            if not one.email:
                continue
            mail_queue(
                key=one.key,
                to=one.email,
                subject=_subject(upset, studio),
                body=_body(f"emails/upset_{upset.kind}.txt", upset, one, studio),
                now=upset.at,
                not_before=upset.tells_at,
            )
            told += 1
    return told


def tell_apology(
    *, upset: Upset, told: Sequence[Addressee], words: str, studio: Studio, now: datetime
) -> int:
    """Tell those who were told that the lessons are as they were; return how many messages."""
    with timezone.override(studio.zone):
        for one in told:
            body = _body("emails/upset_apology.txt", upset, one, studio, words=words)
            mail_queue(
                key=f"{one.key}:apology",
                to=one.email,
                subject=f"{studio.name}: the lessons are as they were",
                body=body,
                now=now,
            )
    return len(told)


def tell_declined(
    *, change: UpsetLesson, lesson: Lesson, family: Family | None, studio: Studio, now: datetime
) -> None:
    """Tell the teacher that a family does not want its lesson online.

    :param family: the one that stays away from a lesson that others have; None if it is off
    """
    if not studio.email:
        return
    names = names_for(lesson, family) if family else lesson.names
    with timezone.override(studio.zone):
        mail_queue(
            key=f"online-declined:{change.pk}" + (f":{family.pk}" if family else ""),
            to=studio.email,
            subject=f"{names}: not online",
            body=render_to_string(
                "emails/online_declined.txt", {"lesson": lesson, "family": family, "names": names}
            ),
            now=now,
        )


def _subject(upset: Upset, studio: Studio) -> str:
    who = studio.teacher_name or studio.name
    return {
        "away": f"{who}: lessons called off",
        "online": f"{who}: lessons online instead of at home",
        "late": f"{who} is {upset.minutes} minutes late",
    }[upset.kind]


def _body(template: str, upset: Upset, one: Addressee, studio: Studio, **more: object) -> str:
    return render_to_string(
        template,
        {"upset": upset, "one": one, "studio": studio, "site": settings.SITE_ADDRESS, **more},
    )
