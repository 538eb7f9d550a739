"""The search for a ladder in a process of its own, so that one that takes too long can be ended.

A thread cannot be stopped, and a search between two distant figures can outlast any web request.
Run as ``python -m exercises.ladder_worker``: a JSON object with ``core`` and ``target`` (records),
``kit`` and ``bpm`` on standard input, and on standard output either ``{"rungs": [...]}`` or
``{"refused": "why"}``. ``stops`` and ``without`` (lists of records), ``steps`` and ``way`` (codes
of moves) may be given. Only the engine is loaded, no Django.
"""

from __future__ import annotations

import json
import sys
from typing import Any

from exercises.rhythm.errors import RhythmError
from exercises.rhythm.kit import KITS
from exercises.rhythm.ladder_shape import shaped_ladder
from exercises.rhythm.moves.codes import from_code, to_code
from exercises.rhythm.record import from_record, to_record


def answer(question: dict[str, Any]) -> dict[str, Any]:
    """Return the rungs, or the reason why there are none."""
    try:
        found = shaped_ladder(
            from_record(question["core"]),
            from_record(question["target"]),
            KITS[question["kit"]],
            bpm=question["bpm"],
            stops=[from_record(record) for record in question.get("stops", ())],
            without=[from_record(record) for record in question.get("without", ())],
            steps=question.get("steps"),
            way=tuple(from_code(code) for code in question.get("way", ())),
        )
    except RhythmError as refused:
        return {"refused": str(refused)}
    return {
        "rungs": [
            {
                "record": to_record(rung.figure),
                "codes": [to_code(move) for move in rung.moves],
                "change": "; then ".join(move.words for move in rung.moves),
                "points": rung.points,
            }
            for rung in found.rungs
        ]
    }


if __name__ == "__main__":
    json.dump(answer(json.load(sys.stdin)), sys.stdout)
