"""The teacher's library of figures."""

from __future__ import annotations

from decimal import Decimal
from typing import Self

from django.contrib.auth.models import AnonymousUser
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from exercises.models.limits import LEAST_BPM, MOST_BPM
from exercises.rhythm.figure import Figure
from exercises.rhythm.kit import KITS, Kit
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.record import from_record
from exercises.rhythm.surfaces import Surface
from studio.models import User


class KitChoice(models.TextChoices):
    """What a figure is meant to be played on; the values are the engine's keys of its kits."""

    FOUR_PIECE = "four_piece", "Four-piece kit"
    FIVE_PIECE = "five_piece", "Five-piece kit"
    TWO_PEDALS = "five_piece_two_pedals", "Five-piece kit, two bass pedals"
    PAD = "pad", "Practice pad"


class Kind(models.TextChoices):
    """What sort of figure it is; it follows from the row and is not kept."""

    CORE = "core", "core figures"
    RUDIMENT = "rudiment", "rudiments"
    VARIANT = "variant", "variants"


class Tag(models.Model):
    """One word or two that says what a figure trains."""

    name = models.CharField(max_length=40, unique=True)

    def __str__(self) -> str:
        return self.name


class ExerciseQuerySet(models.QuerySet["Exercise"]):
    """Figures in the library."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher; for a family, what was set for its own students."""
        if not isinstance(user, User):
            return self.none()
        if user.is_teacher:
            return self
        from exercises.models.practice import Assignment

        theirs = Assignment.objects.visible_to(user)
        return self.filter(pk__in=theirs.values("exercise_id"))

    def current(self) -> Self:
        """Those that are not put away."""
        return self.filter(is_archived=False)

    def titled_like(self, words: str) -> Self:
        """Those whose title or tag holds every word."""
        found = self
        for word in words.split()[:8]:
            found = found.filter(
                Q(title__icontains=word)
                | Q(
                    pk__in=Tag.exercises.through.objects.filter(tag__name__icontains=word).values(
                        "exercise_id"
                    )
                )
            )
        return found

    def played_by(self, limb: Limb) -> Self:
        """Those in which this limb has something to do."""
        return self.filter(limbs__contains=limb.value)

    def on_surface(self, surface: Surface) -> Self:
        """Those in which something strikes this surface."""
        return self.filter(surfaces__contains=f" {surface.value} ")

    def cut_into(self, parts: int) -> Self:
        """Those with a beat cut into so many parts."""
        return self.filter(subdivisions__contains=f" {parts} ")

    def of_kind(self, kind: str) -> Self:
        """Core figures, rudiments or variants, by a key of :class:`Kind`."""
        if kind == Kind.RUDIMENT:
            return self.filter(rudiment__isnull=False)
        return self.filter(rudiment__isnull=True, core__isnull=kind != Kind.VARIANT)

    def graded(self, least: int, below: int) -> Self:
        """Those whose grade at their own tempo lies in the half-open band."""
        return self.filter(grade__gte=least, grade__lt=below)

    def newest_first(self) -> Self:
        """In the order of the library's shelf."""
        return self.order_by("-created_at", "-pk")

    def for_cards(self) -> Self:
        """With what a card shows."""
        return self.prefetch_related("tags")


class Exercise(models.Model):
    """One figure with a tempo, kept as its canonical record.

    ``content_hash``, ``grade`` and the columns that are searched (limbs, surfaces, subdivisions,
    meter) are derived from the record when a service saves it, so that lists can be searched and
    sorted in the database. A figure that was set for a student is never changed: an edit makes a
    new exercise that ``replaces`` it.
    """

    title = models.CharField(max_length=120)
    record = models.JSONField()
    content_hash = models.CharField(max_length=64, db_index=True)
    bpm = models.PositiveSmallIntegerField(
        "tempo", validators=[MinValueValidator(LEAST_BPM), MaxValueValidator(MOST_BPM)]
    )
    kit = models.CharField(max_length=30, choices=KitChoice.choices, default=KitChoice.FIVE_PIECE)
    limbs = models.CharField(max_length=11)
    # Words with a space before and after each, so that a database can look for a whole word.
    surfaces = models.CharField(max_length=240, default="")
    subdivisions = models.CharField(max_length=60, default="")
    meter = models.CharField(max_length=5, default="", db_index=True)
    rudiment = models.PositiveSmallIntegerField("number of the rudiment", null=True, blank=True)
    grade = models.DecimalField(max_digits=4, decimal_places=2, db_index=True)
    core = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="variants"
    )
    moves = models.JSONField(default=list, blank=True)
    tags = models.ManyToManyField(Tag, blank=True, related_name="exercises")
    source_note = models.CharField("where it comes from", max_length=200, blank=True)
    replaces = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by"
    )
    is_archived = models.BooleanField(default=False, db_index=True)
    created_at = models.DateTimeField()

    objects = ExerciseQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(bpm__range=(LEAST_BPM, MOST_BPM)), name="exercise_tempo_sensible"
            ),
            models.CheckConstraint(
                condition=Q(grade__range=(Decimal(1), Decimal(10))),
                name="exercise_grade_1_to_10",
            ),
            models.CheckConstraint(
                condition=Q(kit__in=KitChoice.values), name="exercise_kit_known"
            ),
            models.CheckConstraint(condition=~Q(title=""), name="exercise_titled"),
            models.CheckConstraint(
                condition=Q(core__isnull=True) | ~Q(core=models.F("id")),
                name="exercise_not_its_own_core",
            ),
            models.CheckConstraint(
                condition=Q(replaces__isnull=True) | ~Q(replaces=models.F("id")),
                name="exercise_not_its_own_predecessor",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def figure(self) -> Figure:
        """The figure itself, under the exercise's title.

        :raises BadFigure: when the stored record was damaged from outside
        """
        return from_record(self.record).titled(self.title)

    @property
    def played_on(self) -> Kit:
        """The kit that it is meant for."""
        return KITS[self.kit]

    @property
    def limbs_used(self) -> tuple[Limb, ...]:
        """The limbs that have something to do."""
        return tuple(limb for limb in LIMBS if limb.value in self.limbs)

    @property
    def shown_grade(self) -> str:
        """The grade with one decimal, as people see it."""
        return f"{self.grade:.1f}"
