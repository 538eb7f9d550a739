"""From what happened in lessons to what is charged: one pure function, with its reasons in words.

The same function prices a lesson before it is booked, so that what a family is told and what it
is billed cannot differ.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Protocol

from billing.charging.credits import Credit
from billing.charging.errors import BadAmount
from billing.charging.money import Currency
from billing.charging.rates import DatedRate, rate_for

FULL = Decimal(100)

LessonKey = tuple[int, int]
"""A lesson and the student in it: what can be billed once."""
VisitKey = tuple[date, int]
"""A local day and a place: what is driven to once."""


class TaughtLesson(Protocol):
    """What charging needs to know of one student's lesson (``lessons.facts.LessonFact``)."""

    @property
    def lesson_id(self) -> int: ...
    @property
    def student_id(self) -> int: ...
    @property
    def student_name(self) -> str: ...
    @property
    def family_id(self) -> int: ...
    @property
    def starts_at(self) -> datetime: ...
    @property
    def local_date(self) -> date: ...
    @property
    def minutes(self) -> int: ...
    @property
    def place_id(self) -> int: ...
    @property
    def place_kind(self) -> str: ...
    @property
    def place_name(self) -> str: ...
    @property
    def band_label(self) -> str: ...
    @property
    def surcharge(self) -> Decimal: ...
    @property
    def outcome(self) -> str: ...
    @property
    def makes_up(self) -> int | None: ...
    @property
    def makes_up_date(self) -> date | None: ...
    @property
    def makes_up_outcome(self) -> str: ...


class ChargeKind(StrEnum):
    """What a charge is for."""

    LESSON = "lesson"
    TRAVEL = "travel"


@dataclass(frozen=True, slots=True)
class MissedPolicy:
    """What a missed lesson costs, in per cent of its price, and whether the drive is charged.

    Common practice, no source: with less than a day's notice the hour is paid, and a lesson that
    the teacher calls off never is.
    """

    no_show_percent: Decimal = FULL
    late_percent: Decimal = FULL
    charges_travel_if_no_show: bool = True
    charges_travel_if_late: bool = False

    def __post_init__(self) -> None:
        for percent in (self.no_show_percent, self.late_percent):
            if not 0 <= percent <= FULL:
                raise BadAmount("A missed lesson is charged at 0 to 100 per cent of its price.")


@dataclass(frozen=True, slots=True)
class ChargeLine:
    """One line: ``words`` say what it is, ``reason`` why it is or is not charged."""

    kind: ChargeKind
    on: date
    words: str
    reason: str
    net: Decimal
    place_id: int
    lesson_id: int | None = None
    student_id: int | None = None
    student_name: str = ""


@dataclass(frozen=True, slots=True)
class Charges:
    """All lines, the lessons that cannot be charged yet, and what is taken back."""

    lines: tuple[ChargeLine, ...]
    unpriced: tuple[TaughtLesson, ...]
    unrecorded: tuple[TaughtLesson, ...]
    credits: tuple[Credit, ...] = ()
    waiting_credits: tuple[Credit, ...] = ()

    @property
    def net(self) -> Decimal:
        """The sum of the charges, before anything is taken back."""
        return sum((line.net for line in self.lines), Decimal(0))


@dataclass(frozen=True, slots=True)
class _Rule:
    """How one outcome is charged; ``note`` says what else the family should know."""

    percent: Decimal
    has_travel: bool
    happened: str
    note: str = ""

    @property
    def reason(self) -> str:
        return "; ".join(part for part in (self.note, self._by_outcome) if part)

    @property
    def _by_outcome(self) -> str:
        if not self.happened:
            return ""
        if self.percent == FULL:
            return f"{self.happened}: charged in full"
        if self.percent == 0:
            return f"{self.happened}: not charged"
        return f"{self.happened}: charged at {self.percent.normalize():f} %"


def _rule(outcome: str, policy: MissedPolicy) -> _Rule | None:
    """Return how this outcome is charged, or None while nobody has said what happened."""
    return {
        "held": _Rule(FULL, True, ""),
        "no_show": _Rule(
            policy.no_show_percent, policy.charges_travel_if_no_show, "Missed without notice"
        ),
        "called_off_late": _Rule(
            policy.late_percent, policy.charges_travel_if_late, "Called off at short notice"
        ),
        "excused": _Rule(Decimal(0), False, "Missed, and let off"),
        "called_off": _Rule(Decimal(0), False, "Called off in good time"),
        "called_off_by_teacher": _Rule(Decimal(0), False, "Called off by the teacher"),
    }.get(outcome)


