"""Owed work: one row is one thing to be done once, whatever happens to processes and queues."""

import uuid

from django.db import models
from django.db.models import Q


class OwedWork(models.Model):
    """A job. ``key`` makes it owed once; ``payload`` holds ids only, never personal data.

    waiting → doing (claimed under a lease) → done | waiting again (later) | parked (attempts used up) | dropped.
    """

    class State(models.TextChoices):
        WAITING = "waiting"
        DOING = "doing"
        DONE = "done"
        PARKED = "parked"
        DROPPED = "dropped"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=200, unique=True)
    payload = models.JSONField(default=dict)
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    due_at = models.DateTimeField()
    lease_until = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    result = models.JSONField(default=dict)
    last_error = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = (
            models.Index(fields=["due_at"], condition=Q(state="waiting"), name="outbox_waiting_by_due"),
            models.Index(fields=["lease_until"], condition=Q(state="doing"), name="outbox_doing_by_lease"),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.state}"
