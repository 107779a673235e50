"""What holds an eater back: cautions with their sign-offs, and what a clinician asked to leave out."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from clients.models.households import Eater
from coaching.practice.models import Row, User


class Caution(Row):
    """A screening result that stands until its answers change."""

    class Strength(models.TextChoices):
        TELL = "tell", _("Tell")
        CLINICIAN_FIRST = "clinician-first", _("Clinician first")
        DO_NOT_START = "do-not-start", _("Do not start")

    practice_path = "eater__household__practice"
    coach_path = "eater__household__coach"

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="cautions")
    rule = models.CharField(max_length=60)
    strength = models.CharField(max_length=16, choices=Strength)
    facts = models.JSONField(default=dict)
    raised_at = models.DateTimeField()
    lifted_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("eater", "raised_at")
        constraints = (
            models.UniqueConstraint(
                fields=["eater", "rule"], condition=Q(lifted_at__isnull=True), name="one_open_caution_a_rule"
            ),
        )

    def __str__(self) -> str:
        return f"{self.eater}: {self.rule}"


class SignOff(Row):
    """The record that a licensed clinician agreed to a caution being passed."""

    caution = models.OneToOneField(Caution, on_delete=models.CASCADE, related_name="sign_off")
    clinician = models.CharField(_("clinician"), max_length=120)
    profession = models.CharField(_("profession"), max_length=120)
    agreed_on = models.DateField(_("agreed on"))
    note = models.TextField(_("note"), max_length=2000, blank=True)
    recorded_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    recorded_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.clinician}, {self.agreed_on}"


class Instruction(Row):
    """Foods a clinician asked an eater to leave out. It can only forbid, and it is never deleted, only ended.

    It holds from ``said_on`` on, and no longer on ``until`` or ``ended_on``, whichever comes first.
    """

    practice_path = "eater__household__practice"
    coach_path = "eater__household__coach"

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="instructions")
    foods = models.JSONField(default=list)
    said_by = models.CharField(_("said by"), max_length=120)
    said_on = models.DateField(_("said on"))
    until = models.DateField(_("until"), null=True, blank=True)
    note = models.TextField(_("note"), max_length=2000, blank=True)
    recorded_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    recorded_at = models.DateTimeField()
    ended_on = models.DateField(null=True, blank=True)
    ended_why = models.CharField(max_length=300, blank=True)
    ended_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ("eater", "said_on", "recorded_at")
        constraints = (
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gt=models.F("said_on")),
                name="instruction_until_after_said",
            ),
        )

    def __str__(self) -> str:
        return f"{self.eater}: {self.said_by}, {self.said_on}"
