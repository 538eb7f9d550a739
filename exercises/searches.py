"""Searches through variants, remembered, because a page of results is asked for again and again."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any, TypeVar

from django.conf import settings
from django.core.cache import caches

from exercises.models import Exercise
from exercises.rhythm.branches import Branches, branches
from exercises.rhythm.climb import spread
from exercises.rhythm.errors import Refused
from exercises.rhythm.figure import Figure
from exercises.rhythm.grade import grade
from exercises.rhythm.moves.codes import to_code
from exercises.rhythm.record import content_hash, from_record, to_record
from exercises.variants import grown

KEPT_FOR_SECONDS = 30 * 24 * 3600
LONGEST_SEARCH_SECONDS = 20
REMEMBERED_SECONDS = 600
MOST_SEARCHES = 2
Way = tuple[tuple[str, ...], float]
"""The codes of the moves to a variant, and its points."""
_Found = TypeVar("_Found")


class SearchTooLong(Refused):
    """The search was given up; ``str()`` of it says what to do instead."""


class TooManySearches(SearchTooLong):
    """Others are being looked for; ``str()`` of it says to try again."""


@dataclass(frozen=True, slots=True)
class FoundBranches:
    """What a core opens into, small enough to keep: the ways there, and what was left out."""

    ways: tuple[Way, ...]
    refused: tuple[tuple[str, int], ...]
    considered: int
    duplicates: int
    unopened: int

    @property
    def refused_count(self) -> int:
        """How many changes led nowhere."""
        return sum(count for _, count in self.refused)


@dataclass(frozen=True, slots=True)
class FoundRung:
    """One step of a ladder: the figure's record, the moves that lead there, and its points."""

    record: dict[str, object]
    codes: tuple[str, ...]
    change: str
    points: float

    @property
    def figure(self) -> Figure:
        """The step's figure."""
        return from_record(self.record)


def branches_of(exercise: Exercise, depth: int) -> FoundBranches:
    """Return what up to ``depth`` moves make of an exercise, in order of difficulty."""

    def search() -> FoundBranches:
        found: Branches = branches(
            exercise.figure, exercise.played_on, bpm=exercise.bpm, depth=depth
        )
        ways = (
            (tuple(to_code(move) for move in variant.moves), round(variant.points, 3))
            for variant in found.variants
        )
        return FoundBranches(
            tuple(ways), found.refused, found.considered, found.duplicates, found.unopened
        )

    return _kept(f"branches:{_same(exercise)}:{depth}", search)


@dataclass(frozen=True, slots=True)
class LadderShape:
    """What a teacher asks of a ladder: steps to keep, steps to leave out, how many there are."""

    stops: tuple[Figure, ...] = ()
    without: tuple[Figure, ...] = ()
    steps: int | None = None

    @property
    def key(self) -> str:
        """A word that is the same for the same wishes."""
        kept = sorted(content_hash(figure)[:16] for figure in self.stops)
        out = sorted(content_hash(figure)[:16] for figure in self.without)
        return f"{'+'.join(kept)}:{'-'.join(out)}:{self.steps or 'any'}"


NO_WISHES = LadderShape()


def ladder_to(
    exercise: Exercise,
    target: Figure,
    shape: LadderShape = NO_WISHES,
    *,
    way: Sequence[str] = (),
) -> tuple[FoundRung, ...]:
    """Return the ladder from an exercise to a target, the exercise itself first.

    ``way`` holds the codes of the moves that made the target, where they are known.

    :raises Refused: with the reason in words when there is none
    :raises SearchTooLong: when it was not found in ``LONGEST_SEARCH_SECONDS``, now or a little
        while ago, or when too many searches are running
    """
    known_way = hashlib.sha256("\n".join(way).encode()).hexdigest()[:16]
    key = f"rungs:{_same(exercise)}:{content_hash(target)}:{shape.key}:{known_way}"
    too_long = caches["engraving"].get(f"too-long:{key}:{engine_version()}")
    if too_long is not None:
        raise SearchTooLong(too_long)

    def search() -> dict[str, Any]:
        question: dict[str, Any] = {
            "core": {**exercise.record, "title": exercise.title},
            "target": to_record(target),
            "kit": exercise.kit,
            "bpm": exercise.bpm,
            "stops": [to_record(figure) for figure in shape.stops],
            "without": [to_record(figure) for figure in shape.without],
            "steps": shape.steps,
            "way": list(way),
        }
        try:
            with one_of_few_searches():
                return _asked_elsewhere(question)
        except SearchTooLong as reason:
            if not isinstance(reason, TooManySearches):
                remembered = f"too-long:{key}:{engine_version()}"
                caches["engraving"].set(remembered, str(reason), REMEMBERED_SECONDS)
            raise

    found = _kept(key, search)
    if "refused" in found:
        raise Refused(found["refused"])
    return tuple(
        FoundRung(rung["record"], tuple(rung["codes"]), rung["change"], rung["points"])
        for rung in found["rungs"]
    )


