"""Ladders from a core to a target, and spreads."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pytest

from exercises.rhythm import ladder as ladder_module
from exercises.rhythm.branches import branches
from exercises.rhythm.errors import Refused, RhythmError
from exercises.rhythm.figure import Figure, Loudness, Ornament
from exercises.rhythm.grade import grade
from exercises.rhythm.kit import FIVE_PIECE, KITS
from exercises.rhythm.ladder import LadderGraph, ladder, spread
from exercises.rhythm.library import BY_SLUG
from exercises.rhythm.limbs import Limb
from exercises.rhythm.moves import from_code
from exercises.rhythm.playability import refusal
from exercises.rhythm.space import Node
from exercises.rhythm.toward import plainer
from exercises.rhythm.typed import read_typed

ROCK = BY_SLUG["rock-first-beat"].figure
PLAIN = read_typed("4/4\nLH snare: . X . X\nRF bass-drum: x . x .")


def opened(core: Figure, *codes: str) -> Figure:
    for code in codes:
        core = from_code(code).apply(core, FIVE_PIECE)
    return core


TARGETS = {
    "one move": (PLAIN, ("ostinato.RH.hi_hat.8.on",)),
    "two limbs": (PLAIN, ("ostinato.RH.hi_hat.8.on", "pedal.1xxxx.hi_hat_foot.LF")),
    "three limbs": (
        PLAIN,
        ("ostinato.RH.hi_hat.16.on", "pedal.1xxxx.hi_hat_foot.LF", "bass.2x--xx---.RF"),
    ),
    "the other hand leads": (ROCK, ("swap", "bass.2x-x--x--.RF")),
    "round the kit": (ROCK, ("round.LH.snare~floor_tom.1s", "subdivision.RH.16")),
    "ghosts": (ROCK, ("fill.LH.snare.16.hands.ghost",)),
    "paradiddles": (
        read_typed("4/4\nRH snare: x.x. x.x. x.x. x.x.\nLH snare: .x.x .x.x .x.x .x.x"),
        ("stick.RLRRLRLL.hands.R", "accents.RH~LH.1x"),
    ),
    "five moves": (
        read_typed("4/4\nRF bass-drum: x . x ."),
        (
            "ostinato.RH.ride.4.on",
            "time.LH.snare.1-x-x",
            "pedal.1-x-x.hi_hat_foot.LF",
            "bass.2x--xx---.RF",
            "subdivision.RH.8",
        ),
    ),
}
every_target = pytest.mark.parametrize("name", TARGETS)


def paths(graph: LadderGraph, path: list[Node]) -> Iterator[list[Node]]:
    """Every path without a repeated node whose steps never go down nor over the target."""
    here = path[-1]
    if here == graph.target:
        yield path
        return
    height, top = graph.space.height, graph.space.height(graph.target)
    for one in graph.after(here):
        if one not in path and height(here) <= height(one) <= top:
            yield from paths(graph, [*path, one])


class TestLadder:
    @every_target
    def test_climbs_by_single_moves_that_never_get_easier(self, name: str) -> None:
        core, codes = TARGETS[name]
        target = opened(core, *codes)

        found = ladder(core, target, FIVE_PIECE, bpm=80)

        assert found.rungs[0].figure == core
        assert found.rungs[0].moves == ()
        assert found.rungs[-1].figure == target
        steps = []
        for before, after in pairwise(found.rungs):
            (move,) = after.moves
            assert move.apply(before.figure, FIVE_PIECE) == after.figure
            assert refusal(after.figure, FIVE_PIECE) is None
            assert after.grade.total == after.points
            steps.append(after.points - before.points)
        assert min(steps) >= 0
        assert found.hardest_step == pytest.approx(max(steps))

    @every_target
    def test_is_no_harder_than_the_way_it_was_made(self, name: str) -> None:
        core, codes = TARGETS[name]
        way = [opened(core, *codes[:count]) for count in range(len(codes) + 1)]
        points = [_points(figure) for figure in way]
        if sorted(points) != points:
            pytest.skip("the way it was made goes down somewhere")

        found = ladder(core, way[-1], FIVE_PIECE, bpm=80)

        assert found.hardest_step <= max(b - a for a, b in pairwise(points)) + 1e-9

    @every_target
    @pytest.mark.parametrize("size", [9])
    def test_is_the_best_of_all_ways_in_a_small_space(
        self, name: str, size: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(ladder_module, "MOST_FIGURES", size)
        core, codes = TARGETS[name]
        target = opened(core, *codes)
        graph = LadderGraph(core, target, FIVE_PIECE, bpm=80)
        height = graph.space.height

        every = list(paths(graph, [graph.core]))
        if not every:
            with pytest.raises(Refused):
                ladder(core, target, FIVE_PIECE, bpm=80)
            return
        found = ladder(core, target, FIVE_PIECE, bpm=80)

        best = min((max(height(b) - height(a) for a, b in pairwise(p)), len(p)) for p in every)
        assert (round(found.hardest_step * 1000), len(found.rungs)) == best

    @pytest.mark.parametrize("slug", ["rock-first-beat", "linear-triplets", "pad-moving-accent"])
    def test_a_known_way_that_never_goes_down_is_always_climbed(self, slug: str) -> None:
        core = BY_SLUG[slug]
        climbed = 0
        for variant in branches(core.figure, core.kit, bpm=core.bpm, depth=3).variants[::300]:
            points, figure = [_at(core.figure, core.bpm)], core.figure
            for move in variant.moves:
                figure = move.apply(figure, core.kit)
                points.append(grade(figure, core.bpm, core.kit).total)
            if sorted(points) != points or figure.bars != core.figure.bars:
                continue

            found = ladder(core.figure, variant.figure, core.kit, bpm=core.bpm, way=variant.moves)

            climbed += 1
            assert found.hardest_step <= max(b - a for a, b in pairwise(points)) + 1e-9
            if climbed == 4:
                break
        assert climbed >= 3

    def test_a_line_is_built_up_from_its_plainer_stages(self) -> None:
        core = BY_SLUG["train-beat"]
        target = core.figure
        for code in (
            "accents.LH.4---x",
            "ornament.LH.drag.accents",
            "round.RH~LH.snare~high_tom~mid_tom~floor_tom.1b",
        ):
            target = from_code(code).apply(target, core.kit)

        found = ladder(core.figure, target, core.kit, bpm=core.bpm)

        assert found.rungs[-1].figure == target
        assert len(found.rungs) >= 4

    def test_the_plainer_stages_of_a_line(self) -> None:
        line = read_typed("4/4\nLH snare: . F . g\nRF: x . x .").line(Limb.LH)

        bare, even = plainer(line)

        assert [(s.ornament, s.loudness) for s in bare] == [
            (Ornament.NONE, s.loudness) for s in line
        ]
        assert {(s.ornament, s.loudness) for s in even} == {(Ornament.NONE, Loudness.NORMAL)}
        assert plainer(even) == () == plainer(())

    def test_writes_a_short_core_out_first(self) -> None:
        target = read_typed(
            "4/4\nRH: xx xx xx xx | xx xx xx xx\nLH: . X . X | . X . X\nRF: x . xx . | x . x. .x"
        )

        found = ladder(ROCK, target, FIVE_PIECE, bpm=80)

        assert found.rungs[0].figure.bars == 2
        assert found.rungs[-1].figure == target

    def test_adds_a_limb_before_it_doubles_the_ostinato(self) -> None:
        target = opened(PLAIN, "ostinato.RH.hi_hat.16.on")

        found = ladder(PLAIN, target, FIVE_PIECE, bpm=80)

        assert len(found.rungs) >= 3
        assert len(found.rungs[1].figure) < len(found.rungs[-1].figure)

    @pytest.mark.parametrize(
        ("core", "target", "reason"),
        [
            (ROCK, ROCK, "the same figure"),
            (ROCK, PLAIN, "easier than the core"),
            (ROCK, BY_SLUG["waltz-rock"].figure, "no move changes meter"),
            (BY_SLUG["bossa-two-bars"].figure, ROCK, "equally long"),
            (ROCK, BY_SLUG["pad-paradiddle"].figure, "not on this kit"),
        ],
    )
    def test_says_why_there_is_none(self, core: Figure, target: Figure, reason: str) -> None:
        with pytest.raises(Refused, match=reason):
            ladder(core, target, FIVE_PIECE, bpm=80)

    def test_says_when_no_moves_lead_there(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(LadderGraph, "after", lambda _self, _node: [])

        with pytest.raises(Refused, match="no way was found"):
            ladder(PLAIN, ROCK, FIVE_PIECE, bpm=80)


def _points(figure: Figure) -> float:
    return grade(figure, 80, FIVE_PIECE).total


class TestSpread:
    @pytest.mark.parametrize("slug", ["rock-first-beat", "seven-eighths"])
    @pytest.mark.parametrize("count", [1, 8])
    def test_climbs_evenly_and_differs(self, slug: str, count: int) -> None:
        core = BY_SLUG[slug]

        found = spread(core.figure, count, core.kit, bpm=core.bpm)

        points = [variant.points for variant in found]
        assert len(found) == count
        assert sorted(set(points)) == points
        assert points[0] > _at(core.figure, core.bpm)
        assert len({variant.figure for variant in found}) == count
        if count > 2:
            mean = (points[-1] - points[0]) / (count - 1)
            assert max(b - a for a, b in pairwise(points)) <= 2 * mean
            assert len({move.kind for v in found for move in v.moves}) >= count * 3 // 4

    @pytest.mark.parametrize("slug", ["rock-first-beat", "seven-eighths", "pad-paradiddle"])
    def test_the_same_core_gives_the_same_variants_in_the_same_order(self, slug: str) -> None:
        core = BY_SLUG[slug]

        once, again = (spread(core.figure, 5, core.kit, bpm=core.bpm) for _ in range(2))

        assert [(v.figure, v.moves, v.points) for v in once] == [
            (v.figure, v.moves, v.points) for v in again
        ]
        assert len({v.figure for v in once}) == len(once) == 5

    def test_works_on_the_pad(self) -> None:
        core = BY_SLUG["pad-paradiddle"]

        assert len(spread(core.figure, 4, KITS["pad"], bpm=core.bpm)) == 4

    @pytest.mark.parametrize("count", [0, 51])
    def test_refuses_other_numbers(self, count: int) -> None:
        with pytest.raises(RhythmError, match="1 to 50"):
            spread(ROCK, count, FIVE_PIECE, bpm=80)


def _at(figure: Figure, bpm: int) -> float:
    return grade(figure, bpm, FIVE_PIECE).total
