"""The four limbs of a drum-set player."""

from __future__ import annotations

from enum import StrEnum


class Limb(StrEnum):
    """One of the player's limbs, as the trade abbreviates them.

    The declaration order is the order of the lanes on every page: hands over feet, right over left.
    """

    RH = "RH"
    LH = "LH"
    RF = "RF"
    LF = "LF"

    # Several times faster than Enum's own, and dictionaries keyed by limb are everywhere.
    __hash__ = str.__hash__

    @property
    def is_hand(self) -> bool:
        """True for the two hands."""
        return self in HANDS

    @property
    def is_foot(self) -> bool:
        """True for the two feet."""
        return self in FEET

    @property
    def other_side(self) -> Limb:
        """The same kind of limb on the other side of the body."""
        return _OTHER_SIDE[self]

    @property
    def spoken(self) -> str:
        """The limb in words, as a teacher says it."""
        return _SPOKEN[self]


HANDS = (Limb.RH, Limb.LH)
FEET = (Limb.RF, Limb.LF)
LIMBS = (Limb.RH, Limb.LH, Limb.RF, Limb.LF)

_OTHER_SIDE = {
    Limb.RH: Limb.LH,
    Limb.LH: Limb.RH,
    Limb.RF: Limb.LF,
    Limb.LF: Limb.RF,
}
_SPOKEN = {
    Limb.RH: "right hand",
    Limb.LH: "left hand",
    Limb.RF: "right foot",
    Limb.LF: "left foot",
}
