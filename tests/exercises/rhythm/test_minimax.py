"""The path whose hardest step is the least hard, against brute force on small graphs."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from hypothesis import given
from hypothesis import strategies as st

from exercises.rhythm.minimax import minimax_path

Graph = dict[int, list[int]]


def simple_paths(
    graph: Graph, heights: list[int], path: list[int], goal: int
) -> Iterator[list[int]]:
    """Every path without a repeated node whose steps never go down nor over the goal."""
    here = path[-1]
    if here == goal:
        yield path
        return
    for one in graph[here]:
        if one not in path and heights[here] <= heights[one] <= heights[goal]:
            yield from simple_paths(graph, heights, [*path, one], goal)


def cost(path: list[int], heights: list[int]) -> tuple[int, int, list[int]]:
    steps = [heights[b] - heights[a] for a, b in itertools.pairwise(path)]
    return max(steps, default=0), len(path), path[::-1]


@st.composite
def graphs(draw: st.DrawFn) -> tuple[Graph, list[int]]:
    count = draw(st.integers(2, 7))
    nodes = range(count)
    heights = draw(st.lists(st.integers(0, 5), min_size=count, max_size=count))
    graph = {
        node: draw(st.lists(st.sampled_from(nodes), unique=True, max_size=count)) for node in nodes
    }
    return graph, heights


class TestMinimaxPath:
    @given(graphs())
    def test_is_the_best_of_all_paths(self, given: tuple[Graph, list[int]]) -> None:
        graph, heights = given
        start, goal = 0, len(heights) - 1

        path = minimax_path(start, goal, graph.__getitem__, heights.__getitem__, lambda node: node)

        every = list(simple_paths(graph, heights, [start], goal))
        if heights[start] > heights[goal]:
            every = []
        assert (path is None) == (not every)
        if path is not None:
            assert cost(path, heights) == min(cost(one, heights) for one in every)

    @given(graphs(), st.randoms(use_true_random=False))
    def test_does_not_depend_on_the_order_of_the_edges(
        self, given: tuple[Graph, list[int]], random: object
    ) -> None:
        graph, heights = given
        goal = len(heights) - 1
        shuffled = {}
        for node, after in graph.items():
            other = list(after)
            random.shuffle(other)  # type: ignore[attr-defined]
            shuffled[node] = other

        paths = [
            minimax_path(0, goal, one.__getitem__, heights.__getitem__, lambda node: node)
            for one in (graph, shuffled)
        ]

        assert paths[0] == paths[1]

    def test_prefers_two_small_steps_to_one_large_one(self) -> None:
        graph = {0: [2, 1], 1: [2], 2: []}

        assert minimax_path(0, 2, graph.__getitem__, [0, 3, 6].__getitem__, int) == [0, 1, 2]

    def test_prefers_the_shorter_of_two_equally_hard_ways(self) -> None:
        graph = {0: [1, 3], 1: [2], 2: [3], 3: []}

        assert minimax_path(0, 3, graph.__getitem__, [0, 0, 0, 5].__getitem__, int) == [0, 3]

    def test_never_goes_down(self) -> None:
        graph = {0: [1], 1: [2], 2: []}

        assert minimax_path(0, 2, graph.__getitem__, [1, 0, 2].__getitem__, int) is None

    def test_is_there_already(self) -> None:
        assert minimax_path(0, 0, lambda _: [], lambda _: 0, int) == [0]
