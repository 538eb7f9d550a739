"""What lessons cost."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from billing.charging.charges import ChargeKind, Charges, MissedPolicy, charges
from billing.charging.errors import BadAmount
from billing.charging.money import currency
from billing.charging.rates import DatedRate, rate_for
from tests.billing.charging.facts import RATE, Fact, fact

EUR = currency("EUR")
POLICY = MissedPolicy()


def charged(*lessons: Fact, policy: MissedPolicy = POLICY, **given: object) -> Charges:
    return charges(lessons, rates=[RATE], policy=policy, currency=EUR, **given)  # type: ignore[arg-type]


def nets(found: Charges) -> list[tuple[str, Decimal]]:
    return [(line.kind.value, line.net) for line in found.lines]


class TestOutcomes:
    @pytest.mark.parametrize(
        ("outcome", "lesson", "travel", "reason"),
        # Common practice, no source: short notice is paid, the teacher's own absence never is.
        [
            ("held", "25.00", "6.00", ""),
            ("no_show", "25.00", "6.00", "Missed without notice: charged in full"),
            ("called_off_late", "25.00", None, "Called off at short notice: charged in full"),
            ("called_off", "0.00", None, "Called off in good time: not charged"),
            ("called_off_by_teacher", "0.00", None, "Called off by the teacher: not charged"),
        ],
    )
    def test_what_each_costs_and_why(
        self, outcome: str, lesson: str, travel: str | None, reason: str
    ) -> None:
        found = charged(fact(outcome=outcome))

        expected = [("lesson", Decimal(lesson))]
        assert nets(found) == expected + ([("travel", Decimal(travel))] if travel else [])
        assert found.lines[0].reason == reason

    def test_a_planned_lesson_is_handed_back(self) -> None:
        lesson = fact(outcome="planned")

        found = charged(lesson)

        assert (found.lines, found.unrecorded) == ((), (lesson,))

    def test_half_price_is_said(self) -> None:
        policy = MissedPolicy(late_percent=Decimal("50.00"), charges_travel_if_late=True)

        found = charged(fact(outcome="called_off_late"), policy=policy)

        assert nets(found) == [("lesson", Decimal("12.50")), ("travel", Decimal("6.00"))]
        assert found.lines[0].reason == "Called off at short notice: charged at 50 %"

    @pytest.mark.parametrize("percent", ["-1", "100.01"])
    def test_a_policy_beyond_the_price_is_refused(self, percent: str) -> None:
        with pytest.raises(BadAmount):
            MissedPolicy(no_show_percent=Decimal(percent))


class TestTravel:
    def test_once_a_visit_for_siblings_back_to_back(self) -> None:
        found = charged(
            fact(),
            fact(
                lesson_id=2,
                student_id=2,
                student_name="Oisín",
                starts_at=datetime(2026, 11, 3, 15, 30, tzinfo=UTC),
            ),
        )

        assert nets(found) == [
            ("lesson", Decimal("25.00")),
            ("lesson", Decimal("25.00")),
            ("travel", Decimal("6.00")),
        ]
        assert found.lines[2].reason == "Charged once for 2 lessons"

    def test_each_day_and_each_place_is_a_visit(self) -> None:
        found = charged(
            fact(),
            fact(lesson_id=2, place_id=8, place_name="Aunt’s house"),
            fact(lesson_id=3, starts_at=datetime(2026, 11, 10, 15, tzinfo=UTC)),
        )

        assert len([line for line in found.lines if line.kind == ChargeKind.TRAVEL]) == 3

    def test_the_visit_is_charged_if_one_sibling_came(self) -> None:
        found = charged(
            fact(outcome="called_off"), fact(lesson_id=2, student_id=2, student_name="Oisín")
        )

        assert nets(found) == [
            ("lesson", Decimal("0.00")),
            ("lesson", Decimal("25.00")),
            ("travel", Decimal("6.00")),
        ]

    def test_not_again_when_another_invoice_has_it(self) -> None:
        found = charged(
            fact(lesson_id=2), billed_visits={(date(2026, 11, 3), 7)}, billed_lessons={(1, 1)}
        )

        assert nets(found) == [("lesson", Decimal("25.00"))]


class TestRates:
    def test_without_a_rate_nothing_is_guessed(self) -> None:
        lesson = fact(minutes=45)

        found = charged(lesson)

        assert (found.lines, found.unpriced) == ((), (lesson,))

    def test_a_lesson_that_is_free_needs_no_rate(self) -> None:
        found = charged(fact(minutes=45, outcome="called_off"))

        assert nets(found) == [("lesson", Decimal("0.00"))]

    @pytest.mark.parametrize(
        ("on", "price"), [(date(2026, 8, 31), "25.00"), (date(2026, 9, 1), "28.00")]
    )
    def test_a_new_price_changes_nothing_before_its_day(self, on: date, price: str) -> None:
        newer = DatedRate(30, Decimal("28.00"), date(2026, 9, 1))

        found = rate_for([newer, RATE], on=on, minutes=30, place_kind="home")

        assert found is not None
        assert found.amount == Decimal(price)

    def test_the_family_s_own_then_the_place_then_the_date(self) -> None:
        general = DatedRate(30, Decimal(25), date(2026, 9, 1))
        at_home = DatedRate(30, Decimal(27), date(2026, 1, 1), place_kind="home")
        own = DatedRate(30, Decimal(20), date(2025, 1, 1), family_id=4)
        over = DatedRate(30, Decimal(1), date(2025, 1, 1), date(2025, 12, 31), family_id=4)
        rates = [general, at_home, own, over]

        def price(place: str, family: int) -> Decimal:
            found = rate_for(
                rates, on=date(2026, 10, 1), minutes=30, place_kind=place, family_id=family
            )
            assert found is not None
            return found.amount

        assert [price("room", 1), price("home", 1), price("home", 4)] == [25, 27, 20]

    def test_before_any_rate_began_there_is_none(self) -> None:
        assert rate_for([RATE], on=date(2025, 1, 1), minutes=30, place_kind="home") is None


lessons = st.lists(
    st.builds(
        fact,
        lesson_id=st.integers(1, 400),
        student_id=st.integers(1, 4),
        starts_at=st.datetimes(
            datetime(2026, 11, 1), datetime(2026, 11, 30), timezones=st.just(UTC)
        ),
        minutes=st.sampled_from([30, 45, 60]),
        place_id=st.integers(1, 3),
        surcharge=st.decimals(0, 40, places=2),
        outcome=st.sampled_from(
            ["held", "no_show", "called_off_late", "called_off", "called_off_by_teacher", "planned"]
        ),
    ),
    max_size=25,
    unique_by=lambda lesson: (lesson.lesson_id, lesson.student_id),
)


class TestLaws:
    @given(taught=lessons, cut=st.integers(0, 25))
    def test_every_lesson_is_somewhere_exactly_once(self, taught: list[Fact], cut: int) -> None:
        found = charged(*taught)

        billed = [line for line in found.lines if line.kind == ChargeKind.LESSON]
        assert len(billed) + len(found.unpriced) + len(found.unrecorded) == len(taught)

    @given(taught=lessons, cut=st.integers(0, 25))
    def test_billing_in_two_goes_charges_the_same_lessons_once(
        self, taught: list[Fact], cut: int
    ) -> None:
        first = charged(*taught[:cut])
        lessons_billed = {
            (line.lesson_id, line.student_id)
            for line in first.lines
            if line.kind == ChargeKind.LESSON
        }
        visits = {
            (line.on, line.place_id) for line in first.lines if line.kind == ChargeKind.TRAVEL
        }

        second = charged(*taught, billed_lessons=lessons_billed, billed_visits=visits)

        def lesson_sum(*parts: Charges) -> Decimal:
            return sum(
                (x.net for p in parts for x in p.lines if x.kind == ChargeKind.LESSON), Decimal(0)
            )

        assert lesson_sum(first, second) == lesson_sum(charged(*taught))
        driven = [
            (line.on, line.place_id)
            for part in (first, second)
            for line in part.lines
            if line.kind == ChargeKind.TRAVEL
        ]
        assert len(driven) == len(set(driven))

    @given(taught=st.permutations([fact(lesson_id=n, student_id=n % 3) for n in range(1, 9)]))
    def test_the_order_of_the_facts_does_not_matter(self, taught: list[Fact]) -> None:
        assert charged(*taught) == charged(*sorted(taught, key=lambda lesson: lesson.lesson_id))
