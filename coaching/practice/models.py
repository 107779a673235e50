"""The ground: who works here, for which practice, in what role, and what was done."""

import uuid
from typing import ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.utils.translation import gettext_lazy as _


class Row(models.Model):
    """A row whose id may appear in a URL: random, never counted."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)

    class Meta:
        abstract = True


class UserManager(BaseUserManager["User"]):
    """Creates people by e-mail address."""

    def create_user(self, email: str, password: str | None = None, **fields) -> "User":
        user = self.model(email=self.normalize_email(email).lower(), **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def get_by_natural_key(self, username: str) -> "User":
        return self.get(email__iexact=username)


class User(Row, AbstractBaseUser):
    """A person who can sign in: staff of a practice, or a client of one."""

    email = models.EmailField(_("e-mail address"), unique=True)
    name = models.CharField(_("name"), max_length=120, blank=True)
    language = models.CharField(_("language"), max_length=12, default="en")
    time_zone = models.CharField(_("time zone"), max_length=64, default="UTC")
    is_active = models.BooleanField(_("active"), default=True)

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = []
    objects = UserManager()

    def __str__(self) -> str:
        return self.name or self.email

    def get_full_name(self) -> str:
        return str(self)


class Practice(Row):
    """A tenant: one coaching business."""

    class UnitSystem(models.TextChoices):
        METRIC = "metric", _("Metric (g, ml, °C)")
        US = "us", _("US (lb, cups, °F)")

    class Paper(models.TextChoices):
        A4 = "a4", _("A4")
        LETTER = "letter", _("Letter")

    slug = models.SlugField(unique=True)
    name = models.CharField(_("name"), max_length=120)
    postal_address = models.TextField(_("postal address"), blank=True)
    email = models.EmailField(_("reply address"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    country = models.CharField(_("country"), max_length=2, default="US")
    units = models.CharField(_("units"), max_length=6, choices=UnitSystem, default=UnitSystem.US)
    paper = models.CharField(_("paper"), max_length=6, choices=Paper, default=Paper.LETTER)
    languages = models.JSONField(_("languages"), default=list)
    time_zone = models.CharField(_("time zone"), max_length=64, default="UTC")
    quiet_from = models.TimeField(_("quiet from"), default="21:00")
    quiet_until = models.TimeField(_("quiet until"), default="08:00")
    emergency_number = models.CharField(_("emergency number"), max_length=20, default="911")
    client_agreement = models.TextField(_("what clients agree to"), blank=True)
    rules_checked_at = models.DateTimeField(_("local rules checked"), null=True, blank=True)
    rules_checked_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    def __str__(self) -> str:
        return self.name

    @property
    def is_set_up(self) -> bool:
        """True once a coach confirmed the local rules and gave an address that mail must carry."""
        return bool(self.rules_checked_at and self.postal_address.strip() and self.client_agreement.strip())


class Membership(Row):
    """What a user is in a practice. One person, one practice, one role."""

    class Role(models.TextChoices):
        OWNER = "owner", _("Owner")
        COACH = "coach", _("Coach")
        ASSISTANT = "assistant", _("Assistant")
        CLIENT = "client", _("Client")

    user = models.OneToOneField(User, on_delete=models.CASCADE, related_name="membership")
    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(_("role"), max_length=10, choices=Role)

    def __str__(self) -> str:
        return f"{self.user}, {self.get_role_display()}"


class AuditEntry(models.Model):
    """What was done, by whom, to which row. Written once, never changed; holds ids and field names, no health text."""

    at = models.DateTimeField(db_index=True)
    practice = models.ForeignKey(Practice, null=True, on_delete=models.CASCADE, related_name="+")
    user = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    action = models.CharField(max_length=60)
    subject = models.CharField(max_length=60, blank=True)
    facts = models.JSONField(default=dict)

    class Meta:
        indexes = (models.Index(fields=["practice", "-at"]),)

    def __str__(self) -> str:
        return f"{self.action} {self.subject}"
