"""Mail on its way out."""

from __future__ import annotations

from django.db import models


class MailStatus(models.TextChoices):
    """How far a message has come."""

    QUEUED = "queued", "Waiting"
    IN_FLIGHT = "in_flight", "Being sent"
    SENT = "sent", "Sent"
    FAILED = "failed", "Given up"


class OutgoingEmail(models.Model):
    """One message to one address, written in the same transaction as what it tells of."""

    key = models.CharField(max_length=200, unique=True)
    to = models.EmailField()
    subject = models.CharField(max_length=250)
    body = models.TextField()
    status = models.CharField(
        max_length=10, choices=MailStatus.choices, default=MailStatus.QUEUED, db_index=True
    )
    attempts = models.PositiveSmallIntegerField(default=0)
    retry_at = models.DateTimeField(db_index=True)
    claimed_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    error = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(status__in=MailStatus.values), name="mail_status_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.subject} to {self.to}"


class OutgoingAttachment(models.Model):
    """A file that goes with a message."""

    email = models.ForeignKey(OutgoingEmail, on_delete=models.CASCADE, related_name="attachments")
    filename = models.CharField(max_length=120)
    content_type = models.CharField(max_length=80)
    content = models.BinaryField()

    def __str__(self) -> str:
        return self.filename
