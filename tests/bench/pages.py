"""How long the main pages take, beside a view that does nearly nothing."""

from __future__ import annotations

from django.core.management import call_command
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory
from django.urls import reverse

from studio.models import Family, Role, Student, User
from tests.bench.timing import heading, line, timed

RUNS = 60


def _bare(request: HttpRequest) -> HttpResponse:
    return HttpResponse("<p>Nothing at all</p>")


def run() -> None:
    """Fill a database with the demo scenario and open its pages."""
    heading("Pages (demo scenario, in process, no network)")
    call_command("migrate", verbosity=0, interactive=False)
    call_command("collectstatic", verbosity=0, interactive=False)
    call_command("demo")
    bare_request = RequestFactory().get("/")
    bare = timed(lambda: _bare(bare_request), runs=RUNS * 20)
    teacher = _client(User.objects.get(role=Role.TEACHER))
    student = Student.objects.exclude(user=None).order_by("pk").first()
    family = Family.objects.order_by("pk").first()
    assert student is not None
    assert student.user is not None
    assert family is not None
    parent = family.adults.exclude(user=None).get().user
    assert parent is not None
    base = timed(lambda: teacher.get(reverse("studio:health")), runs=RUNS)
    line("baseline: a view that returns a string", bare.milliseconds())
    line("baseline: /health/ (middleware, one query)", base.milliseconds())
    for label, client, address in (
        ("today (teacher)", teacher, reverse("lessons:today")),
        ("week (teacher)", teacher, reverse("lessons:week")),
        ("students (teacher)", teacher, reverse("studio:student_list")),
        ("a student (teacher)", teacher, reverse("studio:student_detail", args=[student.pk])),
        ("a family (teacher)", teacher, reverse("studio:family_detail", args=[family.pk])),
        ("exercises (teacher)", teacher, reverse("exercises:exercise_list")),
        ("money (teacher)", teacher, reverse("billing:money")),
        ("my week (student)", _client(student.user), reverse("exercises:my_week")),
        ("the family's page (parent)", _client(parent), reverse("studio:family_home")),
    ):
        times = timed(lambda c=client, a=address: _open(c, a), runs=RUNS)  # type: ignore[misc]
        line(label, f"{times.milliseconds()}   {times.median / base.median:6.1f} x health")


def _client(user: User) -> Client:
    client = Client(SERVER_NAME="localhost")
    client.force_login(user, backend="allauth.account.auth_backends.AuthenticationBackend")
    return client


def _open(client: Client, address: str) -> None:
    response = client.get(address)
    if response.status_code != 200:
        raise RuntimeError(f"{address} answered {response.status_code}")
