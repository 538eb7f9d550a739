"""Build a term in a process of its own: ``python -m lessons.planning.term QUESTION ANSWER``."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from lessons.planning.term.build import build_term
from lessons.planning.term.records import answer_record, budget_read, problem_read


def main(question: str, answer: str) -> None:
    """Read ``{"problem": ..., "budget": ..., "seed": ...}``, and write the answer beside it."""
    asked = json.loads(Path(question).read_text(encoding="utf-8"))
    found = build_term(
        problem_read(asked["problem"]),
        tell=lambda _: None,
        is_stopped=lambda: False,
        budget=budget_read(asked.get("budget", {})),
        seed=int(asked.get("seed", 0)),
    )
    text = json.dumps(answer_record(found), sort_keys=True)
    Path(answer).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:3])
