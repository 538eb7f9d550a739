"""What happened, for whoever reckons what it costs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from lessons.planning.policy import Outcome


@dataclass(frozen=True, slots=True)
class LessonFact:
    """One student's part in one lesson.

    ``surcharge`` is that of the place's band, once per (local_date, place_id) however many lessons
    are given there that day. For a called-off lesson ``reason`` says why.

    Of a missed lesson and its make-up, one is paid for: ``make_up_until`` is set while a missed
    lesson may still be made up, ``is_made_up`` once a lesson that counts is booked for it, and
    ``makes_up`` names, on that lesson, the one that was missed, and
    ``makes_up_outcome`` what that one counts as.
    """

    lesson_id: int
    student_id: int
    student_name: str
    family_id: int
    starts_at: datetime
    local_date: date
    minutes: int
    place_id: int
    place_kind: str
    place_name: str
    band_label: str
    surcharge: Decimal
    outcome: Outcome
    reason: str
    make_up_until: date | None = None
    is_made_up: bool = False
    makes_up: int | None = None
    makes_up_date: date | None = None
    makes_up_outcome: str = ""