def charges(
    lessons: Iterable[TaughtLesson],
    *,
    rates: Sequence[DatedRate],
    policy: MissedPolicy,
    currency: Currency,
    billed_lessons: Collection[LessonKey] = (),
    billed_visits: Collection[VisitKey] = (),
    paid_lessons: Collection[LessonKey] = (),
) -> Charges:
    """Return what these lessons cost, in the order of their dates.

    Of a missed lesson and its make-up one is charged: the make-up, unless the missed one is
    charged by its outcome or stands among ``paid_lessons``.

    Lessons and visits that another invoice bills already are left out. A lesson without a rate is
    never charged at a guess: it is handed back as unpriced, and what nobody has recorded yet as
    unrecorded.
    """
    lines: list[ChargeLine] = []
    unpriced: list[TaughtLesson] = []
    unrecorded: list[TaughtLesson] = []
    driven: list[TaughtLesson] = []
    for lesson in sorted(lessons, key=_in_order):
        if (lesson.lesson_id, lesson.student_id) in billed_lessons:
            continue
        rule = _rule(lesson.outcome, policy)
        if rule is None:
            unrecorded.append(lesson)
            continue
        rule = _for_make_up(lesson, rule, policy, paid_lessons)
        line = _lesson_line(lesson, rule, rates=rates, currency=currency)
        if line is None:
            unpriced.append(lesson)
            continue
        lines.append(line)
        if rule.has_travel:
            driven.append(lesson)
    lines.extend(_travel_lines(driven, currency=currency, billed_visits=billed_visits))
    lines.sort(key=lambda line: (line.on, line.kind == ChargeKind.TRAVEL))
    return Charges(tuple(lines), tuple(unpriced), tuple(unrecorded))


def _for_make_up(
    lesson: TaughtLesson,
    rule: _Rule,
    policy: MissedPolicy,
    paid_lessons: Collection[LessonKey],
) -> _Rule:
    """Return how a make-up is charged; any other lesson's rule stays."""
    if lesson.makes_up is None or lesson.makes_up_date is None or not rule.percent:
        return rule
    missed = _rule(lesson.makes_up_outcome, policy)
    is_charged = missed is not None and missed.percent > 0
    note = f"Makes up for {lesson.makes_up_date:%-d %B}"
    if is_charged or (lesson.makes_up, lesson.student_id) in paid_lessons:
        return _Rule(Decimal(0), rule.has_travel, "", f"{note}, which was charged")
    return _Rule(rule.percent, rule.has_travel, rule.happened, f"{note}, which was not charged")


def _in_order(lesson: TaughtLesson) -> tuple[datetime, str, int, int]:
    return (lesson.starts_at, lesson.student_name, lesson.lesson_id, lesson.student_id)


def _lesson_line(
    lesson: TaughtLesson, rule: _Rule, *, rates: Sequence[DatedRate], currency: Currency
) -> ChargeLine | None:
    net = currency.zero()
    if rule.percent:
        rate = rate_for(
            rates,
            on=lesson.local_date,
            minutes=lesson.minutes,
            place_kind=lesson.place_kind,
            family_id=lesson.family_id,
        )
        if rate is None:
            return None
        net = currency.percent_of(rule.percent, rate.amount)
    return ChargeLine(
        kind=ChargeKind.LESSON,
        on=lesson.local_date,
        words=f"Lesson, {lesson.minutes} minutes, {lesson.place_name}",
        reason=rule.reason,
        net=net,
        place_id=lesson.place_id,
        lesson_id=lesson.lesson_id,
        student_id=lesson.student_id,
        student_name=lesson.student_name,
    )


def _travel_lines(
    lessons: Iterable[TaughtLesson], *, currency: Currency, billed_visits: Collection[VisitKey]
) -> Iterable[ChargeLine]:
    """Give one surcharge for each visit, however many lessons were held there that day."""
    visits: dict[VisitKey, list[TaughtLesson]] = {}
    for lesson in lessons:
        visits.setdefault((lesson.local_date, lesson.place_id), []).append(lesson)
    for (on, place_id), together in visits.items():
        dearest = max(together, key=lambda lesson: lesson.surcharge)
        if dearest.surcharge <= 0 or (on, place_id) in billed_visits:
            continue
        band = f" ({dearest.band_label})" if dearest.band_label else ""
        reason = f"Charged once for {len(together)} lessons" if len(together) > 1 else ""
        yield ChargeLine(
            kind=ChargeKind.TRAVEL,
            on=on,
            words=f"Travel to {dearest.place_name}{band}",
            reason=reason,
            net=currency.round(dearest.surcharge),
            place_id=place_id,
        )


@dataclass(frozen=True, slots=True)
class LessonToCome:
    """A lesson that is only thought of, for its price before booking."""

    family_id: int
    starts_at: datetime
    local_date: date
    minutes: int
    place_id: int
    place_kind: str
    place_name: str
    band_label: str = ""
    surcharge: Decimal = Decimal(0)
    lesson_id: int = 0
    student_id: int = 0
    student_name: str = ""
    outcome: str = "held"
    makes_up: int | None = None
    makes_up_date: date | None = None
    makes_up_outcome: str = ""
