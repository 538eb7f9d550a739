"""Times and names as the teacher reads them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lessons.planning.term.problem import Start, TermProblem

DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def day_name(weekday: int) -> str:
    """Return a weekday's name."""
    return DAY_NAMES[weekday]


def clock(minute: int) -> str:
    """Return a minute of the day as 16:05."""
    return f"{minute // 60:02}:{minute % 60:02}"


def name_list(names: Sequence[str]) -> str:
    """Return names as a sentence has them: A, B and C."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def times(starts: Iterable[Start]) -> str:
    """Return when lessons can begin: first and last start of each weekday."""
    by_day: dict[int, list[int]] = {}
    for start in starts:
        by_day.setdefault(start.weekday, []).append(start.minute)
    parts = []
    for weekday, minutes in sorted(by_day.items()):
        first, last = min(minutes), max(minutes)
        when = f"at {clock(first)}" if first == last else f"from {clock(first)} to {clock(last)}"
        parts.append(f"{day_name(weekday)} {when}")
    return f"{name_list(parts)} (when a lesson begins)" if parts else "at no time"


def limit_words(limit: str, problem: TermProblem) -> str:
    """Return one of the teacher's limits in words."""
    kind, _, number = limit.partition(" ")
    if kind == "evenings":
        return f"your limit of {problem.most_evenings} evenings a week"
    day = sorted(problem.days, key=lambda one: one.weekday)[int(number)]
    if kind == "meal":
        return f"your meal on {day_name(day.weekday)}"
    return f"your limit of {day.most_minutes} minutes on {day_name(day.weekday)}"
