"""What changes more than one row among people, places and sign-ins."""

from __future__ import annotations

import re
import secrets
import unicodedata
from datetime import datetime
from decimal import Decimal

from django.contrib.auth.hashers import make_password
from django.db import transaction
from django.db.models.functions import Lower

from studio.events import event_record
from studio.models import (
    Adult,
    Family,
    MailStatus,
    OutgoingEmail,
    Place,
    PlaceKind,
    Role,
    Student,
    User,
)
from studio.one_time_links import one_time_address
from studio.outbox import mail_queue


class NoAddressToWriteTo(Exception):
    """There is no e-mail address for this person."""


def family_create(
    *,
    name: str,
    adult_name: str,
    adult_email: str,
    adult_phone: str,
    address: str,
    position: tuple[Decimal, Decimal] | None,
    students: list[tuple[str, int | None]],
    by: User,
    now: datetime,
) -> Family:
    """Write down a family with its home, one adult and its students, all or nothing."""
    latitude, longitude = position or (None, None)
    with transaction.atomic():
        home = Place(
            kind=PlaceKind.HOME,
            name=name,
            address=address,
            latitude=latitude,
            longitude=longitude,
        )
        home.full_clean()
        home.save()
        family = Family(name=name, home=home)
        family.full_clean()
        family.save()
        Adult.objects.create(family=family, name=adult_name, email=adult_email, phone=adult_phone)
        for student_name, birth_year in students:
            Student.objects.create(family=family, name=student_name, birth_year=birth_year)
        event_record(kind="family created", subject=family.name, by=by, now=now, family=family.pk)
    return family


def account_for_student(*, student: Student, by: User, now: datetime) -> User:
    """Return the student's sign-in, made on first use; children have no e-mail address."""
    if student.user is not None:
        return student.user
    with transaction.atomic():
        student = Student.objects.select_for_update().get(pk=student.pk)
        if student.user is None:
            student.user = _account_create(student.name, Role.STUDENT, email="")
            student.save(update_fields=["user"])
            event_record(
                kind="sign-in made", subject=student.name, by=by, now=now, student=student.pk
            )
        return student.user


def account_for_adult(*, adult: Adult, by: User, now: datetime) -> User:
    """Return the adult's sign-in, made on first use."""
    if adult.user is not None:
        return adult.user
    with transaction.atomic():
        adult = Adult.objects.select_for_update().get(pk=adult.pk)
        if adult.user is None:
            adult.user = _account_create(adult.name, Role.PARENT, email=adult.email)
            adult.save(update_fields=["user"])
            event_record(kind="sign-in made", subject=adult.name, by=by, now=now, adult=adult.pk)
        return adult.user


def adult_invite(*, adult: Adult, by: User, now: datetime) -> User:
    """Mail an adult a link that signs them in once.

    :raises NoAddressToWriteTo: when the adult has no e-mail address
    """
    if not adult.email:
        raise NoAddressToWriteTo(f"{adult.name} has no e-mail address yet.")
    user = account_for_adult(adult=adult, by=by, now=now)
    mail_queue(
        key=f"invitation:{user.pk}:{now.isoformat()}",
        to=adult.email,
        subject="Your page at the drum studio",
        body=(
            f"Dear {adult.name},\n\n"
            "this link signs you in to your family's page: lessons, progress notes and invoices. "
            "It works once, within a week.\n\n"
            f"{one_time_address(user)}\n\n"
            f"Later you can sign in as {user.username} with a code sent to this address.\n"
        ),
        now=now,
    )
    return user


def password_set_by_teacher(*, user: User, password: str, by: User, now: datetime) -> None:
    """Give a child the password that teacher and child agreed on."""
    with transaction.atomic():
        user.set_password(password)
        user.save(update_fields=["password"])
        event_record(kind="password set", subject=user.username, by=by, now=now, user=user.pk)


def mail_try_again(*, email: OutgoingEmail, by: User, now: datetime) -> None:
    """Put a message that was given up back in the queue."""
    with transaction.atomic():
        changed = OutgoingEmail.objects.filter(pk=email.pk, status=MailStatus.FAILED).update(
            status=MailStatus.QUEUED, retry_at=now, attempts=0
        )
        if changed:
            event_record(kind="mail again", subject=str(email), by=by, now=now, email=email.pk)


def _account_create(name: str, role: Role, *, email: str) -> User:
    if email and User.objects.filter(email__iexact=email).exists():
        # Two people may share a mailbox; the sign-in belongs to the first.
        email = ""
    user = User(
        username=_free_username(name),
        display_name=name,
        role=role,
        email=email,
        password=make_password(None),
    )
    user.full_clean()
    user.save()
    return user


def _free_username(name: str) -> str:
    """Return a short name to sign in with that nobody has: letters a phone can type."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    stem = re.sub(r"[^a-z]+", "-", plain).strip("-")[:24] or "student"
    taken = set(
        User.objects.annotate(low=Lower("username"))
        .filter(low__startswith=stem)
        .values_list("low", flat=True)
    )
    if stem not in taken:
        return stem
    return next(
        candidate
        for candidate in (f"{stem}-{secrets.randbelow(9000) + 1000}" for _ in range(10_000))
        if candidate not in taken
    )


def place_move(*, place: Place, position: tuple[Decimal, Decimal], by: User, now: datetime) -> None:
    """Set a place's position from the browser's own location at the door."""
    with transaction.atomic():
        place.latitude, place.longitude = position
        place.full_clean()
        place.save(update_fields=["latitude", "longitude"])
        event_record(kind="position set", subject=place.name, by=by, now=now, place=place.pk)
