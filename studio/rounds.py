"""What has to be looked at again and again: done by the mail loop, a little before mail is sent.

An app names what it wants looked at in its ``AppConfig.ready``::

    round_add("reminders", reminders_queue, every=timedelta(minutes=1))

where ``reminders_queue(now=...)`` does what is due and can be called at any time, twice, or late:
the machine may have been off for a day. What goes wrong in one round is logged and keeps no other
from being done.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol

from django.db import OperationalError

logger = logging.getLogger(__name__)


class Doer(Protocol):
    """Does what is due."""

    def __call__(self, *, now: datetime) -> object: ...


@dataclass(slots=True)
class _Round:
    do: Doer
    every: timedelta
    last_at: datetime | None = None


_ROUNDS: dict[str, _Round] = {}


def round_add(name: str, do: Doer, *, every: timedelta) -> None:
    """Make a round known; the same name a second time replaces the first."""
    _ROUNDS[name] = _Round(do, every)


def rounds_do(*, now: datetime) -> list[str]:
    """Do the rounds whose turn it is in this process, and return their names.

    :raises OperationalError: when the database is away; the loop waits and tries again
    """
    done = []
    for name, each in _ROUNDS.items():
        is_due = each.last_at is None or not each.last_at <= now < each.last_at + each.every
        if not is_due:
            continue
        try:
            each.do(now=now)
        except OperationalError:
            raise
        except Exception:
            logger.exception("the round %r failed", name)
        each.last_at = now
        done.append(name)
    return done
