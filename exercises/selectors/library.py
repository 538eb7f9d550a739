"""The library's shelf."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Case, Count, F, Value, When
from django.db.models.expressions import Combinable
from django.db.models.functions import Lower
from django.utils.safestring import SafeString

from exercises.engraving_cache import wheel_svg
from exercises.models import Exercise, Ladder, Tag
from exercises.rhythm.figure import Figure
from exercises.rhythm.limbs import Limb
from exercises.rhythm.spoken import words
from exercises.rhythm.surfaces import Surface
from studio.models import Student, User

CARDS_PER_PAGE = 24
ORDERS: dict[str, tuple[str | Combinable, ...]] = {
    "grade": ("grade", "pk"),
    "hardest": ("-grade", "pk"),
    "title": (Lower("title"), "pk"),
    "rudiment": (F("rudiment").asc(nulls_last=True), "pk"),
}
BANDS = {
    "1-3": (1, 3, "1 to 3: first steps"),
    "3-5": (3, 5, "3 to 5: coming on"),
    "5-7": (5, 7, "5 to 7: demanding"),
    "7-10": (7, 11, "7 to 10: hard"),
}


@dataclass(frozen=True, slots=True)
class ExerciseCard:
    """An exercise with its fingerprint."""

    exercise: Exercise
    figure: Figure
    wheel: SafeString

    @property
    def said(self) -> str:
        """The figure for those who do not see the wheel."""
        return words(self.figure)


def exercise_card(exercise: Exercise, *, size: int = 120) -> ExerciseCard:
    """Return the exercise with its limb wheel drawn."""
    figure = exercise.figure
    return ExerciseCard(exercise, figure, wheel_svg(figure, size=size))


def library_page(
    *,
    user: User,
    q: str = "",
    limb: str = "",
    surface: str = "",
    subdivision: str = "",
    meter: str = "",
    kind: str = "",
    tag: str = "",
    band: str = "",
    order: str = "",
    put_away: bool = False,
    number: Any = 1,
) -> Page[Any]:
    """Return one page of :class:`ExerciseCard`; empty filters leave everything in."""
    found = Exercise.objects.visible_to(user).filter(is_archived=put_away).for_cards()
    if q:
        found = found.titled_like(q)
    if limb:
        found = found.played_by(Limb(limb))
    if surface:
        found = found.on_surface(Surface(surface))
    if subdivision:
        found = found.cut_into(int(subdivision))
    if meter:
        found = found.filter(meter=meter)
    if kind:
        found = found.of_kind(kind)
    if tag:
        found = found.filter(tags__name=tag)
    if band:
        least, below, _ = BANDS[band]
        found = found.graded(least, below)
    found = found.order_by(*ORDERS[order]) if order else found.newest_first()
    page: Page[Any] = Paginator(found, CARDS_PER_PAGE).get_page(number)
    page.object_list = [exercise_card(exercise, size=96) for exercise in page.object_list]
    return page


def tags_in_use() -> list[str]:
    """Return the tags that some exercise on the shelf carries."""
    used = Tag.objects.filter(exercises__is_archived=False).distinct().order_by("name")
    return list(used.values_list("name", flat=True))


def meters_in_use() -> list[str]:
    """Return the meters that some exercise on the shelf has, the commonest first."""
    counted = (
        Exercise.objects.current()
        .exclude(meter="")
        .values("meter")
        .annotate(count=Count("pk"))
        .order_by("-count", "meter")
    )
    return [row["meter"] for row in counted]


def ladders_from(exercise: Exercise) -> list[Ladder]:
    """Return the saved ladders that start at this figure or lead to it."""
    found = Ladder.objects.current().select_related("core", "target").newest_first()
    return list((found.filter(core=exercise) | found.filter(target=exercise))[:12])


def exercise_page(*, exercise: Exercise) -> dict[str, Any]:
    """Return what stands round an exercise on its own page."""
    variants = exercise.variants.current().order_by("grade", "pk")
    return {
        "tags": list(exercise.tags.order_by("name")),
        "variants": [exercise_card(row, size=72) for row in variants[:24]],
        "ladders": ladders_from(exercise),
        "newer": Exercise.objects.filter(replaces=exercise).first(),
        "set_for": list(
            Student.objects.filter(
                assignments__exercise=exercise, assignments__withdrawn_at__isnull=True
            )
            .distinct()
            .by_name()
        ),
        "students": list(Student.objects.active().by_name()),
    }


def ladder_targets(*, exercise: Exercise, user: User, q: str = "") -> list[ExerciseCard]:
    """Return what a ladder could lead to: harder figures, the exercise's own variants first."""
    found = (
        Exercise.objects.visible_to(user)
        .current()
        .exclude(pk=exercise.pk)
        .filter(grade__gte=exercise.grade)
    )
    if q:
        found = found.titled_like(q)
    own_first = Case(When(core=exercise, then=Value(0)), default=Value(1))
    return [exercise_card(row, size=72) for row in found.order_by(own_first, "grade", "pk")[:24]]
