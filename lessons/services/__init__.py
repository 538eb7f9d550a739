"""Changing the calendar: every writer of a lesson's time is here."""

from lessons.services.appointments import LessonsInTheWay, appointment_keep
from lessons.services.booking import (
    LessonClash,
    NothingToBook,
    PlanChanged,
    calendar_held,
    lesson_book,
    online_place,
    series_book,
)
from lessons.services.changing import (
    LessonLocked,
    lesson_call_off,
    lesson_move,
    lesson_reinstate,
    series_stop,
)
from lessons.services.desk import (
    LessonNotYet,
    NoteEmpty,
    SentNote,
    lesson_mark,
    note_send,
    note_write,
)
from lessons.services.reordering import day_reorder
from lessons.services.retiming import lessons_retime

__all__ = [
    "LessonClash",
    "LessonLocked",
    "LessonNotYet",
    "LessonsInTheWay",
    "NoteEmpty",
    "NothingToBook",
    "PlanChanged",
    "SentNote",
    "appointment_keep",
    "calendar_held",
    "day_reorder",
    "lesson_book",
    "lesson_call_off",
    "lesson_mark",
    "lesson_move",
    "lesson_reinstate",
    "lessons_retime",
    "note_send",
    "note_write",
    "online_place",
    "series_book",
    "series_stop",
]
