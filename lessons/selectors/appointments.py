"""The teacher's own appointments, on the days that they fall on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from lessons.models import Appointment
from lessons.planning.intervals import Interval
from lessons.planning.travel import Stop
from studio.models import Place, Studio


@dataclass(frozen=True, slots=True)
class AppointmentTime:
    """One appointment on one of its days."""

    appointment: Appointment
    day: date
    when: Interval

    @property
    def label(self) -> str:
        """What it is."""
        return self.appointment.label

    @property
    def place(self) -> Place | None:
        """Where it is, None for anywhere."""
        return self.appointment.place

    @property
    def starts_at(self) -> datetime:
        """When it begins."""
        return self.when.start

    @property
    def ends_at(self) -> datetime:
        """When it is over."""
        return self.when.end

    @property
    def stop(self) -> Stop:
        """Where it is as the road sees it."""
        place = self.appointment.place
        if place is None:
            return Stop(key=-self.appointment.pk, is_anywhere=True, name=self.label)
        return Stop(
            key=place.pk,
            position=place.position,
            minutes_from_base=place.minutes_from_base,
            is_online=place.is_online,
            name=place.name,
        )


def appointments_on(
    first_date: date, last_date: date, zone: ZoneInfo, *, besides: int | None = None
) -> list[AppointmentTime]:
    """Return what falls on these local days, both included, in order of time: one query.

    :param besides: the number of an appointment that does not count
    """
    rows = Appointment.objects.touching(first_date, last_date).select_related("place")
    if besides is not None:
        rows = rows.exclude(pk=besides)
    found = [
        AppointmentTime(row, day, row.rule().when(day, zone))
        for row in rows
        for day in row.rule().dates(first_date, last_date)
    ]
    return sorted(found, key=lambda each: (each.when, each.appointment.pk))


def appointments_between(start: datetime, end: datetime) -> list[AppointmentTime]:
    """Return what takes time between two instants: one query while there is none, else two."""
    # A local day is never further than this from the same day in UTC.
    first, last = start.date() - timedelta(days=2), end.date() + timedelta(days=1)
    if not Appointment.objects.touching(first, last).exists():
        return []
    found = appointments_on(first, last, Studio.current().zone)
    return [each for each in found if each.when.start < end and each.when.end > start]
