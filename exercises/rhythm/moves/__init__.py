"""Moves: named changes that open a core figure up, one step at a time.

>>> from exercises.rhythm.moves import MOVE_KINDS
>>> MOVE_KINDS["swap"].label
'Let the other hand lead'
"""

from __future__ import annotations

from exercises.rhythm.moves.base import Frame, Lines, Move
from exercises.rhythm.moves.codes import MOVE_KINDS, MOVES, from_code, to_code
from exercises.rhythm.moves.density import AddStrokes, FillIn, Gaps, Thinning, ThinOut
from exercises.rhythm.moves.feet import BassLine, HiHatFootLine
from exercises.rhythm.moves.hands import HandLine, Lead, Pair, Restick, Sticking, SwapHands
from exercises.rhythm.moves.hi_hat import OpenHiHat
from exercises.rhythm.moves.linear import Linear
from exercises.rhythm.moves.loudness import Accents, Balance
from exercises.rhythm.moves.menu import menu
from exercises.rhythm.moves.orchestration import (
    Every,
    OrchestrateAccents,
    PlayOn,
    RoundTheKit,
)
from exercises.rhythm.moves.ornaments import Ornaments, Where
from exercises.rhythm.moves.ostinato import (
    AddEvenSpread,
    AddOstinato,
    AddTimekeeping,
    ChangeSubdivision,
    LeaveOut,
)
from exercises.rhythm.moves.timing import (
    ChangeFeel,
    ChangeRate,
    Cut,
    Direction,
    Displace,
    Feel,
    Speed,
)
from exercises.rhythm.moves.values import NoteValue, Pattern, Place

__all__ = [
    "MOVES",
    "MOVE_KINDS",
    "Accents",
    "AddEvenSpread",
    "AddOstinato",
    "AddStrokes",
    "AddTimekeeping",
    "Balance",
    "BassLine",
    "ChangeFeel",
    "ChangeRate",
    "ChangeSubdivision",
    "Cut",
    "Direction",
    "Displace",
    "Every",
    "Feel",
    "FillIn",
    "Frame",
    "Gaps",
    "HandLine",
    "HiHatFootLine",
    "Lead",
    "LeaveOut",
    "Linear",
    "Lines",
    "Move",
    "NoteValue",
    "OpenHiHat",
    "OrchestrateAccents",
    "Ornaments",
    "Pair",
    "Pattern",
    "Place",
    "PlayOn",
    "Restick",
    "RoundTheKit",
    "Speed",
    "Sticking",
    "SwapHands",
    "ThinOut",
    "Thinning",
    "Where",
    "from_code",
    "menu",
    "to_code",
]
