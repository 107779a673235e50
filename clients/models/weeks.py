"""Planned weeks, and the packets printed of them."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from clients.models.households import Household
from coaching.practice.models import Practice, Row


class Week(Row):
    """A planned week of a household: the brief that was asked and the week (or why there is none).

    The newest planned row of a start is the standing week; no other state counts as a plan. ``waiting`` are changes
    that were asked for and not yet worked out. A row with a ``basis`` works out ``changes`` of it, is offered, and
    becomes the standing week when the coach accepts it. ``locks`` are [day, slot] pairs whose plates stay.
    """

    class State(models.TextChoices):
        ASKED = "asked", _("Being planned")
        PLANNED = "planned", _("Planned")
        NONE = "none", _("No week fits")
        OFFERED = "offered", _("Changed, not yet accepted")
        DROPPED = "dropped", _("Put aside")

    practice_path = "household__practice"
    coach_path = "household__coach"

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="weeks")
    start = models.DateField()
    state = models.CharField(max_length=8, choices=State, default=State.ASKED)
    brief = models.JSONField(default=dict)
    plan = models.JSONField(default=dict)
    basis = models.ForeignKey("self", null=True, on_delete=models.SET_NULL, related_name="revisions")
    changes = models.JSONField(default=list)
    waiting = models.JSONField(default=list)
    locks = models.JSONField(default=list)
    asked_at = models.DateTimeField()
    planned_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-start", "-asked_at")

    def __str__(self) -> str:
        return f"{self.household}, week of {self.start}"


class Packet(Row):
    """One printed bundle: the frozen facts it was drawn from and the file."""

    class State(models.TextChoices):
        ASKED = "asked", _("Being made")
        READY = "ready", _("Ready")
        FAILED = "failed", _("Could not be made")

    practice_path = "household__practice"
    coach_path = "household__coach"

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="packets")
    week = models.ForeignKey(Week, null=True, on_delete=models.SET_NULL, related_name="packets")
    start = models.DateField()
    paper = models.CharField(max_length=6, choices=Practice.Paper)
    language = models.CharField(max_length=12, default="en")
    state = models.CharField(max_length=6, choices=State, default=State.ASKED)
    problem = models.TextField(blank=True)
    facts = models.JSONField(default=dict)
    file = models.FileField(upload_to="packets/", blank=True)
    pages = models.PositiveSmallIntegerField(default=0)
    asked_at = models.DateTimeField()
    made_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-asked_at",)

    def __str__(self) -> str:
        return f"{self.household}, packet of {self.start}"
