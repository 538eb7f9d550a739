"""The addresses of missed lessons, make-ups, and days that go wrong."""

from django.urls import URLPattern, path

from lessons.views import make_ups, upsets

urlpatterns: list[URLPattern] = [
    path("make-ups/", make_ups.make_up_list, name="make_up_list"),
    path("make-ups/<int:pk>/", make_ups.make_up_detail, name="make_up_detail"),
    path("make-ups/<int:pk>/book/", make_ups.make_up_book_view, name="make_up_book"),
    path("make-ups/<int:pk>/until/", make_ups.make_up_until, name="make_up_until"),
    path("make-ups/<int:pk>/take-back/", make_ups.make_up_withdraw_view, name="make_up_withdraw"),
    path("lessons/<int:pk>/counts-as/", make_ups.lesson_counts_as, name="lesson_counts_as"),
    path("lessons/<int:pk>/not-online/", upsets.online_decline_view, name="online_decline"),
    path("away/", upsets.away, name="away"),
    path("online-day/", upsets.online_day, name="online_day"),
    path("late/", upsets.late, name="late"),
    path("upsets/<int:pk>/", upsets.upset_detail, name="upset_detail"),
    path("upsets/<int:pk>/undo/", upsets.upset_undo_view, name="upset_undo"),
    path("upsets/<int:pk>/apologise/", upsets.upset_apologise_view, name="upset_apologise"),
]
