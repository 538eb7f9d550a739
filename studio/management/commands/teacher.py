"""Make the teacher's sign-in in an empty studio, or a new link for it."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.hashers import make_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from studio.models import Role, User
from studio.one_time_links import one_time_address


class Command(BaseCommand):
    """Print a link that signs the teacher in once; make the teacher where there is none."""

    help = "Make the teacher's sign-in, or print a new one-time link for it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("username", nargs="?", default="teacher")
        parser.add_argument("name", nargs="?", default="Teacher")
        parser.add_argument("--email", default="")

    def handle(self, *args: Any, **options: Any) -> None:
        teacher = User.objects.filter(role=Role.TEACHER).order_by("pk").first()
        if teacher is None:
            teacher = User(
                username=options["username"],
                display_name=options["name"],
                email=options["email"],
                role=Role.TEACHER,
                password=make_password(None),
            )
            try:
                teacher.full_clean()
            except ValidationError as problem:
                raise CommandError(" ".join(problem.messages)) from None
            teacher.save()
        self.stdout.write(f"{teacher.display_name} signs in once by {one_time_address(teacher)}")
