"""Who shares a kitchen: households, the clients we write to, and the eaters at the table."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from coaching.practice.models import Membership, Practice, Row, User


class Household(Row):
    """Who shares a kitchen. ``kitchen`` is the record of that name in ``ladlework/household/1``.

    ``wants`` is what a week is to do well, most wanted first; empty for the usual order.
    """

    practice_path = "practice"
    coach_path = "coach"

    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="households")
    coach = models.ForeignKey(Membership, null=True, on_delete=models.SET_NULL, related_name="households")
    name = models.CharField(_("name"), max_length=120)
    kitchen = models.JSONField(default=dict)
    wants = models.JSONField(default=list)
    created_at = models.DateTimeField()
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name


class Client(Row):
    """The person who signed up: the one we write to."""

    practice_path = "household__practice"
    coach_path = "household__coach"

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="clients")
    user = models.OneToOneField(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="client")
    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("e-mail address"))
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    language = models.CharField(_("language"), max_length=12, default="en")
    time_zone = models.CharField(_("time zone"), max_length=64, default="UTC")

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name


class Consent(Row):
    """What a client agreed to, in the words shown then."""

    client = models.ForeignKey(Client, on_delete=models.CASCADE, related_name="consents")
    kind = models.CharField(max_length=20, default="scope")
    text = models.TextField()
    agreed_on = models.DateField()
    recorded_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.client}, {self.kind}"


class Eater(Row):
    """One person at the table. ``answers`` are the screening answers by key.

    ``away`` are the meals eaten elsewhere week after week, as pairs of weekday and slot.
    """

    practice_path = "household__practice"
    coach_path = "household__coach"

    class Sex(models.TextChoices):
        FEMALE = "female", _("Female")
        MALE = "male", _("Male")
        UNSTATED = "unstated", _("Not stated")

    class Leaning(models.TextChoices):
        NONE = "none", _("No leaning")
        MEAT = "meat", _("More meat")
        VEGETABLES = "vegetables", _("More vegetables")

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="eaters")
    client = models.OneToOneField(
        Client, null=True, blank=True, on_delete=models.SET_NULL, related_name="eater"
    )
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(_("name"), max_length=80)
    born = models.DateField(_("born"))
    sex = models.CharField(_("sex"), max_length=8, choices=Sex, default=Sex.UNSTATED)
    appetite = models.DecimalField(_("share of an adult portion"), max_digits=3, decimal_places=2, default=1)
    leaning = models.CharField(_("leaning"), max_length=10, choices=Leaning, default=Leaning.NONE)
    dislikes = models.JSONField(default=list)
    allergies = models.JSONField(default=list)
    excluded = models.JSONField(default=list)
    away = models.JSONField(default=list)
    answers = models.JSONField(default=dict)

    class Meta:
        ordering = ("household", "position", "name")

    def __str__(self) -> str:
        return self.name


class IntakeDraft(Row):
    """A new client's answers so far, by step, kept as typed until the last step makes the household."""

    practice_path = "practice"
    coach_path = "coach"

    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="+")
    coach = models.ForeignKey(Membership, on_delete=models.CASCADE, related_name="intake_drafts")
    label = models.CharField(max_length=120, blank=True)
    answers = models.JSONField(default=dict)
    updated_at = models.DateTimeField()
    archived_at = models.DateTimeField(null=True, blank=True)
    household = models.OneToOneField(
        Household, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ("-updated_at",)

    def __str__(self) -> str:
        return self.label
