"""The exercises app."""

from django.apps import AppConfig


class ExercisesConfig(AppConfig):
    name = "exercises"
    default_auto_field = "django.db.models.BigAutoField"
