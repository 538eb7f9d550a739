"""When and where lessons happen: rows."""

from lessons.models.appointments import Appointment
from lessons.models.calendar import Closure, MissedLessonRules, Term, WorkingHours
from lessons.models.feeds import CalendarFeed
from lessons.models.house_moves import HouseMove
from lessons.models.lessons import (
    Attendance,
    CalledOffBy,
    Lesson,
    LessonKind,
    LessonStatus,
    LessonStudent,
    Series,
)
from lessons.models.make_ups import MakeUpRight, Overruling
from lessons.models.notes import ProgressNote
from lessons.models.place_hours import PlaceHours
from lessons.models.presses import DeskPress
from lessons.models.reminders import Reminder, ReminderRules
from lessons.models.requests import LessonRequest, RequestedTime, RequestKind, RequestState
from lessons.models.road import PlaceCorrection, RoadSettings, TravelBand
from lessons.models.routed import RoutedRoad
from lessons.models.timetable import DraftLesson, PlanChoice, TimetableDraft
from lessons.models.upsets import Upset, UpsetKind, UpsetLesson
from lessons.models.waiting import (
    FreeTime,
    Offer,
    OfferState,
    Waiting,
    WaitingState,
    WaitingWindow,
)
from lessons.models.wishes import DayRule, StudentWindow, StudentWishes, TeachingLimits

__all__ = [
    "Appointment",
    "Attendance",
    "CalendarFeed",
    "CalledOffBy",
    "Closure",
    "DayRule",
    "DeskPress",
    "DraftLesson",
    "FreeTime",
    "HouseMove",
    "Lesson",
    "LessonKind",
    "LessonRequest",
    "LessonStatus",
    "LessonStudent",
    "MakeUpRight",
    "MissedLessonRules",
    "Offer",
    "OfferState",
    "Overruling",
    "PlaceCorrection",
    "PlaceHours",
    "PlanChoice",
    "ProgressNote",
    "Reminder",
    "ReminderRules",
    "RequestKind",
    "RequestState",
    "RequestedTime",
    "RoadSettings",
    "RoutedRoad",
    "Series",
    "StudentWindow",
    "StudentWishes",
    "TeachingLimits",
    "Term",
    "TimetableDraft",
    "TravelBand",
    "Upset",
    "UpsetKind",
    "UpsetLesson",
    "Waiting",
    "WaitingState",
    "WaitingWindow",
    "WorkingHours",
]
