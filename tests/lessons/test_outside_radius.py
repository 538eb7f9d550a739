"""Outside the radius, and the first drive of the day."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from decimal import Decimal
from typing import Any

import pytest

from lessons.models import Lesson
from lessons.planning.bands import Band, band_of_stop
from lessons.planning.travel import RoadBook, Stop
from lessons.selectors import day_plan, lesson_facts, road_to
from lessons.services.booking import OutsideRadius, lesson_book, series_book
from studio.models import Place
from tests.factories.lessons import LessonFactory, TravelBandFactory
from tests.factories.studio import PlaceFactory, StudentFactory
from tests.lessons.conftest import NOW, text_of, wish_for

RINGS = (Band(Decimal(5), Decimal(0)), Band(Decimal(18), Decimal(8)))
BASE = Stop(9, (51.9, -8.5))
FAR = (52.1, -8.5)


@pytest.fixture
def radius(studio: Any) -> None:
    """A radius of 5 km: the far door is well outside."""
    TravelBandFactory(up_to_km="2.0", surcharge="0")
    TravelBandFactory(up_to_km="5.0", surcharge="4.00")


class TestPrice:
    def test_the_last_band_or_by_hand(self) -> None:
        """Edge case 13: outside, priced by the last band or by hand."""
        book = RoadBook(base=BASE)
        plain = band_of_stop(Stop(1, FAR), book, RINGS)
        by_hand = band_of_stop(Stop(1, FAR, surcharge_by_hand=Decimal(15)), book, RINGS)
        inside = Stop(1, (51.91, -8.5), surcharge_by_hand=Decimal(15))

        assert (plain.standing, plain.surcharge) == ("outside", Decimal(8))
        assert (by_hand.standing, by_hand.surcharge) == ("outside", Decimal(15))
        assert by_hand.label == "beyond 18 km, priced by hand"
        assert band_of_stop(inside, book, RINGS).surcharge == 0


@pytest.mark.django_db
@pytest.mark.usefixtures("radius")
class TestBooking:
    def test_is_said_and_refused_without_a_reason(self, teacher: Any, tadhg: Any) -> None:
        """Edge case 13: outside the radius is said with both numbers, and refused."""
        with pytest.raises(OutsideRadius, match=r"Far door is \d+\.\d km .* radius of 5 km") as no:
            series_book(wish=wish_for(tadhg), by=teacher, now=NOW)

        assert no.value.can_be_overruled
        assert not Lesson.objects.exists()

    def test_is_overruled_once_with_a_reason(self, teacher: Any, tadhg: Any) -> None:
        """Edge case 13: the reason stays with the place, so it is not asked for again."""
        series_book(wish=wish_for(tadhg), by=teacher, now=NOW, road_reason="my sister lives there")
        lesson_book(
            students=[tadhg],
            place=Place.objects.get(name="Far door"),
            day=date(2026, 9, 10),
            at=time(16),
            minutes=30,
            by=teacher,
            now=NOW,
        )
        to = road_to(Place.objects.get(name="Far door"))

        assert to.is_outside
        assert to.overruled_reason == "my sister lives there"

    def test_the_price_by_hand_reaches_the_bill(self, teacher: Any, tadhg: Any) -> None:
        """Edge case 13: the facts that are billed have the surcharge set by hand."""
        Place.objects.filter(name="Far door").update(
            road_overruled_reason="my sister lives there", surcharge_by_hand="12.50"
        )
        tadhg.family.home.refresh_from_db()
        series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
        fact, *_ = lesson_facts(
            family=tadhg.family, first_date=date(2026, 9, 1), last_date=date(2026, 9, 30)
        )

        assert fact.surcharge == Decimal("12.50")

    def test_inside_and_online_need_no_reason(self, teacher: Any, aoife: Any) -> None:
        online = PlaceFactory(kind="online", latitude=None, longitude=None)
        for number, place in enumerate((aoife.family.home, online)):
            lesson_book(
                students=[aoife],
                place=place,
                day=date(2026, 9, 10 + number),
                at=time(16),
                minutes=30,
                by=teacher,
                now=NOW,
            )

        assert Lesson.objects.count() == 2

    def test_the_place_form_wants_the_reason_with_the_price(self, client: Any, tadhg: Any) -> None:
        address = f"/places/{tadhg.family.home_id}/edit/"
        data = {"name": "Far door", "position": "51.99, -8.6", "surcharge_by_hand": "12"}
        refused = client.post(address, data)
        kept = client.post(address, data | {"road_overruled_reason": "my sister lives there"})

        assert "say why you go there" in text_of(refused)
        assert kept.status_code == 302
        page = text_of(client.get(f"/families/{tadhg.family_id}/"))
        assert "priced by hand" in page
        assert "my sister lives there" in page


@pytest.mark.django_db
class TestFirstDrive:
    def test_a_far_first_lesson_is_a_road_and_no_clash(self, teacher: Any, studio: Any) -> None:
        """Edge case 10: the drive from base is shown as road before the first lesson."""
        place = PlaceFactory(
            name="The end of the road", latitude="52.600000", longitude="-8.470000"
        )
        lesson = lesson_book(
            students=[StudentFactory()],
            place=place,
            day=date(2026, 9, 10),
            at=time(8),
            minutes=30,
            by=teacher,
            now=NOW,
        )
        plan = day_plan(day=date(2026, 9, 10), studio=studio)
        (stop,) = plan.stops

        assert (stop.road.minutes or 0) > 90
        assert stop.leave_by is not None
        assert stop.leave_by < lesson.starts_at
        assert not stop.is_late
        assert stop.gap_minutes is None
        assert plan.teaching_minutes == 30
        assert plan.driving_minutes > 180

    def test_siblings_have_no_road_between_them_and_one_surcharge(
        self, studio: Any, tadhg: Any
    ) -> None:
        """Edge case 11: back to back in one home."""
        sister = StudentFactory(family=tadhg.family)
        for student, minute in ((tadhg, 0), (sister, 30)):
            LessonFactory(
                place=tadhg.family.home,
                starts_at=datetime(2026, 9, 8, 15, minute, tzinfo=UTC),
                student=student,
            )
        first, second = day_plan(day=date(2026, 9, 8), studio=studio).stops

        assert first.road.minutes
        assert second.is_same_place
        assert second.road.minutes == 0
        facts = lesson_facts(
            family=tadhg.family, first_date=date(2026, 9, 8), last_date=date(2026, 9, 8)
        )
        # Billing counts it once for each place and day.
        assert len({(fact.local_date, fact.place_id) for fact in facts}) == 1
