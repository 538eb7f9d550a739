"""What is taken back on the next invoice, and who pays for a make-up."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from billing.charging.charges import MissedPolicy, charges
from billing.charging.credits import Billed, Credits, credits
from billing.charging.money import currency
from tests.billing.charging.facts import HOME, RATE, Fact, fact

TODAY = date(2026, 12, 1)
ON = date(2026, 11, 3)


def billed(**given: object) -> Billed:
    made = {
        "line_id": 1,
        "number": "2026-0001",
        "on": ON,
        "place_id": HOME,
        "words": "Lesson, 30 minutes, Harbour View",
        "net": Decimal("25.00"),
        "lesson": (1, 1),
    }
    return Billed(**(made | given))  # type: ignore[arg-type]


def taken(*lessons: Fact, lines: list[Billed] | None = None, most: str = "100") -> Credits:
    return credits(lines or [billed()], lessons, today=TODAY, most=Decimal(most))


class TestCredits:
    @pytest.mark.parametrize(
        ("outcome", "reason"),
        [
            ("called_off", "Called off in good time"),
            ("called_off_by_teacher", "Called off by the teacher"),
            ("excused", "Missed, and let off"),
        ],
    )
    def test_what_is_not_charged_any_more(self, outcome: str, reason: str) -> None:
        """Edge case 26: called off after it was invoiced: taken back on the next one."""
        (line,) = taken(fact(outcome=outcome)).lines

        assert (line.net, line.reason, line.line_id) == (Decimal("-25.00"), reason, 1)
        assert "2026-0001" in line.words

    @pytest.mark.parametrize("outcome", ["held", "no_show", "called_off_late", "planned"])
    def test_what_is_charged_or_undecided_stays(self, outcome: str) -> None:
        assert taken(fact(outcome=outcome)).lines == ()

    @pytest.mark.parametrize(
        ("until", "is_made_up", "count"),
        [
            (date(2026, 12, 1), False, 0),
            (date(2026, 11, 30), False, 1),
            (date(2026, 11, 30), True, 0),
            (None, False, 1),
        ],
    )
    def test_a_make_up_instead_of_money_until_the_right_ends(
        self, until: date | None, is_made_up: bool, count: int
    ) -> None:
        """Edge case 25: an expired right gives the money back."""
        lesson = fact(outcome="called_off_by_teacher", make_up_until=until, is_made_up=is_made_up)

        assert len(taken(lesson).lines) == count

    def test_the_drive_only_if_nobody_was_taught_there(self) -> None:
        drive = billed(line_id=2, lesson=None, net=Decimal("6.00"), words="Travel")
        off = fact(outcome="called_off")
        sibling = fact(lesson_id=2, student_id=2, starts_at=datetime(2026, 11, 3, 16, tzinfo=UTC))

        alone = taken(off, lines=[billed(), drive])
        beside = taken(off, sibling, lines=[billed(), drive])

        assert [line.net for line in alone.lines] == [Decimal("-25.00"), Decimal("-6.00")]
        assert [line.net for line in beside.lines] == [Decimal("-25.00")]

    def test_what_the_invoice_is_too_small_for_waits(self) -> None:
        lines = [billed(), billed(line_id=2, lesson=(2, 1))]
        lessons = [fact(outcome="called_off"), fact(lesson_id=2, outcome="called_off")]

        found = taken(*lessons, lines=lines, most="49.99")

        assert [line.line_id for line in found.lines] == [1]
        assert [line.line_id for line in found.waiting] == [2]

    @given(
        nets=st.lists(st.decimals("0.01", 60, places=2), max_size=8),
        most=st.decimals(0, 200, places=2),
    )
    def test_never_below_nothing_and_nothing_lost(self, nets: list[Decimal], most: Decimal) -> None:
        lines = [billed(line_id=n, lesson=(n, 1), net=net) for n, net in enumerate(nets, start=1)]
        lessons = [fact(lesson_id=n, outcome="called_off") for n in range(1, len(nets) + 1)]

        found = credits(lines, lessons, today=TODAY, most=most)

        assert most + sum((line.net for line in found.lines), Decimal(0)) >= 0
        assert sorted(line.line_id for line in (*found.lines, *found.waiting)) == [
            line.line_id for line in lines
        ]


class TestMakeUps:
    @pytest.mark.parametrize(
        ("missed", "paid", "net", "words"),
        [
            ("called_off_by_teacher", False, "25.00", "not charged"),
            ("called_off_by_teacher", True, "0.00", "was charged"),
            ("no_show", False, "0.00", "was charged"),
            ("called_off_late", False, "0.00", "was charged"),
            ("excused", False, "25.00", "not charged"),
        ],
    )
    def test_one_of_the_two_is_charged(self, missed: str, paid: bool, net: str, words: str) -> None:
        """Edge case 25: a make-up is not charged a second time."""
        lesson = fact(
            lesson_id=9, makes_up=1, makes_up_date=date(2026, 10, 27), makes_up_outcome=missed
        )

        found = charges(
            [lesson],
            rates=[RATE],
            policy=MissedPolicy(),
            currency=currency("EUR"),
            paid_lessons={(1, 1)} if paid else set(),
        )

        line = found.lines[0]
        assert line.net == Decimal(net)
        assert line.reason.startswith("Makes up for 27 October")
        assert words in line.reason
        assert found.lines[1].net == Decimal("6.00")

    def test_a_make_up_called_off_in_time_costs_nothing(self) -> None:
        found = charges(
            [fact(outcome="called_off", makes_up=None)],
            rates=[RATE],
            policy=MissedPolicy(),
            currency=currency("EUR"),
        )

        assert found.net == 0
