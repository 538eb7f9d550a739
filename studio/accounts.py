"""How our accounts differ from the sign-in library's: nobody signs up, mail goes in the outbox."""

from __future__ import annotations

import secrets
from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest
from django.utils import timezone

from studio.outbox import mail_queue


class StudioAccountAdapter(DefaultAccountAdapter):
    """The teacher makes the accounts; the library signs people in."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        """Queue the message; the sender picks it up within seconds."""
        message = self.render_mail(template_prefix, email, context)
        mail_queue(
            key=f"account:{secrets.token_hex(16)}",
            to=email,
            subject=message.subject,
            body=message.body,
            now=timezone.now(),
        )

    def get_login_redirect_url(self, request: HttpRequest) -> str:
        return "/"
