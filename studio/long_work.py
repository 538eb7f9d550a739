"""Do what takes long in a process of its own, and say how far it is.

A request writes the work down (:func:`work_start`); once that is committed a child process is
started that claims it with a conditional UPDATE, so that no work is done twice, and does it. It
tells its progress as it goes, a few times a second at most, which is also its sign of life: work
whose process died is found by :func:`work_sweep`, said to have stopped half-way, and can be begun
again. ``MOST_AT_ONCE`` are done at a time; the others wait their turn.

An app names what it can do in its ``AppConfig.ready``::

    work_kind("practice book", book_print)

where ``book_print(parameters, progress)`` returns a :class:`WorkResult`. Whatever it refuses in
words (:class:`WorkRefused`) is shown to whoever asked.
"""

from __future__ import annotations

import logging
import secrets
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import models, transaction
from django.utils import timezone

from studio.models import LongWork, User, WorkState

MOST_AT_ONCE = 2
SILENT_FOR = timedelta(minutes=3)
KEPT_FOR = timedelta(days=7)
_TELL_EVERY = 0.4

logger = logging.getLogger(__name__)


class WorkRefused(Exception):
    """The work cannot be done; ``str()`` of it says why and what to do."""


class WorkStopped(Exception):
    """Somebody asked for it to stop."""


@dataclass(frozen=True, slots=True)
class WorkResult:
    """What came of it: a file to take, a page to go to, or both, and numbers worth keeping."""

    words: str
    content: bytes = b""
    file_name: str = ""
    content_type: str = "application/octet-stream"
    address: str = ""
    numbers: dict[str, Any] = field(default_factory=dict)


Doer = Callable[[dict[str, Any], "Progress"], WorkResult]
_KINDS: dict[str, Doer] = {}
_children: list[subprocess.Popen[bytes]] = []


def work_kind(name: str, do: Doer) -> None:
    """Make a kind of work known; the same name a second time replaces the first."""
    _KINDS[name] = do


def work_start(
    *, kind: str, title: str, parameters: dict[str, Any], by: User, now: datetime
) -> LongWork:
    """Write work down, and start a process for it once the transaction is committed.

    :raises LookupError: for a kind that no app has made known
    """
    if kind not in _KINDS:
        raise LookupError(f"there is no work called {kind!r}")
    work = LongWork(kind=kind, title=title[:160], parameters=parameters, asked_by=by, asked_at=now)
    work.full_clean()
    work.save()
    transaction.on_commit(child_start)
    return work


def work_stop(*, work: LongWork, now: datetime) -> None:
    """Ask work to stop: at once while it waits, else at its next word of progress."""
    waiting = LongWork.objects.filter(pk=work.pk, state=WorkState.WAITING)
    if not waiting.update(state=WorkState.STOPPED, finished_at=now):
        LongWork.objects.filter(pk=work.pk, state=WorkState.WORKING).update(is_to_stop=True)


def work_again(*, work: LongWork, now: datetime) -> None:
    """Put work that ended without a result back in the row."""
    with transaction.atomic():
        ended = LongWork.objects.filter(pk=work.pk, state__in=[WorkState.FAILED, WorkState.STOPPED])
        ended.update(
            state=WorkState.WAITING, asked_at=now, done=0, total=0, words="", error="",
            is_to_stop=False, begun_at=None, beat_at=None, finished_at=None,
        )  # fmt: skip
        transaction.on_commit(child_start)


def child_start() -> None:
    """Start a process that does what waits, unless the settings say to do without (in tests)."""
    if not getattr(settings, "LONG_WORK_IN_CHILDREN", True):
        return
    # Children that have ended are taken leave of, or they would stay in the system's list.
    _children[:] = [child for child in _children if child.poll() is None]
    child = subprocess.Popen(
        [sys.executable, "manage.py", "long_work"],
        cwd=settings.BASE_DIR,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        start_new_session=True,
    )
    _children.append(child)


def work_do_all() -> int:
    """Do what waits, one after another, until nothing is left; return how much was done."""
    count = 0
    while (work := _claimed()) is not None:
        _do(work)
        count += 1
    return count


