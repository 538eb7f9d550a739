"""What no drummer can play at any tempo, said in words.

The rules are about bodies and pedals: feet work pedals and hands do not, a pedal that is not there
cannot be pressed, a hi-hat cannot be shut and open at once, two sticks do not fit on one small drum
(save in a flam, which is one stroke of this engine), and a hand that plays a grace stroke cannot be
elsewhere. All are decided for one line or a pair of lines and remembered.
"""

from __future__ import annotations

from fractions import Fraction

from exercises.rhythm.counting import place_words
from exercises.rhythm.errors import Refused
from exercises.rhythm.figure import Figure, InternedLine, Ornament, Stroke
from exercises.rhythm.kit import Kit, Role
from exercises.rhythm.meter import Meter
from exercises.rhythm.surfaces import BOUNCING, Piece, Surface

SMALLEST_SHARED_CM = 40.0
_BOTH_FEET = 2
"""Two sticks fit side by side on nothing narrower than this (common practice, no source)."""

_OPEN = (Surface.HI_HAT_OPEN, Surface.HI_HAT_HALF_OPEN)
_MOST_REMEMBERED = 200_000
_NOT_YET = object()


def check(figure: Figure, kit: Kit) -> None:
    """Do nothing for a figure that can be played.

    :raises Refused: with the reason in words
    """
    reason = refusal(figure, kit)
    if reason is not None:
        raise Refused(reason)


def refusal(figure: Figure, kit: Kit) -> str | None:
    """Return why nobody could play this on the kit, naming limb and place, or None."""
    return _referee(figure.meter, figure.bars, kit).refusal(figure.lines)  # type: ignore[arg-type]


