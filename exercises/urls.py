"""The addresses of exercises."""

from django.urls import URLPattern, URLResolver, path

from exercises.views import (
    assigning,
    books,
    branching,
    comparing,
    editing,
    generating,
    importing,
    ladders,
    library,
    my_week,
    showing,
    spreading,
)

app_name = "exercises"
urlpatterns: list[URLPattern | URLResolver] = [
    path("exercises/", library.exercise_list, name="exercise_list"),
    path("exercises/new/", editing.exercise_create, name="exercise_create"),
    path("exercises/preview/", editing.figure_preview, name="figure_preview"),
    path("exercises/import/", importing.exercise_import, name="exercise_import"),
    path("exercises/cores/", library.cores_add, name="cores_add"),
    path("exercises/book/", books.book_start, name="book_start"),
    path("exercises/generate/", generating.generate, name="generate"),
    path("exercises/compare/", comparing.compare, name="compare"),
    path("exercises/<int:pk>/", library.exercise_detail, name="exercise_detail"),
    path("exercises/<int:pk>/edit/", editing.exercise_edit, name="exercise_edit"),
    path("exercises/<int:pk>/archive/", library.exercise_archive, name="exercise_archive"),
    path("exercises/<int:pk>/notation/", showing.exercise_notation, name="exercise_notation"),
    path("exercises/<int:pk>/playback/", showing.exercise_playback, name="exercise_playback"),
    path("exercises/<int:pk>/musicxml/", showing.exercise_musicxml, name="exercise_musicxml"),
    path("exercises/<int:pk>/midi/", showing.exercise_midi, name="exercise_midi"),
    path("exercises/<int:pk>/sheet/", showing.exercise_sheet, name="exercise_sheet"),
    path("exercises/<int:pk>/branches/", branching.branch_list, name="branch_list"),
    path("exercises/<int:pk>/branches/save/", branching.variant_save, name="variant_save"),
    path("exercises/<int:pk>/ladder/", ladders.ladder_build, name="ladder_build"),
    path("exercises/<int:pk>/ladder/save/", ladders.ladder_save, name="ladder_save"),
    path("exercises/<int:pk>/ladder/sheet/", ladders.ladder_build_sheet, name="ladder_build_sheet"),
    path("exercises/<int:pk>/spread/", spreading.spread_show, name="spread_show"),
    path("exercises/<int:pk>/spread/save/", spreading.spread_save, name="spread_save"),
    path("exercises/<int:pk>/spread/sheet/", spreading.spread_sheet, name="spread_sheet"),
    path("ladders/<int:pk>/", ladders.ladder_detail, name="ladder_detail"),
    path("ladders/<int:pk>/sheet/", ladders.ladder_sheet, name="ladder_sheet"),
    path("ladders/<int:pk>/archive/", ladders.ladder_archive, name="ladder_archive"),
    path("students/<int:pk>/assign/", assigning.assign, name="assign"),
    path(
        "assignments/<int:pk>/withdraw/", assigning.assignment_withdraw, name="assignment_withdraw"
    ),
    path("my-week/", my_week.my_week, name="my_week"),
    path("my-week/sheet/", my_week.week_sheet, name="week_sheet"),
    path("my-week/<int:pk>/log/", my_week.practice_log_add, name="practice_log_add"),
    path("my-week/logs/<int:pk>/remove/", my_week.practice_log_remove, name="practice_log_remove"),
]
