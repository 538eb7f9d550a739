"""What is practised: the library's figures, saved ladders, weeks of work, and what was logged."""

from exercises.models.ladders import Ladder, LadderKind, LadderStep
from exercises.models.library import Exercise, KitChoice, Tag
from exercises.models.practice import Assignment, Felt, PracticeLog

__all__ = [
    "Assignment",
    "Exercise",
    "Felt",
    "KitChoice",
    "Ladder",
    "LadderKind",
    "LadderStep",
    "PracticeLog",
    "Tag",
]
