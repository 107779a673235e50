"""Celery wakes the pump; the database row says what is owed, so a lost queue loses nothing."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coaching.settings")

app = Celery("ladlework")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["coaching.outbox"])
