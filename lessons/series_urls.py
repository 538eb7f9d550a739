"""The addresses of changes to series and of students who pause, leave or come back."""

from django.urls import URLPattern, URLResolver, path

from lessons.views import absences, frame, series_changing, trials

urlpatterns: list[URLPattern | URLResolver] = [
    path("series/<int:pk>/change/", series_changing.series_change, name="series_change"),
    path("series/<int:pk>/swap/", series_changing.series_swap, name="series_swap"),
    path("students/<int:pk>/pause/", absences.student_pauses, name="student_pauses"),
    path("students/<int:pk>/leave/", absences.student_leaves, name="student_leaves"),
    path("students/<int:pk>/return/", absences.student_returns, name="student_returns"),
    path("lessons/<int:pk>/away/", absences.lesson_away, name="lesson_away"),
    path("lessons/<int:pk>/away/<int:student_pk>/", absences.lesson_comes, name="lesson_comes"),
    path("hours/rooms/new/", frame.place_hours_create, name="place_hours_create"),
    path("hours/rooms/<int:pk>/edit/", frame.place_hours_edit, name="place_hours_edit"),
    path("hours/rooms/<int:pk>/delete/", frame.place_hours_delete, name="place_hours_delete"),
    path("lessons/<int:pk>/goes-on/", trials.trial_goes_on, name="trial_goes_on"),
    path("lessons/<int:pk>/trial-over/", trials.trial_over, name="trial_over"),
    path("lessons/<int:pk>/given/", trials.block_mark, name="block_mark"),
]
