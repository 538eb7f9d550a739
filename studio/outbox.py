"""Mail that survives: written down with what it tells of, sent afterwards, never twice.

A service queues a message inside its own transaction; :func:`outbox_send` claims one message at a
time with a conditional UPDATE, talks to the mail server outside any transaction, then records the
outcome. A process that dies between the server's "yes" and the record leaves the message in flight;
after ``IN_FLIGHT_LIMIT`` it is given up rather than sent again, because a second invoice is worse
than a line in the teacher's list of unsent mail.
"""

from __future__ import annotations

import smtplib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from email.utils import formataddr

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction

from studio.models import MailStatus, OutgoingAttachment, OutgoingEmail, Studio

IN_FLIGHT_LIMIT = timedelta(minutes=15)
FIRST_RETRY = timedelta(minutes=1)
MOST_ATTEMPTS = 8


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file to go with a message."""

    filename: str
    content_type: str
    content: bytes


def mail_queue(
    *,
    key: str,
    to: str,
    subject: str,
    body: str,
    now: datetime,
    attachments: Sequence[Attachment] = (),
    not_before: datetime | None = None,
) -> OutgoingEmail:
    """Write a message down for sending; the same ``key`` a second time changes nothing.

    With ``not_before`` it waits until then, and :func:`mail_take_back` can still stop it.
    """
    with transaction.atomic():
        email, is_new = OutgoingEmail.objects.get_or_create(
            key=key,
            defaults={
                "to": to,
                "subject": " ".join(subject.split())[:250],
                "body": body,
                "retry_at": now if not_before is None else max(now, not_before),
                "created_at": now,
            },
        )
        if is_new:
            OutgoingAttachment.objects.bulk_create(
                OutgoingAttachment(
                    email=email,
                    filename=attachment.filename,
                    content_type=attachment.content_type,
                    content=attachment.content,
                )
                for attachment in attachments
            )
    return email


def mail_take_back(keys: Sequence[str]) -> frozenset[str]:
    """Stop what has not been tried yet, and return the keys of what was stopped.

    What the server was offered already stays: it may have arrived.
    """
    with transaction.atomic():
        waiting = OutgoingEmail.objects.select_for_update().filter(
            key__in=keys, status=MailStatus.QUEUED, attempts=0
        )
        stopped = frozenset(waiting.values_list("key", flat=True))
        OutgoingEmail.objects.filter(key__in=stopped, status=MailStatus.QUEUED, attempts=0).delete()
    return stopped


def outbox_send(*, now: datetime, most: int = 200) -> int:
    """Send what is due, oldest first, and return how many messages the server took."""
    give_up_on_the_lost(now=now)
    due = OutgoingEmail.objects.filter(status=MailStatus.QUEUED, retry_at__lte=now)
    sent = 0
    for pk in list(due.order_by("pk").values_list("pk", flat=True)[:most]):
        claimed = OutgoingEmail.objects.filter(
            pk=pk, status=MailStatus.QUEUED, retry_at__lte=now
        ).update(status=MailStatus.IN_FLIGHT, claimed_at=now)
        if claimed and _send_claimed(OutgoingEmail.objects.get(pk=pk), now=now):
            sent += 1
    return sent


def give_up_on_the_lost(*, now: datetime) -> int:
    """Mark messages whose sender died, so that the teacher sees them."""
    return OutgoingEmail.objects.filter(
        status=MailStatus.IN_FLIGHT, claimed_at__lt=now - IN_FLIGHT_LIMIT
    ).update(
        status=MailStatus.FAILED,
        error="The sending was cut off; it may have arrived. Ask, or send it again.",
    )


def _send_claimed(email: OutgoingEmail, *, now: datetime) -> bool:
    studio = Studio.current()
    message = EmailMessage(
        subject=email.subject,
        body=email.body,
        from_email=formataddr((" ".join(studio.name.split()), settings.DEFAULT_FROM_EMAIL)),
        to=[email.to],
        reply_to=[studio.email] if studio.email else None,
        headers={"Message-ID": f"<outbox-{email.pk}@{_mail_domain()}>"},
    )
    for attachment in email.attachments.order_by("pk"):
        message.attach(attachment.filename, bytes(attachment.content), attachment.content_type)
    attempts = email.attempts + 1
    row = OutgoingEmail.objects.filter(pk=email.pk)
    try:
        message.send()
    except ValueError as problem:
        # A header that no message may carry: it will not get better by waiting.
        row.update(status=MailStatus.FAILED, attempts=attempts, error=str(problem)[:300])
        return False
    except (smtplib.SMTPException, OSError) as problem:
        is_last = attempts >= MOST_ATTEMPTS or _is_final(problem)
        row.update(
            status=MailStatus.FAILED if is_last else MailStatus.QUEUED,
            attempts=attempts,
            retry_at=now + FIRST_RETRY * 2 ** (attempts - 1),
            error=str(problem)[:300],
        )
        return False
    row.update(status=MailStatus.SENT, attempts=attempts, sent_at=now, error="")
    return True


def _is_final(problem: Exception) -> bool:
    """Return True when trying again cannot help: the address itself was refused for good."""
    if not isinstance(problem, smtplib.SMTPRecipientsRefused):
        return False
    return all(500 <= code < 600 for code, _ in problem.recipients.values())


def _mail_domain() -> str:
    return settings.DEFAULT_FROM_EMAIL.rpartition("@")[2] or "localhost"
