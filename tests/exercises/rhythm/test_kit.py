"""Kits and the mirror."""

from __future__ import annotations

import pytest
from hypothesis import given

from exercises.rhythm.figure import Figure
from exercises.rhythm.kit import FIVE_PIECE, KITS, Kit, Role, mirror
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Piece
from tests.strategies import figures

every_kit = pytest.mark.parametrize("kit", KITS.values(), ids=lambda kit: kit.name)


@every_kit
class TestEveryKit:
    def test_mirrored_twice_is_itself(self, kit: Kit) -> None:
        assert kit.mirrored().mirrored() == kit
        assert kit.mirrored() != kit

    def test_keeps_all_distances_when_mirrored(self, kit: Kit) -> None:
        there = kit.mirrored()
        for one in Piece:
            for other in Piece:
                assert kit.where(one).distance(kit.where(other)) == pytest.approx(
                    there.where(one).distance(there.where(other))
                )

    def test_gives_every_limb_one_role(self, kit: Kit) -> None:
        for side in (kit, kit.mirrored()):
            assert set(side.roles) == set(Limb)
            assert set(side.roles.values()) == set(Role)
            assert all(side.roles[limb] is role for role, limb in side.limb_by_role.items())

    def test_has_no_two_pieces_in_one_spot(self, kit: Kit) -> None:
        spots = [(place.x, place.y) for _, place in kit.places]
        assert len(set(spots)) == len(spots)


def test_the_left_handed_player_leads_with_the_left() -> None:
    roles = FIVE_PIECE.mirrored().roles

    assert roles[Limb.LH] is Role.STRONG_HAND
    assert roles[Limb.RH] is Role.WEAK_HAND
    assert roles[Limb.LF] is Role.BASS_FOOT
    assert roles[Limb.RF] is Role.HAT_FOOT


def test_the_mid_tom_tells_five_pieces_from_four() -> None:
    assert KITS["five_piece"].pieces - KITS["four_piece"].pieces >= {Piece.MID_TOM}
    assert KITS["pad"].pieces == {Piece.PAD}
    assert KITS["five_piece_two_pedals"].bass_pedals == 2


@given(figures())
def test_mirroring_a_figure_twice_gives_it_back(figure: Figure) -> None:
    there = mirror(figure)

    assert mirror(there) == figure
    assert len(there) == len(figure)
    assert [s.onset for s in there.line(Limb.LH)] == [s.onset for s in figure.line(Limb.RH)]