@contextmanager
def one_of_few_searches() -> Iterator[None]:
    """Hold one of the places for searches, of which all processes of this machine share a few.

    :raises TooManySearches: when all are taken
    """
    cache = caches["engraving"]
    for number in range(MOST_SEARCHES):
        place = f"searching:{number}"
        # A process that died half-way frees its place when its search would have been given up.
        if cache.add(place, "taken", LONGEST_SEARCH_SECONDS + 5):
            try:
                yield
            finally:
                cache.delete(place)
            return
    raise TooManySearches(
        "other ladders are being looked for just now; wait a few seconds and load the page again"
    )


def spread_of(exercise: Exercise, count: int) -> tuple[Way, ...]:
    """Return ``count`` variants that climb evenly and differ, each by its moves and points."""

    def search() -> tuple[Way, ...]:
        chosen = spread(exercise.figure, count, exercise.played_on, bpm=exercise.bpm)
        return tuple(
            (tuple(to_code(move) for move in variant.moves), round(variant.points, 3))
            for variant in chosen
        )

    return _kept(f"spread:{_same(exercise)}:{count}", search)


def way_by_moves(exercise: Exercise, codes: Sequence[str]) -> tuple[FoundRung, ...]:
    """Return a variant's own changes as steps, one after another, whether or not each climbs."""
    rungs = []
    for count in range(len(codes) + 1):
        step = grown(exercise, codes[:count])
        points = grade(step.figure, exercise.bpm, exercise.played_on).total
        change = step.changes[-1] if count else ""
        made_by = (codes[count - 1],) if count else ()
        rungs.append(FoundRung(to_record(step.figure), made_by, change, points))
    return tuple(rungs)


def _asked_elsewhere(question: dict[str, Any]) -> dict[str, Any]:
    """Ask the ladder worker, and end it when it takes too long."""
    try:
        worker = subprocess.run(
            [sys.executable, "-m", "exercises.ladder_worker"],
            input=json.dumps(question).encode(),
            capture_output=True,
            cwd=settings.BASE_DIR,
            timeout=LONGEST_SEARCH_SECONDS,
            check=True,
        )
    except subprocess.TimeoutExpired:
        raise SearchTooLong(
            f"no ladder was found in {LONGEST_SEARCH_SECONDS} seconds; choose a target nearer to "
            "the core, or a stop between the two"
        ) from None
    except subprocess.CalledProcessError:
        raise SearchTooLong(
            "the search for a ladder stopped half-way; choose a target nearer to the core"
        ) from None
    answer: dict[str, Any] = json.loads(worker.stdout)
    return answer


def _same(exercise: Exercise) -> str:
    return f"{exercise.content_hash}:{exercise.bpm}:{exercise.kit}"


def _kept(key: str, search: Callable[[], _Found]) -> _Found:
    cache = caches["engraving"]
    full_key = f"{key}:{engine_version()}"
    found: _Found | None = cache.get(full_key)
    if found is None:
        found = search()
        cache.set(full_key, found, KEPT_FOR_SECONDS)
    return found


@lru_cache(maxsize=1)
def engine_version() -> str:
    """Return what changes whenever the engine's answers may: a hash of its sources."""
    sources = hashlib.sha256()
    for package in ("exercises.rhythm", "exercises.rhythm.moves"):
        for source in sorted(files(package).iterdir(), key=lambda entry: entry.name):
            if source.name.endswith(".py"):
                sources.update(source.read_bytes())
    return sources.hexdigest()[:16]
