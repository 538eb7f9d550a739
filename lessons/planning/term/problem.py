"""What a term's timetable is made from, and what an answer says; values without behaviour.

Minutes of the local day, weekdays 0 (Monday) to 6, places by their number. ``build.build_term``
turns a :class:`TermProblem` into a :class:`TermAnswer`; ``records`` writes both as JSON.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from lessons.planning.openings import Span


class TermRefused(ValueError):
    """The question itself cannot be right; ``str()`` says why in words for the teacher."""


class TermStopped(Exception):
    """Somebody asked for it to stop."""


class Start(NamedTuple):
    """A time in the week at which a lesson may begin."""

    weekday: int
    minute: int


@dataclass(frozen=True, slots=True)
class Job:
    """One weekly lesson that wants a time.

    :param starts: when it may begin, as far as the family and the place go; the teacher's own
        hours are looked at here again
    :param preferred: those of them that are liked best; empty: all are the same to them
    :param every_weeks: 2 for every second week; two such lessons at one place can share a time
    :param week: which of these weeks, counted from 0, if only that one suits
    :param present: its time in the last term
    :param is_fixed: its present time is settled and stays
    :param siblings: lessons of one place that carry the same mark are given back to back
    :param student: lessons that carry the same mark are of one person who comes more than once a
        week, ``least_days_between`` days apart, from one week to the next too
    :param note: words for why ``starts`` is empty, if they are known
    """

    key: str
    names: tuple[str, ...]
    minutes: int
    place: int
    starts: tuple[Start, ...]
    preferred: frozenset[Start] = frozenset()
    every_weeks: int = 1
    week: int | None = None
    present: Start | None = None
    is_fixed: bool = False
    siblings: str = ""
    student: str = ""
    least_days_between: int = 1
    note: str = ""

    @property
    def name(self) -> str:
        """The students' names in one line."""
        return " and ".join(self.names)


@dataclass(frozen=True, slots=True)
class Meal:
    """Minutes that must be free, without a road, somewhere between two times of the day."""

    begins: int
    ends: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Day:
    """A weekday on which the teacher works.

    ``spans`` hold lessons; the road to the first and from the last may lie outside them.
    """

    weekday: int
    spans: tuple[Span, ...]
    most_minutes: int = 24 * 60
    starts_from: int | None = None
    ends_at: int | None = None
    meal: Meal | None = None


@dataclass(frozen=True, slots=True)
class Weights:
    """What makes a timetable worse: a minute driven, a minute idle, a wish missed, a change."""

    drive: int = 2
    idle: int = 1
    missed: int = 15
    changed: int = 25


@dataclass(frozen=True, slots=True)
class TermProblem:
    """Everything there is to know. ``roads`` holds every pair of different places, both ways.

    A lesson that ends after ``evening_begins`` makes its day an evening.
    """

    jobs: tuple[Job, ...]
    days: tuple[Day, ...]
    roads: Mapping[tuple[int, int], int]
    buffer: int = 0
    weights: Weights = Weights()
    evening_begins: int = 24 * 60
    most_evenings: int = 7
    grid: int = 15


PLAN_CHANGES = (("keep nearly all", 150), ("in between", 25), ("least driving", 0))
"""The three computed points: their names, and what a changed lesson weighs in each."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A lesson with its time; ``week`` counts from 0 for one that is not given every week."""

    key: str
    weekday: int
    start: int
    week: int = 0


@dataclass(frozen=True, slots=True)
class TermPlan:
    """One timetable. ``missed`` and ``changed`` are keys of lessons, minutes are a week's.

    ``gap`` is the share of the plan's cost that a better one could save at most, from the lower
    bound computed with it; None without a bound.
    """

    name: str
    changed_weight: int
    placed: tuple[Placed, ...]
    driving: int
    idle: int
    missed: tuple[str, ...]
    changed: tuple[str, ...]
    cost: int
    lower_bound: float | None
    gap: float | None
    is_placement_proven: bool
    stopped_by_clock: bool
    seed: int
    words: tuple[str, ...] = ()


RelaxationKind = Literal["time", "other", "hours", "longer day", "evening", "apart"]


@dataclass(frozen=True, slots=True)
class Relaxation:
    """One thing that would have to give so that everybody placed stays and one more comes in.

    ``key`` is the lesson whose wishes give; "" when the teacher's own limits do. ``start`` is the
    time it would then have, or None. ``minutes`` says how much gives.
    """

    kind: RelaxationKind
    key: str
    start: Start | None
    weekday: int | None
    minutes: int
    words: str


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A lesson without a time: why, whom it collides with, and what would help, nearest first."""

    key: str
    why: str
    collides_with: tuple[str, ...] = ()
    relaxations: tuple[Relaxation, ...] = ()


@dataclass(frozen=True, slots=True)
class TermAnswer:
    """The plans from the one that keeps nearly all to the one that drives least, no two alike.

    All of them place the same number of lessons; ``unplaced`` explains those that none places.
    ``words`` are what must be said to be honest (no solver, stopped by the clock, ...).
    """

    plans: tuple[TermPlan, ...]
    unplaced: tuple[Unplaced, ...]
    is_placement_proven: bool
    has_solver: bool
    stopped_by_clock: bool
    seed: int
    words: tuple[str, ...] = field(default=())


class TermProgress(NamedTuple):
    """How far it is."""

    done: int
    total: int
    words: str


@dataclass(frozen=True, slots=True)
class Budget:
    """How much to try, in counts that are the same on every machine.

    ``wall_seconds`` is only a safety net: an answer that it cut short says so, and may differ from
    one run to the next. ``labels`` are for pricing one plan; the solver's seconds are its own
    deterministic ones.
    """

    search_rounds: int = 800
    labels: int = 30_000_000
    dives: int = 8
    packing_seconds: float = 20.0
    choosing_seconds: float = 4.0
    wall_seconds: float = 600.0
    is_solver_wanted: bool = True
