"""Moves as short texts that fit in an address: ``ostinato.RH.ride.8.on``.

Fields stand in the order of the dataclass, joined by full stops; several values in one field are
joined by tildes; a field that is not set is a single ``0``. Only characters that need no escaping
in a URL are used.
"""

from __future__ import annotations

import re
from dataclasses import fields
from enum import StrEnum
from functools import cache
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from exercises.rhythm.errors import RhythmError
from exercises.rhythm.moves.base import Move
from exercises.rhythm.moves.density import AddStrokes, FillIn, ThinOut
from exercises.rhythm.moves.feet import BassLine, HiHatFootLine
from exercises.rhythm.moves.hands import HandLine, Restick, SwapHands
from exercises.rhythm.moves.hi_hat import OpenHiHat
from exercises.rhythm.moves.linear import Linear
from exercises.rhythm.moves.loudness import Accents, Balance
from exercises.rhythm.moves.orchestration import (
    OrchestrateAccents,
    PlayOn,
    RoundTheKit,
)
from exercises.rhythm.moves.ornaments import Ornaments
from exercises.rhythm.moves.ostinato import (
    AddEvenSpread,
    AddOstinato,
    AddTimekeeping,
    ChangeSubdivision,
    LeaveOut,
)
from exercises.rhythm.moves.timing import ChangeFeel, ChangeRate, Displace
from exercises.rhythm.moves.values import Pattern

MOVES: tuple[type[Move], ...] = (
    AddOstinato,
    AddTimekeeping,
    AddEvenSpread,
    ChangeSubdivision,
    BassLine,
    HiHatFootLine,
    HandLine,
    AddStrokes,
    FillIn,
    ThinOut,
    LeaveOut,
    PlayOn,
    RoundTheKit,
    Accents,
    OrchestrateAccents,
    Balance,
    SwapHands,
    Restick,
    OpenHiHat,
    Ornaments,
    Displace,
    ChangeFeel,
    ChangeRate,
    Linear,
)
"""Every kind of move, in the order in which a page lists them."""

MOVE_KINDS: dict[str, type[Move]] = {move.kind: move for move in MOVES}
"""The kinds by the first part of their code; ``MOVE_KINDS[kind].label`` is the name on a page."""

_LONGEST_CODE = 200
_ALLOWED = re.compile(r"[A-Za-z0-9._~-]+\Z")
_NUMBER = re.compile(r"(0|[1-9][0-9]{0,3})\Z")
_NOT_SET = "0"


def to_code(move: Move) -> str:
    """Write a move as a short text that :func:`from_code` reads back.

    >>> from exercises.rhythm.limbs import Limb
    >>> to_code(LeaveOut(Limb.RF))
    'rest.RF'
    """
    values = (getattr(move, field.name) for field in fields(move))  # type: ignore[arg-type]
    return ".".join((move.kind, *(_written(value) for value in values)))


def from_code(code: str) -> Move:
    """Read a move from its code.

    :raises RhythmError: when the text is no move's code
    """
    if not isinstance(code, str) or len(code) > _LONGEST_CODE or not _ALLOWED.match(code):
        raise RhythmError("this is not the code of a move")
    kind, *parts = code.split(".")
    move = MOVE_KINDS.get(kind)
    if move is None:
        raise RhythmError(f"there is no move called {kind[:20]!r}")
    hints = _field_types(move)
    if len(parts) != len(hints):
        raise RhythmError(f"the move {kind!r} has {len(hints)} parameters, not {len(parts)}")
    return move(*(_read(part, hint) for part, hint in zip(parts, hints, strict=True)))


def _written(value: object) -> str:
    if value is None:
        return _NOT_SET
    if isinstance(value, tuple):
        return "~".join(_written(one) for one in value)
    if isinstance(value, Pattern):
        return value.code
    return str(value)


@cache
def _field_types(move: type[Move]) -> tuple[Any, ...]:
    hints = get_type_hints(move)
    return tuple(hints[field.name] for field in fields(move))  # type: ignore[arg-type]


def _read(part: str, hint: Any) -> object:
    if get_origin(hint) in (Union, UnionType):
        (inner,) = (one for one in get_args(hint) if one is not NoneType)
        return None if part == _NOT_SET else _read(part, inner)
    if get_origin(hint) is tuple:
        return tuple(_read(one, get_args(hint)[0]) for one in part.split("~"))
    if hint is Pattern:
        return Pattern.parse(part)
    if hint is int:
        if not _NUMBER.match(part):
            raise RhythmError(f"{part[:20]!r} is not a number a move can take")
        return int(part)
    return _read_choice(part, hint)


def _read_choice(part: str, choices: type[StrEnum]) -> StrEnum:
    try:
        return choices(part)
    except ValueError:
        raise RhythmError(f"{part[:20]!r} is nothing a move can take there") from None
