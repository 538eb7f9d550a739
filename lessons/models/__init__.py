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
from lessons.models.wishes import DayRule, StudentWindow, StudentWishes, TeachingLimits

__all__ = [
    "Attendance",
    "CalledOffBy",
    "Closure",
    "DayRule",
    "Lesson",
    "LessonKind",
    "LessonStatus",
    "LessonStudent",
    "MissedLessonRules",
    "PlaceCorrection",
    "ProgressNote",
    "RoadSettings",
    "Series",
    "StudentWindow",
    "StudentWishes",
    "TeachingLimits",
    "Term",
    "TravelBand",
    "WorkingHours",
]
