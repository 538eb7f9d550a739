"""What a core figure opens into."""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings

from exercises.rhythm import branches as branches_module
from exercises.rhythm.branches import DEEPEST, Variant, branches, evenly_chosen
from exercises.rhythm.errors import Refused, RhythmError
from exercises.rhythm.figure import Figure
from exercises.rhythm.grade import grade
from exercises.rhythm.kit import FIVE_PIECE, FIVE_PIECE_TWO_PEDALS, KITS, Kit
from exercises.rhythm.library import BY_SLUG, CORES, LibraryFigure
from exercises.rhythm.moves import menu, to_code
from exercises.rhythm.playability import refusal
from exercises.rhythm.space import Space
from tests.strategies import sensible_figures

every_core = pytest.mark.parametrize("core", CORES, ids=lambda core: core.slug)
ROCK = BY_SLUG["rock-first-beat"]
FUNK = BY_SLUG["funk-ghosts"]


def replayed(core: Figure, variant: Variant, kit: Kit) -> Figure:
    figure = core
    for move in variant.moves:
        figure = move.apply(figure, kit)
    return figure


def one_by_one(figure: Figure, kit: Kit) -> tuple[dict[Figure, str], Counter[str], int]:
    """The slow way: apply every move of the menu and sort out what comes."""
    found: dict[Figure, str] = {}
    refused: Counter[str] = Counter()
    duplicates = 0
    for move in menu(figure, kit):
        try:
            result = move.apply(figure, kit)
        except Refused as no:
            refused[str(no)] += 1
            continue
        if result in found:
            duplicates += 1
        else:
            found[result] = to_code(move)
    return found, refused, duplicates


