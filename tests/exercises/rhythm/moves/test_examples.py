"""Every move's docstring shows a figure before and after; here the examples are played out."""

from __future__ import annotations

import inspect
import re

import pytest

from exercises.rhythm.kit import FIVE_PIECE
from exercises.rhythm.moves import MOVES, Move, from_code
from exercises.rhythm.typed import read_typed

EXAMPLE = re.compile(
    r"Example: ``(?P<code>[^`]+)`` makes of ::\n\n(?P<before>.*?)\n\nthis ::\n\n(?P<after>.*)",
    re.DOTALL,
)


def indented_only(block: str) -> str:
    """The typed figure in a docstring block."""
    return "\n".join(line.strip() for line in block.splitlines() if line.startswith("    "))


@pytest.mark.parametrize("move_class", MOVES, ids=lambda move: move.kind)
def test_the_example_in_the_docstring_is_true(move_class: type[Move]) -> None:
    found = EXAMPLE.search(inspect.getdoc(move_class) or "")
    assert found, f"{move_class.__name__} shows no example"
    before = read_typed(indented_only(found["before"]))
    after = read_typed(indented_only(found["after"]))

    move = from_code(found["code"])

    assert isinstance(move, move_class)
    assert move.apply(before, FIVE_PIECE) == after
