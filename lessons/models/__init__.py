"""When and where lessons happen: rows."""

from lessons.models.calendar import Closure, MissedLessonRules, Term, WorkingHours
from lessons.models.lessons import (
    Attendance,
    CalledOffBy,
    Lesson,
    LessonKind,
    LessonStatus,
    LessonStudent,
    Series,
)
from lessons.models.notes import ProgressNote
from lessons.models.road import PlaceCorrection, RoadSettings, TravelBand

__all__ = [
    "Attendance",
    "CalledOffBy",
    "Closure",
    "Lesson",
    "LessonKind",
    "LessonStatus",
    "LessonStudent",
    "MissedLessonRules",
    "PlaceCorrection",
    "ProgressNote",
    "RoadSettings",
    "Series",
    "Term",
    "TravelBand",
    "WorkingHours",
]
