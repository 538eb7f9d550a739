"""The studio's own pages, as the teacher uses them."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from studio.models import Event, Family, Place, Student
from tests.access.studio_expectations import FAMILY_FORM
from tests.factories.studio import (
    AdultFactory,
    FamilyFactory,
    StudentFactory,
    StudioFactory,
    TeacherFactory,
)

SIGN_IN = "allauth.account.auth_backends.AuthenticationBackend"


@pytest.fixture
def teacher(db: None, client: Client) -> Client:
    StudioFactory()
    client.force_login(TeacherFactory(), backend=SIGN_IN)
    return client


class TestFamilyCreate:
    def test_a_family_of_two_is_written_down_whole(self, teacher: Client) -> None:
        data = FAMILY_FORM | {
            "second_student": "Oisín Sheehan",
            "position": "51.9, -8.4",
            "address": "1 Quay\nCobh",
        }

        response = teacher.post(reverse("studio:family_create"), data, follow=True)

        family = Family.objects.get()
        assert response.redirect_chain[-1][0] == reverse("studio:family_detail", args=[family.pk])
        assert family.home.position == (51.9, -8.4)
        assert sorted(s.name for s in family.students.all()) == ["Fiadh Sheehan", "Oisín Sheehan"]
        assert family.adults.get().email == "orla@example.org"
        assert Event.objects.get(kind="family created").by is not None

    @pytest.mark.parametrize(
        "bad",
        [
            {"position": "somewhere"},
            {"adult_email": "x"},
            {"first_birth_year": "-1"},
            {"name": "ą" * 5000},
            {"second_birth_year": "99999999999999999999"},
        ],
    )
    def test_a_bad_field_writes_nothing_and_keeps_what_was_typed(
        self, teacher: Client, bad: dict[str, str]
    ) -> None:
        response = teacher.post(reverse("studio:family_create"), FAMILY_FORM | bad)

        assert response.status_code == 422
        assert next(iter(bad)) in response.context["form"].errors
        assert "Órla Sheehan" in response.content.decode()
        assert (Family.objects.count(), Student.objects.count()) == (0, 0)
        assert Place.objects.filter(kind="home").count() == 0

    def test_markup_in_a_name_stays_text(self, teacher: Client) -> None:
        data = FAMILY_FORM | {"name": "<script>alert(1)</script>"}

        response = teacher.post(reverse("studio:family_create"), data, follow=True)

        assert "<script>alert(1)" not in response.content.decode()
        assert "&lt;script&gt;alert(1)" in response.content.decode()


class TestFamilyList:
    def test_finds_by_student_and_adult(self, teacher: Client) -> None:
        wanted = FamilyFactory(name="Żurawska")
        StudentFactory(family=wanted, name="Staś")
        AdultFactory(family=wanted, name="Łucja")
        FamilyFactory(name="Roche")

        for word in ("Żuraw", "Staś", "Łucja"):
            page = teacher.get(reverse("studio:family_list"), {"search": word}).content.decode()
            assert "Żurawska" in page
            assert "Roche" not in page

    def test_htmx_gets_only_the_rows(self, teacher: Client) -> None:
        response = teacher.get(reverse("studio:family_list"), headers={"HX-Request": "true"})

        assert "<html" not in response.content.decode()
        assert "HX-Request" in response["Vary"]

    def test_an_empty_studio_is_told_what_to_do(self, teacher: Client) -> None:
        page = teacher.get(reverse("studio:family_list")).content.decode()

        assert "press “A family rang”" in page

    @pytest.mark.parametrize("address", ["studio:family_list", "studio:student_list"])
    def test_more_rows_take_no_more_queries(
        self,
        teacher: Client,
        django_assert_num_queries: DjangoAssertNumQueries,
        address: str,
    ) -> None:
        def families(count: int) -> None:
            for _ in range(count):
                family = FamilyFactory()
                AdultFactory(family=family)
                StudentFactory(family=family)

        families(1)
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        with CaptureQueriesContext(connection) as one:
            teacher.get(reverse(address))
        families(19)

        with django_assert_num_queries(len(one)):
            teacher.get(reverse(address))


class TestFamilyDetail:
    def test_shows_the_road_at_once(self, teacher: Client) -> None:
        family = FamilyFactory(home__latitude="51.888400", home__longitude="-8.590300")

        page = teacher.get(reverse("studio:family_detail", args=[family.pk])).content.decode()

        assert " km" in page
        assert " min" in page

    def test_a_position_not_known_is_never_nought(self, teacher: Client) -> None:
        family = FamilyFactory(home__latitude=None, home__longitude=None)

        page = teacher.get(reverse("studio:family_detail", args=[family.pk])).content.decode()

        assert "distance unknown" in page.lower()
        assert "0 km" not in page


class TestHome:
    def test_everybody_lands_on_the_page_they_come_for(self, teacher: Client) -> None:
        assert teacher.get("/")["Location"] == reverse("lessons:today")
