"""The desk: messages owed to people, and who does not want them."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from clients.models import Client
from coaching.outbox.models import OwedWork
from coaching.practice.models import Row


class Reminder(Row):
    """One message owed to one person at one time. Delivery is recorded on its ``work`` row and summed up here."""

    class Kind(models.TextChoices):
        COUNTDOWN = "countdown", _("Start countdown")
        CHECK_IN = "check-in", _("Check-in due")
        LEAD_IN = "lead-in", _("Lead-in task due")

    class State(models.TextChoices):
        OWED = "owed", _("Owed")
        SENT = "sent", _("Sent")
        SKIPPED = "skipped", _("Skipped")
        FAILED = "failed", _("Failed")

    practice_path = "client__household__practice"
    coach_path = "client__household__coach"

    client = models.ForeignKey(Client, on_delete=models.CASCADE, related_name="reminders")
    kind = models.CharField(max_length=10, choices=Kind)
    subject_key = models.CharField(max_length=80, blank=True)
    local_date = models.DateField()
    due_at = models.DateTimeField()
    facts = models.JSONField(default=dict)
    state = models.CharField(max_length=8, choices=State, default=State.OWED)
    why = models.CharField(max_length=200, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    work = models.OneToOneField(OwedWork, null=True, on_delete=models.SET_NULL, related_name="reminder")

    class Meta:
        ordering = ("-due_at",)
        constraints = (
            models.UniqueConstraint(
                fields=["client", "kind", "subject_key", "local_date"], name="a_reminder_is_owed_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} for {self.client} on {self.local_date}"


class MailStop(Row):
    """A person does not want mail of a kind any more (all kinds when blank)."""

    client = models.ForeignKey(Client, on_delete=models.CASCADE, related_name="mail_stops")
    kind = models.CharField(max_length=10, choices=Reminder.Kind, blank=True)
    at = models.DateTimeField()
    how = models.CharField(max_length=20, default="link")

    class Meta:
        constraints = (models.UniqueConstraint(fields=["client", "kind"], name="one_mail_stop_a_kind"),)

    def __str__(self) -> str:
        return f"{self.client}: {self.kind or 'all'}"
