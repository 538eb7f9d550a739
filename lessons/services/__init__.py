"""Changing the calendar: every writer of a lesson's time is here."""

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

__all__ = [
    "LessonClash",
    "LessonLocked",
    "LessonNotYet",
    "NoteEmpty",
    "NothingToBook",
    "PlanChanged",
    "SentNote",
    "calendar_held",
    "lesson_book",
    "lesson_call_off",
    "lesson_mark",
    "lesson_move",
    "lesson_reinstate",
    "note_send",
    "note_write",
    "online_place",
    "series_book",
    "series_stop",
]
