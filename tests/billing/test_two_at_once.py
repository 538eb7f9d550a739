"""Numbers without gaps and nothing billed twice, with threads, processes and sudden death."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, connections

from billing import services
from billing.balances import free_credit, sources
from billing.charging.numbering import missing_serials
from billing.models import Invoice, InvoiceNumber, Payment
from tests.billing.conftest import NOVEMBER, NOW, TODAY, Desk, make_desk
from tests.factories.billing import InvoiceFactory, InvoiceLineFactory

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def desk() -> Desk:
    return make_desk()


def fee_draft(family: Any, month: int) -> Invoice:
    draft = InvoiceFactory(family=family, period_start=date(2026, month, 1))
    InvoiceLineFactory(invoice=draft)
    return draft


def at_once(*jobs: Callable[[], object]) -> list[object]:
    """Run each job in a thread of its own, all let go together; return results or exceptions."""
    gate, found = threading.Barrier(len(jobs)), [None] * len(jobs)

    def run(index: int, job: Callable[[], object]) -> None:
        gate.wait()
        try:
            found[index] = job()  # type: ignore[call-overload]
        except Exception as problem:
            found[index] = problem  # type: ignore[call-overload]
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(jobs)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


def serials() -> list[int]:
    return sorted(Invoice.objects.issued().values_list("number_serial", flat=True))


class TestThreads:
    def test_six_presses_give_six_numbers_in_a_row(self, desk: Desk) -> None:
        drafts = [fee_draft(desk.family, month) for month in range(1, 7)]

        found = at_once(
            *(lambda draft=draft: desk.issue(draft) for draft in drafts)  # type: ignore[misc]
        )

        assert [type(one) for one in found] == [Invoice] * 6, found
        assert serials() == [1, 2, 3, 4, 5, 6]

    def test_pressing_twice_issues_once(self, desk: Desk) -> None:
        draft = desk.draft()

        found = at_once(*[lambda: desk.issue(draft)] * 4)

        assert {one.number for one in found} == {"2026-0001"}  # type: ignore[attr-defined]
        assert serials() == [1]

    def test_drafting_at_once_bills_nothing_twice(self, desk: Desk) -> None:
        found = at_once(*[desk.draft] * 4)

        assert len({one.pk for one in found}) == 1, found  # type: ignore[attr-defined]
        assert Invoice.objects.get().lines.count() == 12

    def test_one_credit_pays_only_one_invoice(self, desk: Desk) -> None:
        desk.pay("12.50")
        drafts = [fee_draft(desk.family, month) for month in (1, 2)]

        at_once(*(lambda draft=draft: desk.issue(draft) for draft in drafts))  # type: ignore[misc]

        assert free_credit(sources(desk.family.pk, "EUR")) == 0
        assert sum(a.amount for a in Payment.objects.get().allocations.all()) == 12.5


SCRIPT = """
import os, sys, signal
import django
from django.conf import settings
settings.DATABASES["default"]["NAME"] = os.environ["TEST_DATABASE"]
django.setup()
from datetime import UTC, date, datetime
from billing import services
from billing.models import Invoice
from billing.services import issuing
from studio.models import User

how, pks = sys.argv[1], [int(pk) for pk in sys.argv[2:]]
if how == "die":
    # The invoice has its number, its row is written, nothing is committed yet.
    issuing.event_record = lambda **kwargs: os.kill(os.getpid(), signal.SIGKILL)
teacher = User.objects.get(role="teacher")
for pk in pks:
    services.invoice_issue(
        invoice=Invoice.objects.get(pk=pk),
        by=teacher,
        today=date(2026, 11, 30),
        now=datetime(2026, 11, 30, 12, tzinfo=UTC),
    )
"""


def process(how: str, *drafts: Invoice) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-c", SCRIPT, how, *(str(draft.pk) for draft in drafts)],
        cwd=Path(__file__).resolve().parents[2],
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "TEST_DATABASE": str(connection.settings_dict["NAME"]),
        },
    )


class TestProcesses:
    def test_a_process_killed_half_way_leaves_no_gap(self, desk: Desk) -> None:
        drafts = [fee_draft(desk.family, month) for month in range(1, 4)]
        desk.issue(drafts[0])

        died = process("die", drafts[1]).wait(timeout=120)

        assert died == -signal.SIGKILL
        assert Invoice.objects.get(pk=drafts[1].pk).is_draft
        assert InvoiceNumber.objects.get().last_serial == 1
        assert [desk.issue(draft).number for draft in drafts[1:]] == ["2026-0002", "2026-0003"]

    def test_two_processes_share_one_series(self, desk: Desk) -> None:
        drafts = [fee_draft(desk.family, month) for month in range(1, 9)]

        running = [process("live", *drafts[:4]), process("live", *drafts[4:])]

        assert [one.wait(timeout=120) for one in running] == [0, 0]
        assert missing_serials(serials()) == ()
        assert len(serials()) == 8


class TestMonthRun:
    def test_killed_anywhere_and_run_again_it_gives_the_same(
        self, desk: Desk, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        drafts = [desk.draft(), fee_draft(InvoiceFactory(period_start=date(2025, 1, 1)).family, 11)]
        first = min(drafts, key=lambda draft: draft.family.name)
        assert process("live", first).wait(timeout=120) == 0
        second = next(draft for draft in drafts if draft.pk != first.pk)
        assert process("die", second).wait(timeout=120) == -signal.SIGKILL

        done = services.month_issue(month=NOVEMBER, by=desk.teacher, today=TODAY, now=NOW)

        assert [invoice.pk for invoice in done.issued] == [second.pk]
        assert serials() == [1, 2]
