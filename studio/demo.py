"""The demo scenario's people and places. Everybody is invented."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from django.contrib.auth.hashers import make_password

from studio import services
from studio.models import (
    Adult,
    Family,
    Place,
    PlaceKind,
    Role,
    School,
    Student,
    Studio,
    User,
)


@dataclass(frozen=True)
class DemoStudent:
    """A student as the demo tells of them."""

    name: str
    birth_year: int
    is_left_handed: bool = False
    kit: str = "five_piece"


@dataclass(frozen=True)
class DemoFamily:
    """A family as the demo tells of it."""

    name: str
    adult: str
    email: str
    phone: str
    address: str
    position: tuple[str, str]
    students: tuple[DemoStudent, ...]
    note: str = ""
    signs_in: bool = field(default=False)


FAMILIES = (
    DemoFamily(
        "Hennessy-Quill",
        "Aoife Hennessy",
        "aoife.hennessy@example.org",
        "021 555 0141",
        "7 Weir Terrace\nBallincollig\nCo. Cork",
        ("51.888400", "-8.590300"),
        (DemoStudent("Síofra Quill", 2013), DemoStudent("Tadhg Quill", 2016)),
        "Kit stands in the garage; ring the side bell.",
        signs_in=True,
    ),
    DemoFamily(
        "Żurawska",
        "Łucja Żurawska",
        "lucja.zurawska@example.org",
        "021 555 0162",
        "15 Larch Court\nDouglas\nCork",
        ("51.874900", "-8.437200"),
        (DemoStudent("Staś Żurawski", 2014, kit="four_piece"),),
    ),
    DemoFamily(
        "Παπαδάκη",
        "Ελένη Παπαδάκη",
        "eleni.papadaki@example.org",
        "021 555 0177",
        "Flat 4, Marina Steps\nBlackrock\nCork",
        ("51.899800", "-8.411500"),
        (DemoStudent("Νίκος Παπαδάκης", 2015, kit="pad"),),
    ),
    DemoFamily(
        "Mac Giolla Easpaig",
        "Cormac Mac Giolla Easpaig",
        "cormac.mge@example.org",
        "021 555 0103",
        "Curragh Mill\nCarrigaline\nCo. Cork",
        ("51.812600", "-8.392100"),
        (DemoStudent("Éanna Mac Giolla Easpaig", 2012, is_left_handed=True),),
    ),
    DemoFamily(
        "Roche",
        "Dervla Roche",
        "dervla.roche@example.org",
        "021 555 0119",
        "2 Shandon Row\nCork",
        ("51.902600", "-8.476900"),
        (DemoStudent("Dervla Roche", 1988, kit="five_piece_two_pedals"),),
        "Learns for herself; comes to the room.",
    ),
)


def demo_build(*, now: datetime) -> None:
    """Write the studio, its teacher, five families and a school."""
    base = Place.objects.create(
        kind=PlaceKind.ROOM,
        name="Copper Lane",
        address="3 Copper Lane\nCork",
        latitude=Decimal("51.897900"),
        longitude=Decimal("-8.470600"),
    )
    Studio.objects.create(
        pk=1,
        name="Copper Lane Drum Room",
        teacher_name="Nuala Tierney",
        base=base,
        phone="021 555 0100",
        email="nuala@copperlane.example",
    )
    teacher = User.objects.create(
        username="nuala",
        display_name="Nuala Tierney",
        role=Role.TEACHER,
        email="nuala@copperlane.example",
        password=make_password(None),
    )
    for told in FAMILIES:
        _family(told, teacher, now)
    School.objects.create(
        name="Tanner’s Yard School",
        place=Place.objects.create(
            kind=PlaceKind.SCHOOL,
            name="Tanner’s Yard School",
            address="Tanner’s Yard\nCork",
            latitude=Decimal("51.885100"),
            longitude=Decimal("-8.498800"),
        ),
        contact_name="The school office",
        email="office@tannersyard.example",
    )


def _family(told: DemoFamily, teacher: User, now: datetime) -> None:
    family = services.family_create(
        name=told.name,
        adult_name=told.adult,
        adult_email=told.email,
        adult_phone=told.phone,
        address=told.address,
        position=(Decimal(told.position[0]), Decimal(told.position[1])),
        students=[(student.name, student.birth_year) for student in told.students],
        by=teacher,
        now=now,
    )
    Family.objects.filter(pk=family.pk).update(note=told.note)
    for student in told.students:
        family.students.filter(name=student.name).update(
            is_left_handed=student.is_left_handed, kit=student.kit, started_date=now.date()
        )
    if told.signs_in:
        services.account_for_adult(adult=Adult.objects.get(family=family), by=teacher, now=now)
        for row in Student.objects.filter(family=family):
            services.account_for_student(student=row, by=teacher, now=now)
    if told.students[0].name == told.adult:
        # A grown-up who learns is their own parent: one sign-in, both pages.
        user = services.account_for_adult(
            adult=Adult.objects.get(family=family), by=teacher, now=now
        )
        family.students.filter(name=told.adult).update(user=user)
