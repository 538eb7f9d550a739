"""Tempos proposed for a week of work, with the reason in words.

The shares are common practice, no source: slow before fast, the harder the slower, and never closer
to the top tempo than leaves room to stay loose.
"""

from __future__ import annotations

from dataclasses import dataclass

from exercises.models.limits import LEAST_BPM, MOST_BPM

_SHARE_OF_TOP = 0.85
_EASIEST_SHARE, _SHARE_PER_GRADE, _LEAST_SHARE = 0.9, 0.05, 0.5
_STEP_UP = 8


@dataclass(frozen=True, slots=True)
class TempoProposal:
    """A tempo to start from and one to reach, and why these two."""

    start_bpm: int
    goal_bpm: int
    why: str


def tempos_proposed(
    *, written_bpm: int, grade: float, top_bpm: int, clean_bpm: int | None = None
) -> TempoProposal:
    """Propose a start and a goal.

    :param written_bpm: the tempo that the exercise is kept at: the goal, if it can be reached
    :param grade: 1 to 10 at the written tempo: the harder, the further below the goal it starts
    :param top_bpm: the highest tempo at which it can be played at all
    :param clean_bpm: the cleanest tempo this student has logged for it, if any
    """
    room = max(LEAST_BPM, int(top_bpm * _SHARE_OF_TOP))
    if clean_bpm is not None:
        return _from_history(written_bpm, room, clean_bpm)
    goal = _even(min(written_bpm, room))
    share = max(_LEAST_SHARE, _EASIEST_SHARE - _SHARE_PER_GRADE * (grade - 1))
    start = min(goal, _even(int(goal * share)))
    why = f"{start} to {goal}: grade {grade:.1f} starts at about {round(share * 100)} % of the goal"
    if written_bpm > room:
        why += f"; the goal keeps some room below the top tempo of {top_bpm}"
    return TempoProposal(start, goal, f"{why}.")


def _from_history(written_bpm: int, room: int, clean_bpm: int) -> TempoProposal:
    """Start where the student is clean; aim for the written tempo, or a little past the last."""
    start = _even(clean_bpm)
    goal = _even(min(written_bpm if written_bpm > clean_bpm else clean_bpm + _STEP_UP, room))
    if goal <= start:
        return TempoProposal(
            start, start, f"{start}: clean at {clean_bpm} already, and faster leaves little room."
        )
    return TempoProposal(start, goal, f"{start} to {goal}: starts where it was clean last.")


def _even(bpm: int) -> int:
    return min(MOST_BPM, max(LEAST_BPM, bpm - bpm % 2))
