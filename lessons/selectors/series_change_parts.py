"""What a change to a series is, and what it comes to: values for pages and services."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from lessons.models import Lesson, Series
from lessons.planning.recurrence import Occurrence, SkippedDate
from lessons.selectors.place_hours import place_hours_words
from lessons.selectors.series import ClashGroup, DateClash, clash_groups, is_in_working_hours
from lessons.selectors.series_wish import SeriesWish, seal_of, wish_words


@dataclass(frozen=True, slots=True)
class SeriesChange:
    """What becomes of one series from a day on.

    Without a ``series`` a new one begins; without a ``wish`` the series ends, for ``reason``.
    Lessons that were moved or changed by themselves keep what they have, unless ``moves_apart``.
    """

    from_date: date
    series: Series | None = None
    wish: SeriesWish | None = None
    road_reason: str = ""
    moves_apart: bool = False
    reason: str = ""


@dataclass(frozen=True, slots=True)
class KeptLesson:
    """A lesson after the change that stays as it is, and why."""

    lesson: Lesson
    words: str


@dataclass(frozen=True, slots=True)
class ChangedDate:
    """A date of the new rhythm, and the lesson that moves there; None for a new one."""

    occurrence: Occurrence
    lesson: Lesson | None

    def is_as_before(self, wish: SeriesWish) -> bool:
        """True when the lesson's time, length and place do not change."""
        lesson, when = self.lesson, self.occurrence.when
        if lesson is None or (lesson.starts_at, lesson.ends_at) != (when.start, when.end):
            return False
        return lesson.place_id == wish.place.pk


@dataclass(frozen=True, slots=True)
class ChangePart:
    """What one change comes to: lessons that move, that end, that stay, and dates without one."""

    change: SeriesChange
    dates: tuple[ChangedDate, ...] = ()
    ending: tuple[Lesson, ...] = ()
    kept: tuple[KeptLesson, ...] = ()
    skipped: tuple[SkippedDate, ...] = ()
    in_the_way: tuple[DateClash, ...] = ()

    @property
    def overlaps(self) -> tuple[DateClash, ...]:
        """Dates that cannot be whatever the teacher says."""
        return tuple(clash for clash in self.in_the_way if not clash.can_be_overruled)

    @property
    def too_tight(self) -> tuple[DateClash, ...]:
        """Dates on which only the road is too long."""
        return tuple(clash for clash in self.in_the_way if clash.can_be_overruled)

    @property
    def standing(self) -> tuple[DateClash, ...]:
        """What forbids the change: every overlap, and the road unless a reason is given."""
        return self.overlaps if self.change.road_reason else self.in_the_way

    @property
    def overlap_groups(self) -> tuple[ClashGroup, ...]:
        """The overlaps, each reason once with its dates."""
        return clash_groups(self.overlaps)

    @property
    def tight_groups(self) -> tuple[ClashGroup, ...]:
        """The roads that are too long, each reason once with its dates."""
        return clash_groups(self.too_tight)

    @property
    def free_count(self) -> int:
        """How many dates have nothing in their way."""
        return len(self.dates) - len(self.in_the_way)

    @property
    def is_outside_hours(self) -> bool:
        """True when the new time lies outside the teacher's hours."""
        if self.change.wish is None:
            return False
        rule = self.change.wish.rule
        return not is_in_working_hours(rule.first_date, rule.at, rule.minutes)

    @property
    def place_hours_words(self) -> str:
        """When the place can be used, if the new time lies outside that."""
        if self.change.wish is None:
            return ""
        rule = self.change.wish.rule
        return place_hours_words(self.change.wish.place, rule.first_date, rule.at, rule.minutes)


@dataclass(frozen=True, slots=True)
class ChangesPlan:
    """What several changes come to when all of them are done."""

    parts: tuple[ChangePart, ...]

    @property
    def seal(self) -> str:
        """Return a short word that changes when any date, lesson or clash does."""
        words: list[str] = []
        for part in self.parts:
            words += [str(part.change.from_date), str(part.change.moves_apart)]
            if part.change.wish is not None:
                words += wish_words(part.change.wish)
            words += [
                f"{each.occurrence.when.start}={each.lesson and each.lesson.pk}"
                for each in part.dates
            ]
            words += [f"off {lesson.pk}" for lesson in part.ending]
            words += [f"stays {kept.lesson.pk} {kept.lesson.starts_at}" for kept in part.kept]
            words += [f"none {skip.day}" for skip in part.skipped]
            words += [clash.words for found in part.in_the_way for clash in found.clashes]
        return seal_of(words)

    @property
    def in_the_way(self) -> tuple[DateClash, ...]:
        """Everything that forbids any of the changes."""
        return tuple(found for part in self.parts for found in part.standing)
