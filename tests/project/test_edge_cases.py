"""Every case of the list of what a travelling teacher meets has a test that names it."""

from __future__ import annotations

import ast
import re
from pathlib import Path

TESTS = Path(__file__).parents[1]
NAMED = re.compile(r"^Edge case (\d+):", re.MULTILINE)
LISTED = re.compile(r"^(\d+)\. \S", re.MULTILINE)


def named_cases() -> dict[int, list[str]]:
    """The numbers that tests name in the first line of their docstrings, and which tests do."""
    found: dict[int, list[str]] = {}
    for path in sorted(TESTS.rglob("test_*.py")):
        source = path.read_text(encoding="utf-8")
        if "Edge case " not in source:
            continue
        for node in ast.walk(ast.parse(source)):
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                for number in NAMED.findall(ast.get_docstring(node) or ""):
                    found.setdefault(int(number), []).append(f"{path.name}::{node.name}")
    return found


def test_each_has_a_test(shared_checks: Path) -> None:
    text = (shared_checks / "scheduling_edge_cases.md").read_text(encoding="utf-8")
    listed = {int(number) for number in LISTED.findall(text)}
    named = named_cases()

    assert len(listed) == 58
    assert sorted(listed - set(named)) == []
    assert sorted(set(named) - listed) == []
