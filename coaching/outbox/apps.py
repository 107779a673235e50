from django.apps import AppConfig


class OutboxConfig(AppConfig):
    name = "coaching.outbox"
    label = "outbox"
