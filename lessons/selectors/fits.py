"""How free weekly stretches fit those who wait, as the pages show it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time

from lessons.models import Offer, Waiting
from lessons.planning.find_time import Opening
from lessons.selectors.free_slots import FreeSlot, clock


@dataclass(frozen=True, slots=True)
class FitFor:
    """How a free stretch fits somebody who waits, or why it does not."""

    waiting: Waiting
    opening: Opening | None
    why_not: str
    offer: Offer | None = None
    elsewhere: Offer | None = None
    is_open: bool = False

    @property
    def fits(self) -> bool:
        """True if some start within the stretch would do."""
        return self.opening is not None

    @property
    def at(self) -> time:
        """When their lesson would begin; only for one that fits."""
        return clock(self.opening.start if self.opening else 0)

    @property
    def ends(self) -> time:
        """When it would end."""
        return clock((self.opening.start if self.opening else 0) + self.waiting.minutes)

    @property
    def count(self) -> int:
        """On how many dates it is free."""
        return len(self.opening.free) if self.opening else 0

    @property
    def clashes(self) -> list[tuple[date, str]]:
        """The dates on which something is in the way, with what."""
        blocked = self.opening.blocked if self.opening else ()
        return [(day, misfit.words) for day, misfit in blocked]

    @property
    def added_driving(self) -> int:
        """Minutes of driving that it adds to a week."""
        return round(self.opening.added_driving) if self.opening else 0

    @property
    def can_be_offered(self) -> bool:
        """True if it fits and was not offered to them before."""
        return self.fits and self.offer is None

    @property
    def can_be_offered_again(self) -> bool:
        """True if it fits and an offer came to nothing."""
        return self.fits and self.offer is not None and not self.is_open


@dataclass(frozen=True, slots=True)
class SlotFits:
    """A free stretch with everybody who waits, in their order."""

    slot: FreeSlot
    fits: tuple[FitFor, ...]

    @property
    def fitting(self) -> list[FitFor]:
        """Those whom it fits."""
        return [one for one in self.fits if one.fits]

    @property
    def again(self) -> list[FitFor]:
        """Those who were asked in vain, and could be asked once more."""
        return [one for one in self.fits if one.can_be_offered_again]

    @property
    def misfits(self) -> list[FitFor]:
        """Those whom it does not fit."""
        return [one for one in self.fits if not one.fits]

    @property
    def next(self) -> list[FitFor]:
        """Those whom it fits and who were not asked yet: the first is next."""
        return [one for one in self.fits if one.can_be_offered]
