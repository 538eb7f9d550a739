"""The addresses of lessons."""

from django.urls import URLPattern, URLResolver, path

from lessons.views import booking, days, desk, finding, frame

app_name = "lessons"
urlpatterns: list[URLPattern | URLResolver] = [
    path("today/", days.today, name="today"),
    path("week/", days.week, name="week"),
    path("lessons/new/", booking.lesson_create, name="lesson_create"),
    path("lessons/<int:pk>/", desk.lesson_detail, name="lesson_detail"),
    path("lessons/<int:pk>/mark/", desk.lesson_mark, name="lesson_mark"),
    path("lessons/<int:pk>/notes/<int:student_pk>/", desk.lesson_note, name="lesson_note"),
    path("lessons/<int:pk>/move/", desk.lesson_move, name="lesson_move"),
    path("lessons/<int:pk>/call-off/", desk.lesson_call_off, name="lesson_call_off"),
    path("lessons/<int:pk>/put-back/", desk.lesson_reinstate, name="lesson_reinstate"),
    path("series/", booking.series_list, name="series_list"),
    path("series/book/", booking.series_book, name="series_book"),
    path("series/find/", finding.time_find, name="time_find"),
    path("series/find/book/", finding.time_book, name="time_book"),
    path("series/<int:pk>/", booking.series_detail, name="series_detail"),
    path("series/<int:pk>/stop/", booking.series_stop, name="series_stop"),
    path("terms/", frame.term_list, name="term_list"),
    path("terms/new/", frame.term_create, name="term_create"),
    path("terms/<int:pk>/edit/", frame.term_edit, name="term_edit"),
    path("terms/<int:pk>/delete/", frame.term_delete, name="term_delete"),
    path("terms/holidays/", frame.holidays, name="holidays"),
    path("terms/closures/new/", frame.closure_create, name="closure_create"),
    path("terms/closures/<int:pk>/edit/", frame.closure_edit, name="closure_edit"),
    path("terms/closures/<int:pk>/delete/", frame.closure_delete, name="closure_delete"),
    path("road/", frame.road, name="road"),
    path("road/bands/new/", frame.band_create, name="band_create"),
    path("road/bands/<int:pk>/edit/", frame.band_edit, name="band_edit"),
    path("road/bands/<int:pk>/delete/", frame.band_delete, name="band_delete"),
    path("road/times/new/", frame.correction_create, name="correction_create"),
    path("road/times/<int:pk>/edit/", frame.correction_edit, name="correction_edit"),
    path("road/times/<int:pk>/delete/", frame.correction_delete, name="correction_delete"),
    path("hours/", frame.hours, name="hours"),
    path("hours/new/", frame.hours_create, name="hours_create"),
    path("hours/<int:pk>/edit/", frame.hours_edit, name="hours_edit"),
    path("hours/<int:pk>/delete/", frame.hours_delete, name="hours_delete"),
]
