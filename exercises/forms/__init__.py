"""What people fill in about exercises and practice."""

from exercises.forms.assigning import AssignmentRowForm, WeekForm
from exercises.forms.importing import ImportForm
from exercises.forms.library import ExerciseForm, LibraryFilterForm
from exercises.forms.practice import PracticeLogForm

__all__ = [
    "AssignmentRowForm",
    "ExerciseForm",
    "ImportForm",
    "LibraryFilterForm",
    "PracticeLogForm",
    "WeekForm",
]
