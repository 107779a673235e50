"""System checks: the times that keep one piece of work from being done by two processes at once."""

from django.conf import settings
from django.core.checks import Error, register


@register()
def claims_outlive_tasks(app_configs, **kwargs) -> list[Error]:
    """A claim must hold longer than Celery lets a task live, and Celery must not hand a living task out again."""
    found = []
    if settings.OUTBOX_LEASE_SECONDS <= settings.CELERY_TASK_TIME_LIMIT and not settings.TESTING:
        found.append(
            Error(
                "OUTBOX_LEASE_SECONDS must be greater than CELERY_TASK_TIME_LIMIT.",
                hint="A claim that runs out under a living task lets a second process do the same work.",
                id="outbox.E001",
            )
        )
    if settings.CELERY_BROKER_TRANSPORT_OPTIONS["visibility_timeout"] <= settings.CELERY_TASK_TIME_LIMIT:
        found.append(
            Error(
                "The broker's visibility_timeout must be greater than CELERY_TASK_TIME_LIMIT.",
                hint="Redis hands a task to a second worker once this time has passed.",
                id="outbox.E002",
            )
        )
    return found
