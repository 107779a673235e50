"""How far each eater has come: enrolments, their spells, and the foods that are introduced."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from clients.models.households import Eater
from coaching.practice.models import Row
from plans.models import ProtocolVersion


class Enrolment(Row):
    """One eater on one protocol version."""

    class State(models.TextChoices):
        ACTIVE = "active", _("Active")
        HELD = "held", _("On hold")
        ENDED = "ended", _("Ended")

    practice_path = "eater__household__practice"
    coach_path = "eater__household__coach"

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="enrolments")
    version = models.ForeignKey(ProtocolVersion, on_delete=models.PROTECT, related_name="enrolments")
    state = models.CharField(max_length=6, choices=State, default=State.ACTIVE)
    start_on = models.DateField(_("day one"))
    held_since = models.DateField(null=True, blank=True)
    held_why = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["eater"], condition=~Q(state="ended"), name="one_open_enrolment_an_eater"
            ),
        )

    def __str__(self) -> str:
        return f"{self.eater}: {self.version}"


class Spell(Row):
    """One continuous time in one stage. The open one has no ``ended_on``."""

    enrolment = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="spells")
    stage = models.CharField(max_length=80)
    began_on = models.DateField()
    began_why = models.CharField(max_length=300, blank=True)
    ended_on = models.DateField(null=True, blank=True)
    ended_why = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ("enrolment", "began_on")
        constraints = (
            models.UniqueConstraint(
                fields=["enrolment"], condition=Q(ended_on__isnull=True), name="one_open_spell_an_enrolment"
            ),
            models.CheckConstraint(
                condition=Q(ended_on__isnull=True) | Q(ended_on__gte=models.F("began_on")),
                name="spell_ends_after_start",
            ),
        )

    def __str__(self) -> str:
        return f"{self.stage} from {self.began_on}"


class Introduction(Row):
    """One new food in one form for one eater, its watch days and how it ended."""

    class Outcome(models.TextChoices):
        OPEN = "open", _("Watching")
        TOLERATED = "tolerated", _("Tolerated")
        REACTED = "reacted", _("Reacted")
        UNCLEAR = "unclear", _("Unclear")

    practice_path = "eater__household__practice"
    coach_path = "eater__household__coach"

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="introductions")
    food = models.CharField(max_length=80)
    form = models.CharField(max_length=120)
    first_day = models.DateField()
    watch_until = models.DateField()
    outcome = models.CharField(max_length=9, choices=Outcome, default=Outcome.OPEN)
    left_out_until = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ("eater", "first_day")

    def __str__(self) -> str:
        return f"{self.food} from {self.first_day}"
