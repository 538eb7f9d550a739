"""What a missed lesson counts as: who called it off, and how long before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

CalledOffBy = Literal["teacher", "family"]
Outcome = Literal[
    "planned",
    "held",
    "no_show",
    "excused",
    "called_off_late",
    "called_off",
    "called_off_by_teacher",
]

# "A missed lesson with less than 24 hours' notice is usually paid": common practice, no source.
NOTICE_HOURS = 24
MAKE_UP_WEEKS = 8

_CHARGED: frozenset[Outcome] = frozenset({"held", "no_show", "called_off_late"})
_WORDS: dict[Outcome, str] = {
    "planned": "still to come",
    "held": "given: charged",
    "no_show": "missed without notice: charged",
    "excused": "missed without notice and let off: not charged",
    "called_off_late": "called off late: charged",
    "called_off": "called off in time: not charged",
    "called_off_by_teacher": "called off by you: not charged",
}


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the rules make of a missed lesson, before anybody overrules them.

    A lesson that is not charged and stands on an issued invoice all the same is credited on the
    next one, unless it is made up: then what was paid for it pays for the make-up.
    """

    outcome: Outcome
    is_make_up_owed: bool
    make_up_until: date | None
    last_free_moment: datetime
    words: str

    @property
    def is_charged(self) -> bool:
        """True when the family pays for it although it was missed."""
        return self.outcome in _CHARGED


@dataclass(frozen=True, slots=True)
class MissedLessonPolicy:
    """How much notice makes a lesson free, who is owed a make-up, and for how long."""

    notice_hours: int = NOTICE_HOURS
    is_family_owed_make_up: bool = False
    is_teacher_owing_make_up: bool = True
    make_up_weeks: int = MAKE_UP_WEEKS

    def last_free_moment(self, starts_at: datetime, zone: ZoneInfo) -> datetime:
        """Return the last instant at which calling off is still in time.

        Reckoned on the wall clock: 24 hours before Sunday 16:00 is Saturday 16:00, also in the
        night in which the clocks change, because that is how a family reckons. Where the wall
        clock shows that moment twice, the later one counts, in the family's favour.
        """
        wall = starts_at.astimezone(zone).replace(tzinfo=None) - timedelta(hours=self.notice_hours)
        candidates = [wall.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1)]
        return max(candidates)

    def outcome(
        self, *, by: CalledOffBy, told_at: datetime, starts_at: datetime, zone: ZoneInfo
    ) -> Outcome:
        """Return what a called-off lesson counts as; exactly on the limit is in time."""
        if by == "teacher":
            return "called_off_by_teacher"
        if told_at <= self.last_free_moment(starts_at, zone):
            return "called_off"
        return "called_off_late"

    def verdict(
        self, *, by: CalledOffBy, told_at: datetime, starts_at: datetime, zone: ZoneInfo
    ) -> Verdict:
        """Return what the rules say of a lesson called off by somebody at this instant."""
        outcome = self.outcome(by=by, told_at=told_at, starts_at=starts_at, zone=zone)
        limit = self.last_free_moment(starts_at, zone)
        is_owed = self.owes_make_up(outcome)
        until = self.make_up_until(starts_at.astimezone(zone).date(), told_at, zone)
        words = f"Told {ahead_words(told_at, starts_at)}: {outcome_words(outcome)}"
        if by == "family":
            words += f" (free until {limit.astimezone(zone):%A %-d %B, %H:%M})"
        words += f". To be made up by {until:%-d %B %Y}." if is_owed else ". Not to be made up."
        return Verdict(outcome, is_owed, until if is_owed else None, limit, words)

    def owes_make_up(self, outcome: Outcome) -> bool:
        """Return True for a missed lesson that may be made up; what is charged never is."""
        if outcome == "called_off_by_teacher":
            return self.is_teacher_owing_make_up
        return outcome == "called_off" and self.is_family_owed_make_up

    def make_up_until(self, missed: date, told_at: datetime, zone: ZoneInfo) -> date:
        """Return the last day of a make-up: so many weeks after the lesson, or after the news."""
        from_day = max(missed, told_at.astimezone(zone).date())
        return from_day + timedelta(weeks=self.make_up_weeks)


def outcome_words(outcome: Outcome) -> str:
    """Say what a lesson counts as."""
    return _WORDS[outcome]


def is_charged(outcome: Outcome) -> bool:
    """Return True for what is charged by these rules (the price list may still lessen it)."""
    return outcome in _CHARGED


def ahead_words(told_at: datetime, starts_at: datetime) -> str:
    """Say how long before the lesson somebody told of it, in real time."""
    seconds = int((starts_at - told_at).total_seconds())
    if seconds <= 0:
        return "after it was to begin"
    minutes = seconds // 60
    hours, rest = divmod(minutes, 60)
    if hours >= 72:
        return f"{hours // 24} days before"
    if hours >= 1:
        spare = f" {rest} min" if rest else ""
        return f"{hours} h{spare} before"
    return f"{minutes} min before"
