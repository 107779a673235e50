"""Celery wakes the pump; the database row says what is owed, so a lost queue loses nothing."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coaching.settings")

app = Celery("ladlework")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
# A beat only says "look at the table", so two of them do no harm; one that comes late is not worth a second look.
app.conf.beat_schedule = {
    "sweep": {"task": "outbox.sweep", "schedule": 10.0, "options": {"expires": 10.0}},
    "schedule": {"task": "outbox.schedule", "schedule": 60.0, "options": {"expires": 60.0}},
}
