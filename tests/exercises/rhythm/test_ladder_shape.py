"""Ladders with pinned steps and a chosen number of steps."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from exercises.rhythm.branches import branches
from exercises.rhythm.errors import Refused
from exercises.rhythm.ladder import Ladder, ladder
from exercises.rhythm.ladder_shape import fewest_hard, shaped_ladder
from exercises.rhythm.library import BY_SLUG
from exercises.rhythm.minimax import rising_path

CORE = BY_SLUG["rock-first-beat"]


def _target() -> tuple[object, ...]:
    """A far variant of the first beat to which a ladder of four steps and more climbs."""
    found = branches(CORE.figure, CORE.kit, bpm=CORE.bpm, depth=2).variants
    for variant in found[:: len(found) // 40]:
        try:
            climbed = ladder(CORE.figure, variant.figure, CORE.kit, bpm=CORE.bpm)
        except Refused:
            continue
        if len(climbed.rungs) >= 4:
            return variant, climbed
    raise LookupError("no ladder of four rungs")


VARIANT, PLAIN = _target()


def shaped(**wishes: object) -> Ladder:
    return shaped_ladder(
        CORE.figure,
        VARIANT.figure,  # type: ignore[attr-defined]
        CORE.kit,
        bpm=CORE.bpm,
        **wishes,  # type: ignore[arg-type]
    )


def is_a_climb(found: Ladder) -> bool:
    """Every rung comes of its moves made on the one below, and none is easier."""
    figure = found.rungs[0].figure
    for below, rung in pairwise(found.rungs):
        assert rung.points >= below.points
        for move in rung.moves:
            figure = move.apply(figure, CORE.kit)
        assert figure == rung.figure
    return found.rungs[0].figure == CORE.figure


class TestShapedLadder:
    def test_without_wishes_is_the_usual_ladder(self) -> None:
        found = shaped()

        assert [rung.figure for rung in found.rungs] == [rung.figure for rung in PLAIN.rungs]  # type: ignore[attr-defined]
        assert found.hardest_step == PLAIN.hardest_step  # type: ignore[attr-defined]
        assert is_a_climb(found)

    @pytest.mark.parametrize("steps", range(1, 9))
    def test_has_the_steps_that_were_asked_for_or_the_most_there_are(self, steps: int) -> None:
        found = shaped(steps=steps)

        usual = len(PLAIN.rungs) - 1  # type: ignore[attr-defined]
        assert is_a_climb(found)
        assert len(found.rungs) - 1 == steps or steps > usual
        if steps > usual:
            assert usual <= len(found.rungs) - 1 <= steps
            assert found.hardest_step >= PLAIN.hardest_step - 1e-9  # type: ignore[attr-defined]

    def test_goes_by_way_of_what_is_kept(self) -> None:
        middle = PLAIN.rungs[1].figure  # type: ignore[attr-defined]

        fewest = shaped(stops=[middle], steps=1)

        assert [rung.figure for rung in fewest.rungs][1:-1] == [middle]
        assert is_a_climb(fewest)

    def test_never_goes_over_what_is_left_out(self) -> None:
        unwanted = PLAIN.rungs[1].figure  # type: ignore[attr-defined]
        found = shaped(without=[unwanted])

        assert unwanted not in [rung.figure for rung in found.rungs]
        assert found.hardest_step >= PLAIN.hardest_step - 1e-9  # type: ignore[attr-defined]

    def test_names_the_stop_that_lies_on_no_climb(self) -> None:
        with pytest.raises(Refused, match="“Three sixteenths early” is no step between"):
            shaped(stops=[BY_SLUG["funk-three-sixteenths-early"].figure])

    def test_is_the_same_every_time(self) -> None:
        middle = PLAIN.rungs[1].figure  # type: ignore[attr-defined]
        assert shaped(stops=[middle], steps=5) == shaped(stops=[middle], steps=5)

    @pytest.mark.parametrize("steps", [0, -1, 25])
    def test_refuses_senseless_numbers(self, steps: int) -> None:
        with pytest.raises(Refused, match="1 to 24 steps"):
            shaped(steps=steps)


@st.composite
def staircases(draw: st.DrawFn) -> tuple[list[int], int, frozenset[int]]:
    """Rising heights, a number of steps, and places that must stay."""
    heights = sorted(draw(st.lists(st.integers(0, 40), min_size=2, max_size=8)))
    last = len(heights) - 1
    kept = draw(st.frozensets(st.integers(0, last), max_size=2))
    fewest = len(kept | {0, last}) - 1
    return heights, draw(st.integers(fewest, last)), kept


@given(staircases())
def test_no_other_choice_of_steps_has_a_smaller_hardest(
    case: tuple[list[int], int, frozenset[int]],
) -> None:
    heights, steps, kept = case
    last = len(heights) - 1

    def hardest(places: tuple[int, ...]) -> int:
        return max(heights[b] - heights[a] for a, b in pairwise(places))

    found = fewest_hard(heights, steps, kept)

    every = [
        (0, *inner, last)
        for inner in combinations(range(1, last), steps - 1)
        if kept <= {0, *inner, last}
    ]
    assert len(found) == steps + 1
    assert kept <= set(found)
    assert hardest(found) == min(hardest(places) for places in every)


@given(
    st.lists(st.integers(1, 9), min_size=2, max_size=7),
    st.sets(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=25),
    st.integers(1, 6),
)
def test_a_rising_path_is_the_best_of_all_of_its_length(
    heights: list[int], edges: set[tuple[int, int]], steps: int
) -> None:
    last = len(heights) - 1
    heights = [0, *heights[1:-1], 10]
    steps_from = {a: sorted(b for x, b in edges if x == a and b <= last) for a in range(last + 1)}

    def every(path: tuple[int, ...]) -> list[tuple[int, ...]]:
        if len(path) == steps + 1:
            return [path] if path[-1] == last else []
        here = path[-1]
        return [
            longer
            for b in steps_from[here]
            if heights[b] > heights[here]
            for longer in every((*path, b))
        ]

    found = rising_path(
        0, last, lambda n: steps_from[n], lambda n: heights[n], lambda n: n, steps=steps
    )

    paths = every((0,))
    assert (found is None) == (not paths)
    if found is not None:
        worst = [max(heights[b] - heights[a] for a, b in pairwise(path)) for path in paths]
        assert max(heights[b] - heights[a] for a, b in pairwise(found)) == min(worst)
        assert tuple(found) in paths
