"""The addresses of what leaves the studio: calendars elsewhere and reminders."""

from django.urls import URLPattern, URLResolver, path

from lessons.views import feeds, reminders

urlpatterns: list[URLPattern | URLResolver] = [
    path("calendar/", feeds.calendar_page, name="calendar"),
    path("calendar/renew/", feeds.calendar_renew, name="calendar_renew"),
    path("calendar/close/", feeds.calendar_close, name="calendar_close"),
    path("calendar/<str:token>.ics", feeds.feed_file, name="calendar_feed"),
    path(
        "calendar/families/<int:pk>/renew/",
        feeds.family_calendar_renew,
        name="family_calendar_renew",
    ),
    path(
        "calendar/families/<int:pk>/close/",
        feeds.family_calendar_close,
        name="family_calendar_close",
    ),
    path("reminders/", reminders.reminders, name="reminders"),
    path("reminders/mine/", reminders.reminders_mine, name="reminders_mine"),
    path("reminders/stop/<str:token>/", reminders.reminders_stop, name="reminders_stop"),
]
