"""Lessons made into blocks that are placed as one: brothers and sisters, and alternating weeks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, permutations
from typing import NamedTuple

from lessons.planning.term.candidates import has_room, usable
from lessons.planning.term.problem import Job, Placed, Start, TermProblem

MOST_SIBLINGS = 5


class Option(NamedTuple):
    """A start of a block: the lessons as they then lie, how many miss a wish, how many change."""

    lessons: tuple[Placed, ...]
    missed: int
    changed: int


@dataclass(frozen=True, slots=True)
class Block:
    """What is placed as one. ``options`` are in order of time."""

    jobs: tuple[Job, ...]
    minutes: int
    place: int
    options: Mapping[Start, Option]

    @property
    def is_fixed(self) -> bool:
        """True when one of its lessons is settled, so that it must be placed."""
        return any(job.is_fixed for job in self.jobs)

    @property
    def name(self) -> str:
        """All its students' names."""
        return " and ".join(job.name for job in self.jobs)


def lone_block(job: Job, problem: TermProblem) -> Block:
    """Return a lesson as a block of its own."""
    options = {
        start: Option((Placed(job.key, *start, job.week or 0),), *_counts(job, start))
        for start in usable(job, problem)
    }
    return Block((job,), job.minutes, job.place, options)


def blocks_of(
    problem: TermProblem, *, shared_share: float | None = 0.5
) -> tuple[tuple[Block, ...], tuple[str, ...]]:
    """Return the blocks in the order of their first lessons, and words on who had to be split.

    :param shared_share: two lessons of alternating weeks share a block when that leaves at least
        this share of the narrower one's starts; None: none share
    """
    order = {job.key: number for number, job in enumerate(problem.jobs)}
    words: list[str] = []
    blocks: list[Block] = []
    groups: dict[tuple[str, int], list[Job]] = {}
    for job in problem.jobs:
        mark = job.siblings if job.every_weeks == 1 else ""
        groups.setdefault((mark or f"lesson {job.key}", job.place), []).append(job)
    for group in groups.values():
        block = _back_to_back(group, problem) if len(group) > 1 else None
        if block is not None and block.options:
            blocks.append(block)
            continue
        if len(group) > 1:
            names = " and ".join(job.name for job in group)
            words.append(f"{names} have no common time back to back, so each has one alone.")
        blocks += [lone_block(job, problem) for job in group]
    if shared_share is not None:
        blocks = _alternating(blocks, shared_share)
    return tuple(sorted(blocks, key=lambda block: order[block.jobs[0].key])), tuple(words)


def _counts(job: Job, start: Start) -> tuple[int, int]:
    missed = bool(job.preferred) and start not in job.preferred
    return int(missed), int(job.present is not None and start != job.present)


def _back_to_back(group: Sequence[Job], problem: TermProblem) -> Block | None:
    """Return the siblings as one block, whose starts are those of every order of them."""
    if len(group) > MOST_SIBLINGS:
        return None
    minutes = sum(job.minutes for job in group)
    days = {day.weekday: day for day in problem.days}
    open_starts = {job.key: frozenset(usable(job, problem)) for job in group}
    found: dict[Start, Option] = {}
    for row in permutations(group):
        for start in sorted(open_starts[row[0].key]):
            day = days.get(start.weekday)
            is_settled = any(job.is_fixed for job in group)
            if day is None or not (is_settled or has_room(day, start.minute, minutes)):
                continue
            option = _row_from(row, start, open_starts)
            if option is not None:
                found[start] = min(found.get(start, option), option, key=_unkindness)
    return Block(tuple(group), minutes, group[0].place, dict(sorted(found.items())))


def _row_from(
    row: Sequence[Job], start: Start, open_starts: Mapping[str, frozenset[Start]]
) -> Option | None:
    at, lessons, missed, changed = start, [], 0, 0
    for job in row:
        if at not in open_starts[job.key]:
            return None
        more_missed, more_changed = _counts(job, at)
        missed, changed = missed + more_missed, changed + more_changed
        lessons.append(Placed(job.key, *at))
        at = Start(at.weekday, at.minute + job.minutes)
    return Option(tuple(lessons), missed, changed)


def _unkindness(option: Option) -> tuple[int, tuple[str, ...]]:
    order = tuple(placed.key for placed in option.lessons)
    return 3 * option.missed + 5 * option.changed, order


def _alternating(blocks: Sequence[Block], share: float) -> list[Block]:
    """Put lessons of alternating weeks at one place together, those with most in common first."""
    pairs = sorted(_pairs(blocks, share), key=lambda pair: (-pair[0], pair[1], pair[2]))
    joined: set[int] = set()
    result = []
    for _, first, second in pairs:
        if joined.isdisjoint((first, second)):
            joined |= {first, second}
            result.append(_together(blocks[first], blocks[second]))
    return result + [block for number, block in enumerate(blocks) if number not in joined]


def _pairs(blocks: Sequence[Block], share: float) -> Iterator[tuple[int, int, int]]:
    """Every two that can share: how many starts they have in common, and their numbers."""
    for (first, a), (second, b) in combinations(enumerate(blocks), 2):
        if len(a.jobs) > 1 or len(b.jobs) > 1 or a.place != b.place:
            continue
        if a.jobs[0].every_weeks == 1 or a.jobs[0].every_weeks != b.jobs[0].every_weeks:
            continue
        common = len(a.options.keys() & b.options.keys())
        narrower = min(len(a.options), len(b.options))
        if common and common >= share * narrower and _weeks(a.jobs[0], b.jobs[0]):
            yield common, first, second


def _weeks(a: Job, b: Job) -> tuple[int, int] | None:
    """Return a week for each, two different ones; None when both ask for the same."""
    for pair in permutations(range(a.every_weeks), 2):
        if a.week in (None, pair[0]) and b.week in (None, pair[1]):
            return pair
    return None


def _together(a: Block, b: Block) -> Block:
    weeks = _weeks(a.jobs[0], b.jobs[0]) or (0, 0)
    options = {}
    for start in a.options:
        if start in b.options:
            one, other = a.options[start], b.options[start]
            lessons = (
                Placed(a.jobs[0].key, *start, weeks[0]),
                Placed(b.jobs[0].key, *start, weeks[1]),
            )
            options[start] = Option(lessons, one.missed + other.missed, one.changed + other.changed)
    return Block((*a.jobs, *b.jobs), max(a.minutes, b.minutes), a.place, options)
