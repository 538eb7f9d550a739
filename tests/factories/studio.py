"""The studio's own rows."""

from __future__ import annotations

import factory
from factory.django import DjangoModelFactory

from studio.models import Adult, Family, Place, PlaceKind, Role, School, Student, Studio, User


class UserFactory(DjangoModelFactory):
    class Meta:
        model = User

    username = factory.Sequence(lambda n: f"person{n}")
    display_name = factory.Sequence(lambda n: f"Person {n}")
    role = Role.STUDENT
    password = "!"


class TeacherFactory(UserFactory):
    username = factory.Sequence(lambda n: f"teacher{n}")
    display_name = "Nuala Tierney"
    role = Role.TEACHER


class PlaceFactory(DjangoModelFactory):
    class Meta:
        model = Place

    kind = PlaceKind.HOME
    name = factory.Sequence(lambda n: f"Home {n}")
    # Invented points in and round Cork, a little apart from each other.
    latitude = factory.Sequence(lambda n: f"{51.88 + (n % 20) * 0.004:.6f}")
    longitude = factory.Sequence(lambda n: f"{-8.50 + (n % 17) * 0.006:.6f}")


class BaseFactory(PlaceFactory):
    kind = PlaceKind.ROOM
    name = "Copper Lane"
    latitude = "51.897000"
    longitude = "-8.470000"


class StudioFactory(DjangoModelFactory):
    class Meta:
        model = Studio
        django_get_or_create = ("pk",)

    pk = 1
    name = "Copper Lane Drum Room"
    teacher_name = "Nuala Tierney"
    base = factory.SubFactory(BaseFactory)


class FamilyFactory(DjangoModelFactory):
    class Meta:
        model = Family

    name = factory.Sequence(lambda n: f"Family {n}")
    home = factory.SubFactory(PlaceFactory)


class AdultFactory(DjangoModelFactory):
    class Meta:
        model = Adult

    family = factory.SubFactory(FamilyFactory)
    name = factory.Sequence(lambda n: f"Adult {n}")
    email = factory.Sequence(lambda n: f"adult{n}@example.com")


class StudentFactory(DjangoModelFactory):
    class Meta:
        model = Student

    family = factory.SubFactory(FamilyFactory)
    name = factory.Sequence(lambda n: f"Student {n}")


class SchoolFactory(DjangoModelFactory):
    class Meta:
        model = School

    name = factory.Sequence(lambda n: f"School {n}")
    place = factory.SubFactory(PlaceFactory, kind=PlaceKind.SCHOOL)
