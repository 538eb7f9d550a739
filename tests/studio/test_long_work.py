"""Long work: written down, done once, told of, stopped, begun again."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from studio import long_work
from studio.long_work import (
    Progress,
    WorkRefused,
    WorkResult,
    work_again,
    work_do_all,
    work_file,
    work_kind,
    work_start,
    work_stop,
    work_sweep,
)
from studio.models import LongWork, User, WorkState
from tests.factories.studio import TeacherFactory

NOW = datetime(2026, 11, 2, 9, tzinfo=UTC)
PROJECT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kinds() -> Iterator[None]:
    """Kinds of work for these tests alone."""
    before = dict(long_work._KINDS)
    work_kind("count", _count)
    work_kind("refuse", _refuse)
    work_kind("break", lambda parameters, progress: 1 / 0)  # type: ignore[arg-type,return-value]
    yield
    long_work._KINDS.clear()
    long_work._KINDS.update(before)


@pytest.fixture
def teacher() -> User:
    return TeacherFactory()


def _count(parameters: dict[str, Any], progress: Progress) -> WorkResult:
    for number in range(parameters["to"]):
        progress.tell(number, parameters["to"], f"at {number}")
        if number == parameters.get("stopped_at"):
            work_stop(work=LongWork.objects.get(state=WorkState.WORKING), now=NOW)
            progress.tell(0, parameters["to"])
    return WorkResult("Counted.", b"1 2 3", "count.txt", "text/plain", numbers={"to": 3})


def _refuse(parameters: dict[str, Any], progress: Progress) -> WorkResult:
    raise WorkRefused("There is nothing to count. Choose something.")


def start(teacher: User, kind: str = "count", **parameters: Any) -> LongWork:
    return work_start(
        kind=kind, title="Counting", parameters={"to": 3, **parameters}, by=teacher, now=NOW
    )


class TestDoing:
    def test_keeps_the_file_the_numbers_and_the_words(self, teacher: User) -> None:
        work = start(teacher)

        assert work_do_all() == 1

        work.refresh_from_db()
        assert work.state == WorkState.DONE
        assert work.words == "Counted."
        assert work.result == {"to": 3}
        assert work_file(work).read_bytes() == b"1 2 3"
        assert len(work.file) > 30

    def test_is_done_once_however_often_it_is_started(self, teacher: User) -> None:
        start(teacher)

        assert [work_do_all(), work_do_all()] == [1, 0]

    def test_a_refusal_is_told_in_its_own_words(self, teacher: User) -> None:
        work = start(teacher, "refuse")

        work_do_all()

        work.refresh_from_db()
        assert work.state == WorkState.FAILED
        assert work.error == "There is nothing to count. Choose something."

    def test_a_crash_is_told_without_its_innards(self, teacher: User) -> None:
        work = start(teacher, "break")

        work_do_all()

        work.refresh_from_db()
        assert work.state == WorkState.FAILED
        assert "Something went wrong on our side" in work.error
        assert "division" not in work.error

    def test_no_kind_no_work(self, teacher: User) -> None:
        with pytest.raises(LookupError):
            start(teacher, "fly")

    def test_only_so_many_are_done_at_once(self, teacher: User) -> None:
        for _ in range(long_work.MOST_AT_ONCE):
            busy = start(teacher)
            LongWork.objects.filter(pk=busy.pk).update(
                state=WorkState.WORKING, begun_at=NOW, beat_at=timezone.now()
            )
        waiting = start(teacher)

        assert work_do_all() == 0

        waiting.refresh_from_db()
        assert waiting.state == WorkState.WAITING
        assert waiting.begun_at is None


class TestStopping:
    def test_at_its_next_word(self, teacher: User) -> None:
        work = start(teacher, stopped_at=1)

        work_do_all()

        work.refresh_from_db()
        assert work.state == WorkState.STOPPED
        assert work.file == ""

    def test_at_once_while_it_waits_and_it_can_be_begun_again(self, teacher: User) -> None:
        work = start(teacher)
        work_stop(work=work, now=NOW)

        assert work_do_all() == 0
        work_again(work=work, now=NOW)
        assert work_do_all() == 1

    def test_what_is_done_is_not_begun_again(self, teacher: User) -> None:
        work = start(teacher)
        work_do_all()

        work_again(work=work, now=NOW)

        assert work_do_all() == 0


class TestSweeping:
    def test_work_whose_process_died_is_said_to_have_stopped(self, teacher: User) -> None:
        work = start(teacher)
        LongWork.objects.filter(pk=work.pk).update(state=WorkState.WORKING, beat_at=NOW)

        work_sweep(now=NOW + timedelta(minutes=2))
        work.refresh_from_db()
        assert work.state == WorkState.WORKING

        work_sweep(now=NOW + timedelta(minutes=4))
        work.refresh_from_db()
        assert work.state == WorkState.FAILED
        assert "half-way" in work.error

    def test_one_taken_for_dead_stops_when_it_speaks(self, teacher: User) -> None:
        work = start(teacher)
        LongWork.objects.filter(pk=work.pk).update(state=WorkState.WORKING, begun_at=NOW)
        work.refresh_from_db()
        progress = Progress(work)
        progress.tell(0, 3)

        # Meanwhile somebody else has begun it again.
        LongWork.objects.filter(pk=work.pk).update(begun_at=NOW + timedelta(minutes=9))

        with pytest.raises(long_work.WorkStopped):
            progress.tell(3, 3)

    def test_files_are_cleared_away_after_a_week(self, teacher: User) -> None:
        work = start(teacher)
        work_do_all()
        work.refresh_from_db()
        path = work_file(work)

        work_sweep(now=timezone.now() + timedelta(days=6))
        assert path.exists()
        work_sweep(now=timezone.now() + timedelta(days=8))

        work.refresh_from_db()
        assert not path.exists()
        assert work.file == ""


class TestPages:
    @pytest.fixture
    def client_of_teacher(self, teacher: User) -> Client:
        client = Client()
        client.force_login(teacher, backend="allauth.account.auth_backends.AuthenticationBackend")
        return client

    def test_shows_progress_and_asks_again_by_itself(
        self, client_of_teacher: Client, teacher: User
    ) -> None:
        work = start(teacher)
        LongWork.objects.filter(pk=work.pk).update(
            state=WorkState.WORKING, done=2, total=5, words="at 2"
        )

        page = client_of_teacher.get(reverse("studio:work_show", args=[work.pk])).content.decode()

        assert 'max="5" value="2"' in page
        assert "at 2" in page
        assert 'hx-trigger="load delay:1s"' in page

    def test_hands_out_the_file_when_it_is_done(
        self, client_of_teacher: Client, teacher: User
    ) -> None:
        work = start(teacher)
        work_do_all()

        page = client_of_teacher.get(reverse("studio:work_show", args=[work.pk])).content.decode()
        file = client_of_teacher.get(reverse("studio:work_take", args=[work.pk]))

        assert "Take count.txt" in page
        assert "hx-trigger" not in page
        assert b"".join(file.streaming_content) == b"1 2 3"  # type: ignore[attr-defined]

    def test_another_teachers_work_is_not_there(
        self, client_of_teacher: Client, teacher: User
    ) -> None:
        work = start(TeacherFactory())

        for name in ("work_show", "work_take"):
            address = reverse(f"studio:{name}", args=[work.pk])
            assert client_of_teacher.get(address).status_code == 404


@pytest.mark.django_db(transaction=True)
def test_a_process_of_its_own_does_it(teacher: User) -> None:
    from django.conf import settings
    from django.db import connection

    work = work_start(
        kind="practice book",
        title="Nothing left",
        parameters={"exercises": [], "title": "x", "student": None},
        by=teacher,
        now=NOW,
    )
    name = connection.settings_dict["NAME"]
    command = (
        "import django; django.setup();"
        "from django.db import connection; connection.settings_dict['NAME'] = "
        f"{str(name)!r};"
        "from studio.long_work import work_do_all; print(work_do_all())"
    )

    done = subprocess.run(
        [sys.executable, "-c", command],
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings"},
    )

    assert done.stdout.strip() == "1"
    work.refresh_from_db()
    assert work.state == WorkState.FAILED
    assert "Choose others" in work.error