def work_sweep(*, now: datetime) -> None:
    """Say of work whose process died that it stopped, start what waits, drop old files."""
    lost = LongWork.objects.filter(state=WorkState.WORKING, beat_at__lt=now - SILENT_FOR)
    lost.update(
        state=WorkState.FAILED,
        finished_at=now,
        error="It stopped half-way: the process that did it is gone. Begin it again.",
    )
    working = LongWork.objects.filter(state=WorkState.WORKING).count()
    overdue = LongWork.objects.filter(
        state=WorkState.WAITING, asked_at__lt=now - timedelta(seconds=20)
    )
    if working < MOST_AT_ONCE and overdue.exists():
        child_start()
    for work in LongWork.objects.filter(finished_at__lt=now - KEPT_FOR).exclude(file=""):
        shutil.rmtree(work_file(work).parent, ignore_errors=True)
        LongWork.objects.filter(pk=work.pk).update(file="")


def work_file(work: LongWork) -> Path:
    """Return where the work's file lies."""
    return Path(settings.DATA_DIR) / "work" / work.file


class Progress:
    """What the work tells of itself; every call is a chance to stop."""

    def __init__(self, work: LongWork, now: Callable[[], datetime] = timezone.now) -> None:
        self._mine = _claim_of(work)
        self._now = now
        self._told_at = 0.0

    def tell(self, done: int, total: int, words: str = "") -> None:
        """Say how far it is; the first and the last word are always written down.

        :raises WorkStopped: when somebody asked for it to stop, or took it for dead
        """
        moment = time.monotonic()
        if 0 < done < total and moment - self._told_at < _TELL_EVERY:
            return
        self._told_at = moment
        alive = self._mine.filter(is_to_stop=False)
        if not alive.update(done=done, total=total, words=words[:200], beat_at=self._now()):
            raise WorkStopped


def _claimed() -> LongWork | None:
    """Claim the next piece of work in turn, if there is a place free."""
    for work in LongWork.objects.filter(state=WorkState.WAITING).in_turn():
        now = timezone.now()
        with transaction.atomic():
            # Whoever claims waits for whoever is claiming: both would count themselves in.
            list(LongWork.objects.select_for_update().active().in_turn().values_list("pk"))
            claim = LongWork.objects.filter(pk=work.pk, state=WorkState.WAITING)
            if not claim.update(state=WorkState.WORKING, begun_at=now, beat_at=now):
                continue
            working = LongWork.objects.filter(state=WorkState.WORKING)
            first = list(working.order_by("begun_at", "pk").values_list("pk", flat=True))
            if work.pk not in first[:MOST_AT_ONCE]:
                LongWork.objects.filter(pk=work.pk).update(
                    state=WorkState.WAITING, begun_at=None, beat_at=None
                )
                return None
        work.refresh_from_db()
        return work
    return None


def _do(work: LongWork) -> None:
    mine = _claim_of(work)
    try:
        do = _KINDS[work.kind]
        result = do(work.parameters, Progress(work))
        kept = _file_kept(result)
    except WorkStopped:
        mine.update(state=WorkState.STOPPED, finished_at=timezone.now())
    except WorkRefused as refused:
        mine.update(state=WorkState.FAILED, finished_at=timezone.now(), error=str(refused)[:500])
    except Exception:
        logger.exception("long work %s (%s) failed", work.pk, work.kind)
        mine.update(
            state=WorkState.FAILED,
            finished_at=timezone.now(),
            error="Something went wrong on our side. Nothing was changed; begin it again.",
        )
    else:
        mine.update(
            state=WorkState.DONE,
            finished_at=timezone.now(),
            words=result.words[:200],
            result=result.numbers,
            address=result.address,
            file=kept,
            file_name=result.file_name[:160],
            content_type=result.content_type,
        )


def _claim_of(work: LongWork) -> models.QuerySet[LongWork]:
    """The row as long as this very claim holds: not once it was taken for dead and begun again."""
    return LongWork.objects.filter(pk=work.pk, state=WorkState.WORKING, begun_at=work.begun_at)


def _file_kept(result: WorkResult) -> str:
    if not result.file_name:
        return ""
    name = f"{secrets.token_urlsafe(24)}/file"
    path = Path(settings.DATA_DIR) / "work" / name
    path.parent.mkdir(parents=True, mode=0o700)
    path.write_bytes(result.content)
    return name
