"""The waiting list: writing somebody down, and making a student of an enquiry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal

from django.db import transaction

from lessons.models import Offer, OfferState, Series, Waiting, WaitingState, WaitingWindow
from studio.events import event_record
from studio.models import Adult, Family, Place, PlaceKind, Student, User


@dataclass(frozen=True, slots=True)
class WindowWish:
    """A stretch of a weekday in which somebody can come."""

    weekday: int
    begins_at: time
    ends_at: time
    is_preferred: bool = False


@dataclass(frozen=True, slots=True)
class WaitingWish:
    """Everything that is written down about somebody who looks for a time.

    ``place`` None is an enquiry's own home, at ``address`` and ``position``.
    """

    student: Student | None
    name: str
    contact_name: str
    email: str
    phone: str
    birth_year: int | None
    place: Place | None
    address: str
    position: tuple[Decimal, Decimal] | None
    minutes: int
    replaces: Series | None
    note: str
    since_date: date
    windows: Sequence[WindowWish] = ()


def waiting_write(
    *, wish: WaitingWish, by: User, now: datetime, waiting: Waiting | None = None
) -> Waiting:
    """Write somebody on the list, or change what is written about them."""
    with transaction.atomic():
        is_new = waiting is None
        row = waiting or Waiting(created_at=now)
        row.student, row.replaces = wish.student, wish.replaces
        row.name = wish.student.name if wish.student else wish.name
        row.contact_name, row.email, row.phone = wish.contact_name, wish.email, wish.phone
        row.birth_year = wish.student.birth_year if wish.student else wish.birth_year
        row.place = wish.place or _own_home(wish, row)
        row.minutes, row.note, row.since_date = wish.minutes, wish.note, wish.since_date
        row.full_clean()
        row.save()
        row.windows.all().delete()
        WaitingWindow.objects.bulk_create(
            WaitingWindow(
                waiting=row,
                weekday=window.weekday,
                begins_at=window.begins_at,
                ends_at=window.ends_at,
                is_preferred=window.is_preferred,
            )
            for window in wish.windows
        )
        kind = "waiting_written" if is_new else "waiting_changed"
        event_record(kind=kind, subject=row.name, by=by, now=now, waiting=row.pk)
    return row


def waiting_close(*, waiting: Waiting, by: User, now: datetime) -> Waiting:
    """Take somebody off the list; what is offered to them is offered no longer."""
    with transaction.atomic():
        waiting = Waiting.objects.select_for_update().get(pk=waiting.pk)
        if waiting.state != WaitingState.WAITING:
            return waiting
        waiting.state = WaitingState.GONE
        waiting.save(update_fields=["state"])
        Offer.objects.filter(
            waiting=waiting, state__in=[OfferState.OPEN, OfferState.WISHED]
        ).update(state=OfferState.DECLINED, answered_at=now, answered_by=by)
        event_record(
            kind="waiting_closed", subject=waiting.name, by=by, now=now, waiting=waiting.pk
        )
    return waiting


def student_of(*, waiting: Waiting, by: User, now: datetime) -> Student:
    """Return the student who waits; an enquiry becomes a family with one, at its own home."""
    if waiting.student is not None:
        return waiting.student
    home = waiting.place
    if home.kind != PlaceKind.HOME:
        home = Place.objects.create(kind=PlaceKind.HOME, name=waiting.name)
    adult = waiting.contact_name or waiting.name
    family = Family(name=adult, home=home)
    family.full_clean()
    family.save()
    Adult.objects.create(family=family, name=adult, email=waiting.email, phone=waiting.phone)
    student = Student(family=family, name=waiting.name, birth_year=waiting.birth_year)
    student.full_clean()
    student.save()
    waiting.student = student
    waiting.save(update_fields=["student"])
    event_record(kind="family created", subject=family.name, by=by, now=now, family=family.pk)
    return student


def _own_home(wish: WaitingWish, row: Waiting) -> Place:
    """Return the place of an enquiry's home, kept over changes so that no place is left behind."""
    is_own = row.pk is not None and row.place.kind == PlaceKind.HOME and row.student_id is None
    home = row.place if is_own else Place(kind=PlaceKind.HOME)
    home.name, home.address = wish.name, wish.address
    home.latitude, home.longitude = wish.position or (None, None)
    home.full_clean()
    home.save()
    return home
