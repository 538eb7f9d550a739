"""Mail is written down once, sent once, over a real mail server, and survives one that is away."""

from __future__ import annotations

import email
import socket
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from email.message import Message
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from django.db import transaction
from django.test import override_settings

from studio.models import MailStatus, OutgoingEmail
from studio.outbox import (
    IN_FLIGHT_LIMIT,
    MOST_ATTEMPTS,
    Attachment,
    mail_queue,
    mail_take_back,
    outbox_send,
)
from tests.factories.studio import StudioFactory

NOW = datetime(2026, 9, 7, 12, 0, tzinfo=UTC)


class Letterbox:
    """A mail server's inside: keeps what it is given, refuses one address for good."""

    def __init__(self) -> None:
        self.messages: list[Message] = []

    async def handle_RCPT(  # noqa: N802 - the server library's name
        self, server: Any, session: Any, envelope: Any, address: str, options: Any
    ) -> str:
        if address == "nobody@example.org":
            return "550 No such person"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:  # noqa: N802
        self.messages.append(email.message_from_bytes(envelope.content))
        return "250 Taken"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture
def smtp() -> Iterator[tuple[Letterbox, int]]:
    box = Letterbox()
    port = free_port()
    controller = Controller(box, hostname="127.0.0.1", port=port)
    controller.start()
    with override_settings(
        EMAIL_BACKEND="django.core.mail.backends.smtp.EmailBackend",
        EMAIL_HOST="127.0.0.1",
        EMAIL_PORT=port,
        EMAIL_USE_TLS=False,
        EMAIL_HOST_USER="",
        EMAIL_HOST_PASSWORD="",
        DEFAULT_FROM_EMAIL="studio@copperlane.example",
    ):
        yield box, port
    controller.stop()


def queue(**changes: Any) -> OutgoingEmail:
    given: dict[str, Any] = {
        "key": "note:1",
        "to": "aoife@example.org",
        "subject": "How Síofra’s lesson went",
        "body": "Go deas. Świetnie. Μπράβο.",
        "now": NOW,
    }
    return mail_queue(**(given | changes))


