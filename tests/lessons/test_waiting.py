"""The waiting list: whom a free time fits, offering it, and the first to confirm."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest

from lessons import services
from lessons.models import (
    Lesson,
    Offer,
    OfferState,
    Series,
    Waiting,
    WaitingState,
    WaitingWindow,
)
from lessons.selectors.free_slots import FreeSlot, slots_known
from lessons.selectors.waiting import SlotFits, alternatives_for, slots_with_fits
from lessons.services.confirming import offer_confirm
from lessons.services.offer_rows import CannotOffer, OfferOver
from lessons.services.offering import offer_decline, offer_wish, offers_make
from lessons.services.waiting import waiting_close
from studio.models import Family, OutgoingEmail, Role
from tests.factories.studio import AdultFactory, PlaceFactory, UserFactory
from tests.lessons.conftest import DUBLIN, NOW, wish_for

pytestmark = pytest.mark.django_db

TODAY = date(2026, 9, 9)
LATER = datetime(2026, 9, 9, 9, tzinfo=UTC)
UNTIL = date(2026, 9, 12)


def waits(name: str, *hours: tuple[int, time, time], **more: Any) -> Waiting:
    """Somebody on the list; each hour a weekday, from and until."""
    given = {
        "name": name,
        "email": f"{name.split(' ', maxsplit=1)[0].lower()}@example.com",
        "minutes": 30,
        "since_date": date(2026, 8, 1),
        "created_at": NOW,
    }
    if "place" not in more:
        # All next door to each other and to whoever had the time before.
        more["place"] = PlaceFactory(name=name, latitude="51.990000", longitude="-8.600000")
    waiting = Waiting.objects.create(**(given | more))
    for weekday, begins, ends in hours:
        WaitingWindow.objects.create(
            waiting=waiting, weekday=weekday, begins_at=begins, ends_at=ends
        )
    return Waiting.objects.with_people().get(pk=waiting.pk)


TUESDAYS = (1, time(15), time(18))


@pytest.fixture
def stopped(teacher: Any, tadhg: Any) -> Series:
    """Tadhg's Tuesdays at four, which end after the first."""
    series = services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
    services.series_stop(series=series, from_date=date(2026, 9, 15), by=teacher, now=NOW)
    return series


def looked_at(studio: Any, now: datetime = LATER) -> SlotFits:
    slots = slots_known(today=now.astimezone(DUBLIN).date())
    return slots_with_fits(slots=slots, studio=studio, now=now)[0]


def offered(studio: Any, teacher: Any, *people: Waiting, now: datetime = LATER) -> list[Offer]:
    until = UNTIL + (now.date() - TODAY)
    slot = slots_known(today=now.date())[0]
    return offers_make(slot=slot, waiting=people, until=until, by=teacher, now=now)


class TestWhatFellFree:
    def test_those_who_fit_come_in_order_and_the_others_with_a_reason(
        self, stopped: Series, studio: Any, aoife: Any, teacher: Any
    ) -> None:
        """Edge case 33: a time falls free; whoever waits longest is first among those who fit."""
        door = stopped.place
        waits("Late Larry", TUESDAYS, since_date=date(2026, 8, 20), place=door)
        waits("Long Lena", TUESDAYS, since_date=date(2026, 5, 1), place=door)
        waits("Monday Max", (0, time(15), time(18)), since_date=date(2026, 3, 1), place=door)
        waits("Hour Hanna", TUESDAYS, minutes=60, since_date=date(2026, 4, 1), place=door)
        waits("Early Ed", (1, time(15), time(15, 45)), since_date=date(2026, 4, 2), place=door)
        for day in slots_known(today=TODAY)[0].first_date, date(2026, 9, 22):
            services.lesson_book(
                students=[aoife],
                place=stopped.place,
                day=day,
                at=time(16, 30),
                minutes=60,
                by=teacher,
                now=NOW,
            )

        found = looked_at(studio)

        assert [one.waiting.name for one in found.fitting] == [
            "Hour Hanna",
            "Long Lena",
            "Late Larry",
        ]
        # An hour begins before the half hour that is free.
        assert found.fitting[0].at == time(15, 30)
        assert found.fitting[1].at == time(16)
        reasons = {one.waiting.name: one.why_not for one in found.fits if not one.fits}
        assert reasons == {
            "Monday Max": "cannot come on Tuesday between 16:00 and 16:30",
            "Early Ed": "cannot come on Tuesday between 16:00 and 16:30",
        }

    def test_dates_that_are_taken_are_named_and_left_out(
        self, stopped: Series, studio: Any, aoife: Any, teacher: Any
    ) -> None:
        lena = waits("Long Lena", (1, time(16), time(16, 30)))
        services.lesson_book(
            students=[aoife],
            place=stopped.place,
            day=date(2026, 9, 22),
            at=time(16),
            minutes=30,
            by=teacher,
            now=NOW,
        )

        fit = looked_at(studio).fitting[0]
        offer = offered(studio, teacher, lena)[0]
        series = offer_confirm(offer=offer, by=teacher, now=LATER)

        assert fit.clashes == [(date(2026, 9, 22), "Aoife Moran is then")]
        assert offer.days_left_out == {date(2026, 9, 22)}
        assert series.lessons.count() == fit.count == 4

    def test_a_road_that_is_too_long_is_the_reason(
        self, stopped: Series, studio: Any, aoife: Any, teacher: Any
    ) -> None:
        far = PlaceFactory(name="Far", latitude="51.500000", longitude="-9.500000")
        waits("Far Fionn", (1, time(16), time(16, 30)), place=far)
        services.series_book(
            wish=wish_for(aoife, first=date(2026, 9, 15), at=time(16, 45), place=stopped.place),
            by=teacher,
            now=NOW,
        )

        assert looked_at(studio).fits[0].why_not == "the road to them or from them is too long"

    def test_a_time_that_is_booked_again_is_listed_no_more(
        self, stopped: Series, studio: Any, aoife: Any, teacher: Any
    ) -> None:
        services.series_book(
            wish=wish_for(aoife, first=date(2026, 9, 15), place=stopped.place),
            by=teacher,
            now=NOW,
        )

        slots = slots_known(today=TODAY)

        assert slots
        assert slots_with_fits(slots=slots, studio=studio, now=LATER) == ()

    def test_a_series_that_only_ends_leaves_nothing(
        self, teacher: Any, tadhg: Any, studio: Any
    ) -> None:
        services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)

        assert slots_known(today=TODAY) == []


