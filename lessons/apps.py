"""The lessons app."""

from django.apps import AppConfig


class LessonsConfig(AppConfig):
    name = "lessons"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Make known what the studio calls without knowing of lessons."""
        from datetime import timedelta

        from lessons.services.desk_presses import presses_forget
        from lessons.services.house_moves import house_moves_due
        from lessons.services.reminders import reminders_queue
        from lessons.services.routing import place_routed
        from lessons.services.timetable import KIND
        from lessons.services.timetable_building import timetable_build
        from lessons.services.zone_following import lessons_follow
        from studio.long_work import work_kind
        from studio.place_changes import place_listener
        from studio.rounds import round_add
        from studio.zone_changes import zone_follower

        work_kind(KIND, timetable_build)
        place_listener(place_routed)
        zone_follower(lessons_follow)
        round_add("reminders of lessons", reminders_queue, every=timedelta(minutes=1))
        round_add("old presses at the desk", presses_forget, every=timedelta(hours=6))
        round_add("house moves", house_moves_due, every=timedelta(minutes=10))
