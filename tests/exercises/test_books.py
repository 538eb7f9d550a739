"""Practice books: read back, and asked for on a page."""

from __future__ import annotations

from io import BytesIO

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from exercises.notation.book import Book, practice_book
from exercises.notation.sheet import SheetItem
from exercises.rhythm.library import LIBRARY
from studio.long_work import WorkStopped, work_do_all, work_file
from studio.models import LongWork, User, WorkState
from tests.factories.exercises import ExerciseFactory, LadderFactory, LadderStepFactory
from tests.factories.studio import StudentFactory, TeacherFactory

ITEMS = tuple(
    SheetItem(entry.figure, title=entry.title, goal_bpm=entry.bpm) for entry in LIBRARY[:6]
)


class TestPracticeBook:
    def test_has_title_contents_key_and_every_exercise_where_the_contents_say(self) -> None:
        told: list[tuple[int, int, str]] = []
        book = Book(
            ITEMS,
            "Zażółć first steps",
            "Copper Lane Drum Room",
            student="Éanna Mac Giolla Easpaig",
            foreword="Slow first.",
        )

        content = practice_book(book, told=lambda *words: told.append(words))

        reader = PdfReader(BytesIO(content))
        pages = [page.extract_text() for page in reader.pages]
        assert "Zażółć first steps" in pages[0]
        assert "Éanna Mac Giolla Easpaig" in pages[0]
        assert "Slow first." in pages[0]
        assert "hearing" in pages[0]
        assert "Contents" in pages[1]
        assert "How it is written" in pages[1]
        outline = [entry for entry in reader.outline if not isinstance(entry, list)]
        assert [entry["/Title"] for entry in outline] == [item.title for item in ITEMS]
        for entry in outline:
            place = reader.get_destination_page_number(entry)
            assert place is not None
            assert str(entry["/Title"]) in pages[place]
            # The dots and the number are drawn before the words that they belong to.
            lines = pages[1].splitlines()
            number = next(n for n, line in enumerate(lines) if str(entry["/Title"]) in line)
            assert lines[number - 1].split()[-1] == str(place + 1)
        assert told[-1][0] == told[-1][1] == 12

    def test_is_the_same_every_time(self) -> None:
        book = Book(ITEMS[:2], "Two", "Copper Lane Drum Room", paper="Letter")

        assert practice_book(book) == practice_book(book)
        assert PdfReader(BytesIO(practice_book(book))).pages[0].mediabox.width == 612

    def test_stops_when_whoever_hears_of_it_says_so(self) -> None:
        def stop(done: int, total: int, words: str) -> None:
            raise WorkStopped

        with pytest.raises(WorkStopped):
            practice_book(Book(ITEMS, "Six", "Copper Lane"), told=stop)

    @pytest.mark.parametrize("count", [0, 121])
    def test_refuses_none_and_too_many(self, count: int) -> None:
        items = tuple(ITEMS[0] for _ in range(count))

        with pytest.raises(ValueError, match="1 to 120 exercises"):
            practice_book(Book(items, "x", "y"))


@pytest.mark.django_db
class TestBookStart:
    @pytest.fixture
    def teacher(self) -> User:
        return TeacherFactory()

    @pytest.fixture
    def client(self, teacher: User) -> Client:
        client = Client()
        client.force_login(teacher, backend="allauth.account.auth_backends.AuthenticationBackend")
        return client

    def test_teaches_when_nothing_is_chosen(self, client: Client) -> None:
        assert (
            "Tick some in the library"
            in client.get(reverse("exercises:book_start")).content.decode()
        )

    def test_prints_what_was_chosen_in_the_order_given(self, client: Client, teacher: User) -> None:
        first, second, third = (
            ExerciseFactory(title=title) for title in ("Harbour", "Quay", "Lane")
        )
        student = StudentFactory(name="Tadhg Quill")
        address = reverse("exercises:book_start")
        address += f"?exercise={first.pk}&exercise={second.pk}&exercise={third.pk}"

        answer = client.post(
            address,
            {
                "title": "For Tadhg",
                "student": student.pk,
                f"place_{first.pk}": "9",
                f"place_{second.pk}": "2",
                f"place_{third.pk}": "0",
            },
        )
        work_do_all()

        work = LongWork.objects.get()
        assert answer["Location"] == reverse("studio:work_show", args=[work.pk])
        assert work.state == WorkState.DONE
        reader = PdfReader(BytesIO(work_file(work).read_bytes()))
        assert [entry["/Title"] for entry in reader.outline] == ["Quay", "Harbour"]
        assert "Tadhg Quill" in reader.pages[0].extract_text()

    def test_a_ladder_comes_in_its_own_order(self, client: Client) -> None:
        ladder = LadderFactory(title="Harbour ladder")
        LadderStepFactory(ladder=ladder, position=1, exercise=ladder.target)
        LadderStepFactory(
            ladder=ladder, position=2, exercise=ladder.core, change="foot on the beats"
        )

        page = client.get(reverse("exercises:book_start"), {"ladder": ladder.pk}).content.decode()

        client.post(
            f"{reverse('exercises:book_start')}?ladder={ladder.pk}", {"title": "Harbour ladder"}
        )
        work_do_all()

        printed = PdfReader(BytesIO(work_file(LongWork.objects.get()).read_bytes()))
        words = " ".join(page.extract_text() for page in printed.pages)
        assert "Foot on the beats." in words
        assert "Harbour ladder" in page
        assert page.index(ladder.target.title) < page.index(ladder.core.title)

    def test_leaving_everything_out_is_refused_in_words(self, client: Client) -> None:
        only = ExerciseFactory()

        answer = client.post(
            f"{reverse('exercises:book_start')}?exercise={only.pk}",
            {"title": "Empty", f"place_{only.pk}": "0"},
        )

        assert answer.status_code == 422
        assert "1 to 120 exercises" in answer.content.decode()
        assert not LongWork.objects.exists()

    @pytest.mark.parametrize(
        "query", ["exercise=x", "ladder=x", "exercise=" + "9" * 40, "ladder=999"]
    )
    def test_junk_is_refused(self, client: Client, query: str) -> None:
        answer = client.get(f"{reverse('exercises:book_start')}?{query}")

        assert answer.status_code in (400, 404)

    def test_more_than_a_book_holds_is_refused(self, client: Client) -> None:
        query = "&".join(f"exercise={number}" for number in range(121))

        assert client.get(f"{reverse('exercises:book_start')}?{query}").status_code == 400
