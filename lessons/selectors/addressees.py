"""Whom an upset concerns: each family and school once, with all its lessons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lessons.models import Lesson, Upset, UpsetLesson
from lessons.selectors.series_wish import names_of
from studio.models import Adult


@dataclass(frozen=True, slots=True)
class Addressee:
    """Somebody to be told once: ``key`` is their message's, ``email`` empty if nobody knows it."""

    key: str
    name: str
    email: str
    phone: str
    lessons: tuple[UpsetLesson, ...]
    family_id: int | None = None

    @property
    def lines(self) -> list[tuple[UpsetLesson, str]]:
        """Each lesson with whose it is to them: of a group, a family reads of its own alone."""
        return [(change, self._names(change.lesson)) for change in self.lessons]

    def _names(self, lesson: Lesson) -> str:
        if self.family_id is None or lesson.label:
            return lesson.names
        takers = [
            taker for taker in lesson.takers.all() if taker.student.family_id == self.family_id
        ]
        coming = [taker for taker in takers if not taker.is_away] or takers
        return names_of([taker.student for taker in coming])


def addressees(upset: Upset, changes: Sequence[UpsetLesson]) -> list[Addressee]:
    """Return everybody to be told of an upset, each once with all their lessons.

    Uses the changes' prefetched lessons; one query more for the families' adults.
    """
    by_family: dict[int, list[UpsetLesson]] = {}
    by_school: dict[int, list[UpsetLesson]] = {}
    for change in changes:
        lesson = change.lesson
        coming = [taker for taker in lesson.takers.all() if not taker.is_away]
        for family in sorted({taker.student.family_id for taker in coming}):
            by_family.setdefault(family, []).append(change)
        if lesson.school_id is not None:
            by_school.setdefault(lesson.school_id, []).append(change)
    found = _adults(upset, by_family)
    for school_id, rows in sorted(by_school.items()):
        school = rows[0].lesson.school
        if school is not None:
            key = f"upset:{upset.pk}:school:{school_id}"
            name = school.contact_name or school.name
            found.append(Addressee(key, name, school.email, school.phone, tuple(rows)))
    return found


def _adults(upset: Upset, by_family: Mapping[int, Sequence[UpsetLesson]]) -> list[Addressee]:
    found: list[Addressee] = []
    adults: dict[int, list[Adult]] = {}
    for adult in Adult.objects.filter(family__in=by_family).order_by("family_id", "pk"):
        adults.setdefault(adult.family_id, []).append(adult)
    for family, rows in by_family.items():
        with_address = [adult for adult in adults.get(family, []) if adult.email]
        # Without any address one of them is named, to be rung up.
        for adult in with_address or adults.get(family, [])[:1]:
            key = f"upset:{upset.pk}:adult:{adult.pk}"
            found.append(Addressee(key, adult.name, adult.email, adult.phone, tuple(rows), family))
    return found
