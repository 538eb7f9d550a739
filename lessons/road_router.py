"""Asking a road router for driving minutes, if the owner named one (``STUDIO_ROUTER_URL``).

Asked: ``POST <address>`` with ``{"from": [[latitude, longitude], …], "to": [[latitude, longitude],
…]}``. Answered: ``{"minutes": [[number or null, …], …]}``, one row for each of ``from``, and if it
likes ``"km"`` in the same shape. Positions without names or addresses leave the machine when the
teacher presses the button or changes a place, and at no other time.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.conf import settings

from lessons.planning.travel import Position
from studio.network_answer import NoAnswer, Question, network_answer

MOST_POINTS = 100
# A lesson a day's drive away is a slip of the router.
MOST_MINUTES = 1440


@dataclass(frozen=True, slots=True)
class Matrix:
    """Whole driving minutes and kilometres, a row for each start; None where there is no road."""

    minutes: tuple[tuple[int | None, ...], ...]
    km: tuple[tuple[float | None, ...], ...]


def is_router_set() -> bool:
    """Return True when roads can be asked for at all."""
    return bool(settings.ROAD_ROUTER_URL)


def road_matrix(starts: Sequence[Position], ends: Sequence[Position]) -> Matrix:
    """Return every road from one of ``starts`` to one of ``ends``; minutes are rounded up.

    :raises NoAnswer: if none is set, for too many points, or if it does not answer as it should:
        an answer that is wrong in one place is not believed in any
    """
    if not settings.ROAD_ROUTER_URL:
        raise NoAnswer("No road router is set.")
    if max(len(starts), len(ends)) > MOST_POINTS:
        raise NoAnswer(f"It is asked for at most {MOST_POINTS} places at once.")
    body = {"from": [list(point) for point in starts], "to": [list(point) for point in ends]}
    answer = network_answer(
        Question(settings.ROAD_ROUTER_URL, token=settings.ROAD_ROUTER_TOKEN, body=body)
    )
    shape = len(starts), len(ends)
    if not isinstance(answer, dict):
        raise NoAnswer("Its answer is not a table of minutes.")
    minutes = _table(answer.get("minutes"), shape, most=MOST_MINUTES)
    empty = tuple((None,) * shape[1] for _ in starts)
    km = empty if answer.get("km") is None else _table(answer["km"], shape, most=2000)
    whole = tuple(
        tuple(None if cell is None else math.ceil(cell - 1e-6) for cell in row) for row in minutes
    )
    return Matrix(whole, km)


def _table(
    rows: Any, shape: tuple[int, int], *, most: float
) -> tuple[tuple[float | None, ...], ...]:
    if not isinstance(rows, list) or len(rows) != shape[0]:
        raise NoAnswer("Its table does not have a row for each start.")
    table: list[tuple[float | None, ...]] = []
    for row in rows:
        if not isinstance(row, list) or len(row) != shape[1]:
            raise NoAnswer("Its table does not have a number for each place.")
        table.append(tuple(_cell(cell, most) for cell in row))
    return tuple(table)


def _cell(cell: Any, most: float) -> float | None:
    if cell is None:
        return None
    # True is a number to Python, and JSON's parser also takes NaN.
    if type(cell) not in (int, float) or not 0 <= cell <= most:
        raise NoAnswer("Its table holds something that is no distance or time.")
    return float(cell)
