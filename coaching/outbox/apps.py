from django.apps import AppConfig


class OutboxConfig(AppConfig):
    name = "coaching.outbox"
    label = "outbox"

    def ready(self) -> None:
        from coaching.outbox import checks  # noqa: F401  (importing registers the checks)
