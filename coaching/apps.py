"""The project's own app: static files, templates, translations and system checks."""

from django.apps import AppConfig


class CoachingConfig(AppConfig):
    name = "coaching"

    def ready(self) -> None:
        from coaching import checks  # noqa: F401  (importing registers the checks)