class TestBranches:
    @every_core
    def test_is_the_menu_applied_move_by_move(self, core: LibraryFigure) -> None:
        slow, refused, duplicates = one_by_one(core.figure, core.kit)

        fast = branches(core.figure, core.kit, bpm=core.bpm)

        assert {v.figure: to_code(v.moves[0]) for v in fast.variants} == slow
        assert dict(fast.refused) == refused
        assert fast.duplicates == duplicates
        assert fast.considered == len(fast.variants) + fast.refused_count + fast.duplicates

    @given(figure=sensible_figures(max_strokes=10))
    @settings(max_examples=25)
    def test_is_the_menu_applied_to_any_playable_figure(self, figure: Figure) -> None:
        if refusal(figure, FIVE_PIECE):
            return
        slow, refused, duplicates = one_by_one(figure, FIVE_PIECE)

        fast = branches(figure, FIVE_PIECE, bpm=90)

        assert {v.figure: to_code(v.moves[0]) for v in fast.variants} == slow
        assert dict(fast.refused) == refused
        assert fast.duplicates == duplicates

    @every_core
    def test_goes_from_easy_to_hard_without_doubles(self, core: LibraryFigure) -> None:
        found = branches(core.figure, core.kit, bpm=core.bpm).variants

        assert found
        assert [v.points for v in found] == sorted(v.points for v in found)
        assert len({v.figure for v in found} | {core.figure}) == len(found) + 1

    @every_core
    def test_grades_as_the_grade_does(self, core: LibraryFigure) -> None:
        for variant in branches(core.figure, core.kit, bpm=core.bpm).variants:
            assert variant.points == variant.grade.total
            assert variant.points == grade(variant.figure, core.bpm, core.kit).total
            assert variant.words == tuple(move.words for move in variant.moves)

    @pytest.mark.parametrize("depth", [2, 3])
    @pytest.mark.parametrize("slug", ["rock-first-beat", "bossa-two-bars", "pad-paradiddle"])
    def test_deeper_ones_are_reached_by_their_moves(
        self, slug: str, depth: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(branches_module, "OPENED", 12)
        core = BY_SLUG[slug]

        found = branches(core.figure, core.kit, bpm=core.bpm, depth=depth)

        assert max(len(v.moves) for v in found.variants) == depth
        assert len({v.figure for v in found.variants}) == len(found.variants)
        assert found.considered == len(found.variants) + found.refused_count + found.duplicates
        assert found.unopened > 0
        for variant in found.variants[::7]:
            assert replayed(core.figure, variant, core.kit) == variant.figure
            assert refusal(variant.figure, core.kit) is None

    def test_no_limb_gets_the_same_kind_of_move_twice(self) -> None:
        for variant in branches(ROCK.figure, ROCK.kit, bpm=80, depth=2).variants:
            done = [(move.kind, limb) for move in variant.moves for limb in move.limbs]
            assert len(set(done)) == len(done)

    def test_a_limit_keeps_the_easiest(self) -> None:
        every = branches(FUNK.figure, FUNK.kit, bpm=76)
        few = branches(FUNK.figure, FUNK.kit, bpm=76, limit=10)

        assert few.variants == every.variants[:10]
        assert few.considered == every.considered
        assert branches(FUNK.figure, FUNK.kit, bpm=76, limit=-1).variants == ()

    def test_keeps_the_title(self) -> None:
        assert branches(ROCK.figure, ROCK.kit, bpm=80).variants[0].figure.title == "First rock beat"

    def test_counts_refusals_most_frequent_first(self) -> None:
        counts = [count for _, count in branches(ROCK.figure, ROCK.kit, bpm=80).refused]

        assert counts == sorted(counts, reverse=True)

    def test_left_handed_players_get_the_same_number(self) -> None:
        from exercises.rhythm.kit import mirror

        right = branches(FUNK.figure, FIVE_PIECE, bpm=76)
        left = branches(mirror(FUNK.figure), FIVE_PIECE.mirrored(), bpm=76)

        assert {mirror(v.figure) for v in left.variants} == {v.figure for v in right.variants}

    @pytest.mark.parametrize("depth", [0, DEEPEST + 1])
    def test_refuses_other_depths(self, depth: int) -> None:
        with pytest.raises(RhythmError, match="1 to 3 moves"):
            branches(ROCK.figure, ROCK.kit, bpm=80, depth=depth)

    def test_thousands_of_two_bar_variants(self) -> None:
        core = BY_SLUG["bossa-two-bars"]

        found = branches(core.figure, core.kit, bpm=core.bpm, depth=3)

        assert len(found.variants) > 3000

    def test_chooses_evenly(self) -> None:
        nodes = [(n, 0, 0, 0) for n in range(10)]

        assert [node[0] for node in evenly_chosen(nodes, 4)] == [0, 3, 6, 9]
        assert evenly_chosen(nodes, 20) == nodes


class TestSpace:
    @pytest.mark.parametrize("kit", [*KITS.values()], ids=[*KITS])
    @pytest.mark.parametrize("core", CORES[::5], ids=lambda core: core.slug)
    def test_offers_the_menu(self, core: LibraryFigure, kit: Kit) -> None:
        space = Space(core.figure, kit, bpm=80)

        edges = space.menu(space.node(core.figure))

        assert tuple(dict.fromkeys(edge.move for edge in edges)) == menu(core.figure, kit)

    @every_core
    def test_judges_as_the_judges_do(self, core: LibraryFigure) -> None:
        space = Space(core.figure, core.kit, bpm=core.bpm)
        node = space.node(core.figure)

        for edge in space.menu(node):
            after = space.after(node, edge)
            if isinstance(after, str):
                continue
            figure = space.figure(after)
            assert space.refusal(after) == refusal(figure, core.kit)
            assert space.points(after) == grade(figure, core.bpm, core.kit).total
            assert space.node(figure) == after


SCRIPT = """
from exercises.rhythm.branches import branches
from exercises.rhythm.ladder import ladder, spread
from exercises.rhythm.library import BY_SLUG
from exercises.rhythm.moves import to_code
from exercises.rhythm.record import content_hash
core, target = BY_SLUG["rock-first-beat"], BY_SLUG["rock-pushed-bass"]
for found in (
    branches(core.figure, core.kit, bpm=80).variants,
    spread(core.figure, 6, core.kit, bpm=80),  # this goes two moves deep
    ladder(core.figure, target.figure, core.kit, bpm=80).rungs,
):
    for v in found:
        print(content_hash(v.figure), v.points, *map(to_code, v.moves))
print(branches(core.figure, core.kit, bpm=80).refused)
"""


def test_answers_are_the_same_in_every_process(project: Path) -> None:
    outputs = [
        subprocess.run(
            [sys.executable, "-c", SCRIPT],
            cwd=project,
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "4242")
    ]

    assert outputs[0] == outputs[1]
    assert len(outputs[0].splitlines()) > 50


def test_two_pedals_open_more() -> None:
    core = BY_SLUG["feet-in-turn"].figure

    assert "feet" in str([m.words for m in menu(core, FIVE_PIECE_TWO_PEDALS)])
    assert "feet:" not in str([m.words for m in menu(core, FIVE_PIECE)])