@pytest.mark.django_db(transaction=True)
class TestOutboxSend:
    def test_a_message_arrives_whole(self, smtp: tuple[Letterbox, int]) -> None:
        StudioFactory(email="nuala@copperlane.example")
        attachment = Attachment("invoice.pdf", "application/pdf", b"%PDF-1.4 \x00\xff bytes")
        queue(attachments=[attachment])

        assert outbox_send(now=NOW) == 1

        (message,) = smtp[0].messages
        parts = list(message.walk())
        text = next(part for part in parts if part.get_content_type() == "text/plain")
        file = next(part for part in parts if part.get_content_type() == "application/pdf")
        assert message["To"] == "aoife@example.org"
        assert message["From"] == "Copper Lane Drum Room <studio@copperlane.example>"
        assert message["Reply-To"] == "nuala@copperlane.example"
        assert str(email.header.make_header(email.header.decode_header(message["Subject"]))) == (
            "How Síofra’s lesson went"
        )
        assert text.get_payload(decode=True).decode("utf-8").strip() == "Go deas. Świetnie. Μπράβο."
        assert file.get_payload(decode=True) == b"%PDF-1.4 \x00\xff bytes"
        assert OutgoingEmail.objects.get().status == MailStatus.SENT

    def test_the_same_key_is_one_message(self, smtp: tuple[Letterbox, int]) -> None:
        queue()
        queue()

        assert outbox_send(now=NOW) == 1
        assert outbox_send(now=NOW + timedelta(days=1)) == 0
        assert len(smtp[0].messages) == 1

    def test_a_server_that_is_away_is_tried_again_later(self, smtp: tuple[Letterbox, int]) -> None:
        queue()
        with override_settings(EMAIL_PORT=free_port()):
            assert outbox_send(now=NOW) == 0
        row = OutgoingEmail.objects.get()
        assert (row.status, row.attempts) == (MailStatus.QUEUED, 1)
        assert row.error

        assert outbox_send(now=NOW + timedelta(seconds=30)) == 0
        assert outbox_send(now=NOW + timedelta(minutes=2)) == 1
        assert len(smtp[0].messages) == 1

    def test_it_gives_up_after_many_tries(self, smtp: tuple[Letterbox, int]) -> None:
        queue()
        moment = NOW
        with override_settings(EMAIL_PORT=free_port()):
            for _ in range(MOST_ATTEMPTS):
                outbox_send(now=moment)
                moment += timedelta(days=1)

        assert OutgoingEmail.objects.get().status == MailStatus.FAILED

    def test_an_address_refused_for_good_is_not_tried_again(
        self, smtp: tuple[Letterbox, int]
    ) -> None:
        queue(to="nobody@example.org")
        queue(key="note:2")

        assert outbox_send(now=NOW) == 1
        assert OutgoingEmail.objects.get(key="note:1").status == MailStatus.FAILED

    def test_a_message_lost_in_flight_is_shown_not_sent_twice(
        self, smtp: tuple[Letterbox, int]
    ) -> None:
        row = queue()
        OutgoingEmail.objects.filter(pk=row.pk).update(status=MailStatus.IN_FLIGHT, claimed_at=NOW)

        assert outbox_send(now=NOW + IN_FLIGHT_LIMIT + timedelta(seconds=1)) == 0
        row.refresh_from_db()
        assert row.status == MailStatus.FAILED
        assert "may have arrived" in row.error
        assert smtp[0].messages == []

    def test_a_line_break_in_the_studios_name_stops_no_mail(
        self, smtp: tuple[Letterbox, int]
    ) -> None:
        StudioFactory(name="Copper\r\nLane")
        queue()

        assert outbox_send(now=NOW) == 1
        assert smtp[0].messages[0]["From"] == "Copper Lane <studio@copperlane.example>"

    def test_a_message_that_can_never_be_sent_does_not_hold_up_the_next(
        self, smtp: tuple[Letterbox, int]
    ) -> None:
        bad = queue(to="a@example.org")
        OutgoingEmail.objects.filter(pk=bad.pk).update(subject="a\nb")
        queue(key="note:2")

        assert outbox_send(now=NOW) == 1
        bad.refresh_from_db()
        assert bad.status == MailStatus.FAILED

    def test_a_line_break_in_a_subject_is_no_second_header(
        self, smtp: tuple[Letterbox, int]
    ) -> None:
        queue(subject="Lesson\r\nBcc: everybody@example.org")

        assert outbox_send(now=NOW) == 1
        assert smtp[0].messages[0]["Bcc"] is None


@pytest.mark.django_db
def test_what_is_rolled_back_is_not_sent() -> None:
    def a_lesson_that_is_not_kept() -> None:
        with transaction.atomic():
            queue()
            raise RuntimeError

    with pytest.raises(RuntimeError):
        a_lesson_that_is_not_kept()

    assert OutgoingEmail.objects.count() == 0


@pytest.mark.django_db
class TestMailThatWaits:
    """With the letterbox of the tests' own e-mail backend: no server is needed."""

    def test_it_goes_when_its_time_has_come(self) -> None:
        queue(not_before=NOW + timedelta(minutes=10))

        assert outbox_send(now=NOW + timedelta(minutes=10, seconds=-1)) == 0
        assert outbox_send(now=NOW + timedelta(minutes=10)) == 1

    def test_a_time_that_is_past_means_at_once(self) -> None:
        queue(not_before=NOW - timedelta(days=1))

        assert outbox_send(now=NOW) == 1

    def test_taken_back_it_never_goes_and_can_be_written_anew(self) -> None:
        queue(not_before=NOW + timedelta(minutes=10))
        queue(key="note:2")

        assert mail_take_back(["note:1", "unknown"]) == {"note:1"}
        assert mail_take_back(["note:1"]) == frozenset()
        assert outbox_send(now=NOW + timedelta(days=1)) == 1
        queue()
        assert outbox_send(now=NOW + timedelta(days=2)) == 1

    @pytest.mark.parametrize(
        ("status", "attempts"),
        [
            (MailStatus.SENT, 1),
            (MailStatus.IN_FLIGHT, 0),
            (MailStatus.FAILED, 8),
            (MailStatus.QUEUED, 1),
        ],
    )
    def test_what_may_have_arrived_stays(self, status: str, attempts: int) -> None:
        row = queue(attachments=[Attachment("a.txt", "text/plain", b"a")])
        OutgoingEmail.objects.filter(pk=row.pk).update(status=status, attempts=attempts)

        assert mail_take_back(["note:1"]) == frozenset()
        assert OutgoingEmail.objects.get().status == status
