"""Signing in: passwords, codes, links that work once, and how often one may try."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from studio import services
from studio.models import OutgoingEmail, Role, User
from studio.one_time_links import one_time_path
from tests.factories.studio import (
    AdultFactory,
    StudentFactory,
    StudioFactory,
    TeacherFactory,
    UserFactory,
)

PASSWORD = "brushes on a snare"


@pytest.fixture(autouse=True)
def _studio(db: None) -> None:
    StudioFactory()


@pytest.fixture
def child() -> User:
    user = UserFactory(username="siofra", display_name="Síofra", email="")
    user.set_password(PASSWORD)
    user.save()
    return user


def try_to_sign_in(client: Client, name: str, password: str) -> int:
    data = {"login": name, "password": password}
    return client.post(reverse("account_login"), data).status_code


class TestPassword:
    def test_a_child_signs_in_without_an_address(self, client: Client, child: User) -> None:
        assert try_to_sign_in(client, "siofra", PASSWORD) == 302
        assert client.session["_auth_user_id"] == str(child.pk)

    def test_a_parent_signs_in_with_the_address(self, client: Client) -> None:
        user = UserFactory(role=Role.PARENT, email="aoife@example.org")
        user.set_password(PASSWORD)
        user.save()

        assert try_to_sign_in(client, "AOIFE@example.org", PASSWORD) == 302

    def test_a_wrong_password_and_an_unknown_name_look_the_same(
        self, client: Client, child: User
    ) -> None:
        answers = [
            client.post(reverse("account_login"), {"login": name, "password": "wrong guess"})
            for name in ("siofra", "nobody")
        ]
        texts = [re.sub(r'value="[^"]*"', "", a.content.decode()) for a in answers]

        assert texts[0] == texts[1]
        assert "not correct" in texts[0]

    def test_guessing_is_throttled_for_the_account_and_the_right_password_waits_too(
        self, child: User
    ) -> None:
        for place in range(60):
            client = Client(REMOTE_ADDR=f"192.0.2.{place + 1}")
            assert try_to_sign_in(client, "siofra", "wrong guess") == 200

        client = Client()
        response = client.post(reverse("account_login"), {"login": "siofra", "password": PASSWORD})

        assert "_auth_user_id" not in client.session
        assert "Too many" in response.content.decode()

    def test_one_address_runs_out_of_tries_and_locks_nobody_out(self, child: User) -> None:
        for _ in range(40):
            try_to_sign_in(Client(REMOTE_ADDR="192.0.2.1"), "siofra", "wrong guess")

        at_home = Client(REMOTE_ADDR="198.51.100.7")
        at_home.post(reverse("account_login"), {"login": "siofra", "password": PASSWORD})

        assert "_auth_user_id" in at_home.session

    def test_a_new_password_ends_the_old_one(self, client: Client, child: User) -> None:
        try_to_sign_in(client, "siofra", PASSWORD)
        path = reverse("account_change_password")
        new = "sticks and a metronome"

        assert client.get(path).status_code == 200
        client.post(path, {"oldpassword": PASSWORD, "password1": new, "password2": new})

        child.refresh_from_db()
        assert child.check_password(new)
        assert "_auth_user_id" not in client.session, "they sign in again"

    @pytest.mark.parametrize("weak", ["password12", "1234567890", "short", "siofra1234"])
    def test_a_weak_password_is_refused(self, client: Client, child: User, weak: str) -> None:
        try_to_sign_in(client, "siofra", PASSWORD)

        client.post(
            reverse("account_change_password"),
            {"oldpassword": PASSWORD, "password1": weak, "password2": weak},
        )

        child.refresh_from_db()
        assert child.check_password(PASSWORD)

    def test_nobody_signs_up(self, client: Client) -> None:
        data = {"username": "stranger", "password1": PASSWORD}

        client.post(reverse("account_signup"), data)

        assert not User.objects.filter(username="stranger").exists()


class TestCode:
    def test_a_code_comes_by_mail_and_signs_in(self, client: Client) -> None:
        user = UserFactory(role=Role.PARENT, email="aoife@example.org")

        client.post(reverse("account_request_login_code"), {"email": "aoife@example.org"})
        mail = OutgoingEmail.objects.get()
        code = mail.body.split()[3]
        client.post(reverse("account_confirm_login_code"), {"code": code})

        assert mail.to == "aoife@example.org"
        assert client.session["_auth_user_id"] == str(user.pk)

    def test_an_unknown_address_gets_no_mail(self, client: Client) -> None:
        client.post(reverse("account_request_login_code"), {"email": "stranger@example.org"})

        assert OutgoingEmail.objects.count() == 0


class TestForgottenPassword:
    def test_a_link_comes_by_mail_and_a_new_password_works(self, client: Client) -> None:
        user = UserFactory(role=Role.PARENT, email="aoife@example.org")

        client.post(reverse("account_reset_password"), {"email": "aoife@example.org"})
        link = re.search(r"http\S+", OutgoingEmail.objects.get().body)
        assert link is not None
        path = re.sub(r"^http://[^/]+", "", link.group())
        form = client.get(path, follow=True)
        client.post(
            form.redirect_chain[-1][0],
            {"password1": "a new long one", "password2": "a new long one"},
        )

        user.refresh_from_db()
        assert user.check_password("a new long one")


class TestOneTimeLink:
    def test_signs_in_once(self, child: User) -> None:
        path = one_time_path(child)
        first, second = Client(), Client()

        assert first.get(path).status_code == 200
        assert first.get(path).status_code == 200, "looking at it does not use it up"
        assert first.post(path).status_code == 302
        assert first.session["_auth_user_id"] == str(child.pk)
        assert second.get(path).status_code == 404
        assert second.post(path).status_code == 404
        assert "_auth_user_id" not in second.session

    def test_a_made_up_link_is_none(self, client: Client) -> None:
        assert client.get(reverse("studio:one_time_link", args=["made-up"])).status_code == 404

    def test_trying_links_is_throttled(self, client: Client) -> None:
        path = reverse("studio:one_time_link", args=["guess"])

        # Twice as many as a span allows, so that one span has too many wherever it begins.
        answers = [client.get(path).status_code for _ in range(45)]

        assert answers[0] == 404
        assert 429 in answers

    def test_a_closed_account_stays_closed(self, client: Client, child: User) -> None:
        path = one_time_path(child)
        User.objects.filter(pk=child.pk).update(is_active=False)

        assert client.post(path).status_code == 404


class TestAccountsByTheTeacher:
    def test_a_child_gets_a_name_a_phone_can_type(self) -> None:
        student = StudentFactory(name="Síofra Ní Bhriain")

        user = services.account_for_student(
            student=student, by=TeacherFactory(), now=timezone.now()
        )

        assert user.username == "siofra-ni-bhriain"
        assert user.email == ""
        assert not user.has_usable_password()

    def test_two_of_the_same_name_get_two(self) -> None:
        teacher = TeacherFactory()
        users = [
            services.account_for_student(
                student=StudentFactory(name="Éanna"), by=teacher, now=timezone.now()
            )
            for _ in range(3)
        ]

        assert len({user.username for user in users}) == 3

    def test_asking_twice_makes_one(self) -> None:
        student, teacher = StudentFactory(), TeacherFactory()

        first = services.account_for_student(student=student, by=teacher, now=timezone.now())
        student.refresh_from_db()

        assert (
            services.account_for_student(student=student, by=teacher, now=timezone.now()) == first
        )

    def test_an_adult_is_written_to(self) -> None:
        adult = AdultFactory(email="aoife@example.org")

        services.adult_invite(adult=adult, by=TeacherFactory(), now=timezone.now())

        mail = OutgoingEmail.objects.get()
        assert mail.to == "aoife@example.org"
        assert "/link/" in mail.body

    def test_an_adult_without_an_address_is_not(self) -> None:
        with pytest.raises(services.NoAddressToWriteTo):
            services.adult_invite(
                adult=AdultFactory(email=""), by=TeacherFactory(), now=timezone.now()
            )
        assert OutgoingEmail.objects.count() == 0


class TestPressedWhileSignedOut:
    """A form that is sent after the session ended: after signing in one is back at its page."""

    @pytest.mark.parametrize(
        ("header", "address", "back"),
        [
            ("Referer", "http://testserver/today/?day=2026-09-08", "/today/%3Fday%3D2026-09-08"),
            ("HX-Current-URL", "http://testserver/lessons/5/", "/lessons/5/"),
            ("Referer", "https://elsewhere.example/today/", "/"),
            ("Referer", "http://testserver", "/"),
            ("Referer", "http://testserver//elsewhere.example/", "/"),
            ("Referer", "http://testserver/\\elsewhere.example/", "/"),
            ("HX-Current-URL", "http://[no-address", "/"),
        ],
    )
    def test_goes_back_to_the_page_it_was_pressed_on(
        self, header: str, address: str, back: str
    ) -> None:
        answer = Client().post(reverse("lessons:lesson_mark", args=[5]), headers={header: address})

        assert answer["Location"] == f"{reverse('account_login')}?next={back}"

    def test_a_page_that_was_only_opened_is_opened_afterwards(self) -> None:
        answer = Client().get("/week/?week=2026-09-07")

        assert answer["Location"].endswith("?next=/week/%3Fweek%3D2026-09-07")