class Referee:
    """Answers for one meter, number of bars and kit, remembering lines and pairs of lines."""

    def __init__(self, meter: Meter, bars: int, kit: Kit) -> None:
        self._meter = meter
        self._bars = bars
        self._kit = kit
        self._known: dict[tuple[int, int, int], str | None] = {}

    def refusal(
        self, lines: tuple[InternedLine, InternedLine, InternedLine, InternedLine]
    ) -> str | None:
        """The first reason, limbs before pairs of limbs."""
        known = self._known
        if len(known) > _MOST_REMEMBERED:
            known.clear()
        right_hand, left_hand, right_foot, left_foot = lines
        for place, line in enumerate(lines):
            if line:
                key = (place, line.number, -1)
                reason = known.get(key, _NOT_YET)
                if reason is _NOT_YET:
                    reason = known[key] = self._of_line(line)
                if reason is not None:
                    return reason  # type: ignore[return-value]
        hat_foot = right_foot if self._kit.is_left_handed else left_foot
        for one, other in (
            (right_hand, left_hand),
            (right_hand, hat_foot),
            (left_hand, hat_foot),
        ):
            if one and other:
                key = (4, one.number, other.number)
                reason = known.get(key, _NOT_YET)
                if reason is _NOT_YET:
                    reason = known[key] = self._of_pair(one, other)
                if reason is not None:
                    return reason  # type: ignore[return-value]
        return None

    def _of_line(self, line: InternedLine) -> str | None:
        for stroke in line:
            reason = self._of_stroke(stroke)
            if reason is not None:
                return reason
        return None

    def _of_stroke(self, stroke: Stroke) -> str | None:
        kit, limb, surface = self._kit, stroke.limb, stroke.surface
        facts = surface.facts
        # The words are only put together for a refusal: a search looks at many thousands of lines.
        if limb.is_hand and facts.by_foot:
            who, where = f"the {limb.spoken}", self._where(stroke.onset)
            return f"{who} cannot play the {facts.spoken} at {where}: a pedal is for a foot"
        if limb.is_foot and not facts.by_foot:
            who, where = f"the {limb.spoken}", self._where(stroke.onset)
            return f"{who} cannot strike the {facts.spoken} at {where}: feet work pedals only"
        if facts.piece not in kit.pieces:
            who, where = f"the {limb.spoken}", self._where(stroke.onset)
            return f"{who} has no {facts.spoken} to play at {where}: it is not on this kit"
        if limb.is_foot:
            return self._of_pedal(stroke)
        if stroke.ornament is Ornament.BUZZ and surface not in BOUNCING:
            who, where = f"the {limb.spoken}", self._where(stroke.onset)
            return (
                f"{who} cannot buzz the {facts.spoken} at {where}: only a skin lets a stick bounce"
            )
        return None

    def _of_pedal(self, stroke: Stroke) -> str | None:
        kit = self._kit
        is_bass = stroke.surface.facts.piece is Piece.BASS_DRUM
        role = kit.roles[stroke.limb]
        is_wrong_pedal = is_bass == (role is Role.HAT_FOOT) and (
            not is_bass or kit.bass_pedals < _BOTH_FEET
        )
        if stroke.ornament is Ornament.NONE and not is_wrong_pedal:
            return None
        who, where = f"the {stroke.limb.spoken}", self._where(stroke.onset)
        if stroke.ornament is Ornament.BUZZ:
            return f"{who} cannot buzz at {where}: it takes a stick that bounces"
        if stroke.ornament is not Ornament.NONE:
            return f"{who} cannot play a {stroke.ornament.value} at {where}: it takes two hands"
        if is_bass:
            return f"{who} has no bass pedal to press at {where}: this kit has only one"
        other = stroke.limb.other_side.spoken
        return f"{who} cannot reach the hi-hat's pedal at {where}: it is under the {other}"

    def _of_pair(self, one: InternedLine, other: InternedLine) -> str | None:
        by_tick = {stroke.tick: stroke for stroke in other}
        for stroke in one:
            partner = by_tick.get(stroke.tick)
            if partner is None:
                continue
            reason = (
                self._of_hands(stroke, partner)
                if partner.limb.is_hand
                else self._of_hand_and_hi_hat_foot(stroke, partner)
            )
            if reason is not None:
                return reason
        return None

    def _of_hands(self, one: Stroke, other: Stroke) -> str | None:
        piece, other_piece = one.surface.facts.piece, other.surface.facts.piece
        for main, helper in ((one, other), (other, one)):
            if main.ornament is Ornament.DRAG or (
                main.ornament is Ornament.FLAM and piece is not other_piece
            ):
                return (
                    f"the {helper.limb.spoken} is needed for the {main.limb.spoken}'s "
                    f"{main.ornament.value} at {self._where(one.onset)} and cannot strike the "
                    f"{helper.surface.spoken} too"
                )
        is_flam = Ornament.FLAM in (one.ornament, other.ornament)
        is_small = self._kit.where(piece).width < SMALLEST_SHARED_CM
        if piece is other_piece and is_small and not is_flam:
            return (
                f"both hands would strike the {one.surface.spoken} at {self._where(one.onset)}: "
                "it is too small for two sticks at once, save in a flam"
            )
        return None

    def _of_hand_and_hi_hat_foot(self, hand: Stroke, foot: Stroke) -> str | None:
        if foot.surface is Surface.HI_HAT_FOOT and hand.surface in _OPEN:
            return (
                f"the {foot.limb.spoken} shuts the hi-hat at {self._where(hand.onset)}, where the "
                f"{hand.limb.spoken} strikes it open"
            )
        return None

    def _where(self, onset: Fraction) -> str:
        return place_words(self._meter, onset, bars=self._bars)


_referees: dict[tuple[Meter, int, Kit], Referee] = {}


def _referee(meter: Meter, bars: int, kit: Kit) -> Referee:
    key = (meter, bars, kit)
    found = _referees.get(key)
    if found is None:
        if len(_referees) >= 64:
            _referees.clear()
        found = _referees[key] = Referee(meter, bars, kit)
    return found
