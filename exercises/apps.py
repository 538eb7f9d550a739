"""The exercises app."""

from django.apps import AppConfig


class ExercisesConfig(AppConfig):
    name = "exercises"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Make known what long work exercises can do."""
        from exercises.services.books import KIND, book_print
        from studio.long_work import work_kind

        work_kind(KIND, book_print)
