"""What the teacher fills in about lessons."""

from lessons.forms.booking import LessonForm, MoveForm, SeriesForm, StopForm
from lessons.forms.desk import AttendanceForm, NoteForm
from lessons.forms.frame import (
    BandForm,
    ClosureForm,
    CorrectionForm,
    HolidaysForm,
    MissedLessonRulesForm,
    RoadSettingsForm,
    TermForm,
    WorkingHoursForm,
)
from lessons.forms.missed import CallOffForm

__all__ = [
    "AttendanceForm",
    "BandForm",
    "CallOffForm",
    "ClosureForm",
    "CorrectionForm",
    "HolidaysForm",
    "LessonForm",
    "MissedLessonRulesForm",
    "MoveForm",
    "NoteForm",
    "RoadSettingsForm",
    "SeriesForm",
    "StopForm",
    "TermForm",
    "WorkingHoursForm",
]