class TestOffer:
    def test_the_first_to_confirm_has_it_and_the_other_sees_alternatives(
        self, stopped: Series, studio: Any, teacher: Any, aoife: Any
    ) -> None:
        """Edge case 45: two are asked at once; the second hears at once what else is free."""
        parent = UserFactory(role=Role.PARENT)
        AdultFactory(family=aoife.family, user=parent, email="moran@example.com")
        first = waits("Long Lena", TUESDAYS)
        second = waits("Aoife Moran", TUESDAYS, student=aoife, place=aoife.family.home)
        one, two = offered(studio, teacher, first, second)

        series = offer_confirm(offer=one, by=teacher, now=LATER)
        with pytest.raises(OfferOver, match="Somebody else"):
            offer_confirm(offer=two, by=parent, now=LATER)

        one.refresh_from_db()
        two.refresh_from_db()
        assert (one.state, two.state) == (OfferState.CONFIRMED, OfferState.LOST)
        assert series.at == time(16)
        assert Lesson.objects.filter(series=series).count() == 5
        told = OutgoingEmail.objects.filter(to="moran@example.com").order_by("pk").last()
        assert told is not None
        assert "said yes first" in told.body
        others = alternatives_for(
            waiting=second, last_date=two.last_date, studio=studio, today=TODAY
        )
        assert others
        wished = offer_wish(
            offer=two, weekday=others[0].weekday, start=others[0].start, by=parent, now=LATER
        )
        again = offer_wish(
            offer=two, weekday=others[0].weekday, start=others[0].start, by=parent, now=LATER
        )
        assert again == wished
        with pytest.raises(OfferOver):
            offer_confirm(offer=wished, by=parent, now=LATER)
        assert offer_confirm(offer=wished, by=teacher, now=LATER).lessons.count() > 3

    def test_the_press_is_repeated_after_a_lost_connection(
        self, stopped: Series, studio: Any, teacher: Any
    ) -> None:
        """Edge case 35: offered twice is one offer, confirmed twice is one series."""
        lena = waits("Long Lena", TUESDAYS)
        made = [offered(studio, teacher, lena)[0] for _ in range(2)]
        booked = [offer_confirm(offer=made[0], by=teacher, now=LATER) for _ in range(2)]

        assert made[0] == made[1]
        assert booked[0] == booked[1]
        assert Series.objects.count() == 2
        assert Family.objects.filter(name="Long Lena").count() == 1
        assert OutgoingEmail.objects.filter(to="long@example.com").count() == 2

    def test_an_enquiry_becomes_a_family_at_its_own_home(
        self, stopped: Series, studio: Any, teacher: Any
    ) -> None:
        lena = waits("Long Lena", TUESDAYS, contact_name="Mona Lena", birth_year=2015)

        series = offer_confirm(offer=offered(studio, teacher, lena)[0], by=teacher, now=LATER)

        student = series.students.get()
        lena.refresh_from_db()
        assert (student.name, student.birth_year) == ("Long Lena", 2015)
        assert student.family.home == series.place == lena.place
        assert student.family.adults.get().email == "long@example.com"
        assert (lena.state, lena.student) == (WaitingState.PLACED, student)

    def test_nobody_answered_in_time_and_the_next_is_asked(
        self, stopped: Series, studio: Any, teacher: Any
    ) -> None:
        lena, larry = (
            waits("Long Lena", TUESDAYS),
            waits("Late Larry", TUESDAYS, since_date=date(2026, 8, 9)),
        )
        lapsed = offered(studio, teacher, lena)[0]
        after = LATER + timedelta(days=4)

        with pytest.raises(OfferOver, match="ended on 12 September, 23:59"):
            offer_confirm(offer=lapsed, by=teacher, now=after)
        assert [one.waiting.name for one in looked_at(studio, after).next] == ["Late Larry"]
        offered(studio, teacher, larry, now=after)

        lapsed.refresh_from_db()
        assert lapsed.state == OfferState.EXPIRED
        assert not Series.objects.exclude(pk=stopped.pk).exists()

    def test_who_has_another_time_gives_up_the_old_one(
        self, stopped: Series, studio: Any, teacher: Any, aoife: Any
    ) -> None:
        old = services.series_book(
            wish=wish_for(aoife, first=date(2026, 9, 15), at=time(16, 30), place=stopped.place),
            by=teacher,
            now=NOW,
        )
        # A quarter of an hour earlier runs into the old time, which is given up.
        entry = waits(
            "Aoife Moran",
            (1, time(16), time(16, 45)),
            student=aoife,
            replaces=old,
            minutes=45,
            place=stopped.place,
        )

        series = offer_confirm(offer=offered(studio, teacher, entry)[0], by=teacher, now=LATER)

        old.refresh_from_db()
        assert old.stopped_from_date == series.first_date
        assert not old.lessons.taking_time().exists()
        assert series.lessons.count() == 5

    def test_a_time_booked_by_hand_meanwhile_is_lost_in_words(
        self, stopped: Series, studio: Any, teacher: Any, aoife: Any
    ) -> None:
        offer = offered(studio, teacher, waits("Long Lena", TUESDAYS))[0]
        services.series_book(
            wish=wish_for(aoife, first=date(2026, 9, 15), place=stopped.place),
            by=teacher,
            now=NOW,
        )

        with pytest.raises(OfferOver, match="just been taken"):
            offer_confirm(offer=offer, by=teacher, now=LATER)

        offer.refresh_from_db()
        assert offer.state == OfferState.LOST
        assert not Family.objects.filter(name="Long Lena").exists()

    def test_declined_keeps_the_place_in_the_line(
        self, stopped: Series, studio: Any, teacher: Any
    ) -> None:
        lena = waits("Long Lena", TUESDAYS)
        offer = offered(studio, teacher, lena)[0]

        for _ in range(2):
            offer_decline(offer=offer, by=teacher, now=LATER)
        with pytest.raises(OfferOver):
            offer_confirm(offer=offer, by=teacher, now=LATER)

        lena.refresh_from_db()
        assert lena.state == WaitingState.WAITING
        assert looked_at(studio).next == []

    def test_whoever_is_off_the_list_has_no_offer(
        self, stopped: Series, studio: Any, teacher: Any
    ) -> None:
        lena = waits("Long Lena", TUESDAYS)
        offer = offered(studio, teacher, lena)[0]
        waiting_close(waiting=lena, by=teacher, now=LATER)

        with pytest.raises(OfferOver):
            offer_confirm(offer=offer, by=teacher, now=LATER)
        with pytest.raises(CannotOffer, match="no longer on the list"):
            offered(studio, teacher, lena)

    def test_makes_sense_or_is_refused(self, stopped: Series, studio: Any, teacher: Any) -> None:
        people = [waits(f"P{n} Person", TUESDAYS) for n in range(3)]
        slot = slots_known(today=TODAY)[0]

        with pytest.raises(CannotOffer, match="two at once"):
            offers_make(slot=slot, waiting=people, until=UNTIL, by=teacher, now=LATER)
        for until in (TODAY - timedelta(days=1), TODAY + timedelta(days=90)):
            with pytest.raises(CannotOffer, match="28 days"):
                offers_make(slot=slot, waiting=people[:1], until=until, by=teacher, now=LATER)
        monday = FreeSlot(0, 960, 990, slot.first_date, slot.last_date)
        with pytest.raises(CannotOffer, match="cannot come on Monday"):
            offers_make(slot=monday, waiting=people[:1], until=UNTIL, by=teacher, now=LATER)
        assert not Offer.objects.exists()

    def test_confirmed_late_it_begins_with_the_next_lesson_to_come(
        self, stopped: Series, studio: Any, teacher: Any
    ) -> None:
        lena = waits("Long Lena", TUESDAYS)
        slot = slots_known(today=TODAY)[0]
        offer = offers_make(
            slot=slot, waiting=[lena], until=date(2026, 9, 25), by=teacher, now=LATER
        )[0]

        series = offer_confirm(offer=offer, by=teacher, now=LATER + timedelta(days=8))

        assert (offer.first_date, series.first_date) == (date(2026, 9, 15), date(2026, 9, 22))
