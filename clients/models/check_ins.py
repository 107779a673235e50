"""What eaters report, and the invitations to report without signing in."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from clients.models.households import Eater
from coaching.practice.models import Row, User

NONE_TO_TEN = (MinValueValidator(0), MaxValueValidator(10))


class CheckIn(Row):
    """A dated report by or for one eater; one a day, the last one counts."""

    class By(models.TextChoices):
        CLIENT = "client", _("Client")
        LINK = "link", _("Client, by link")
        COACH = "coach", _("Coach")

    practice_path = "eater__household__practice"
    coach_path = "eater__household__coach"

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="check_ins")
    on = models.DateField()
    by = models.CharField(max_length=6, choices=By)
    symptoms = models.JSONField(default=dict)
    stool_form = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(7)]
    )
    stool_count = models.PositiveSmallIntegerField(null=True, blank=True, validators=[MaxValueValidator(30)])
    energy = models.PositiveSmallIntegerField(null=True, blank=True, validators=NONE_TO_TEN)
    sleep_hours = models.DecimalField(
        null=True,
        blank=True,
        max_digits=3,
        decimal_places=1,
        validators=[MinValueValidator(0), MaxValueValidator(24)],
    )
    mood = models.PositiveSmallIntegerField(null=True, blank=True, validators=NONE_TO_TEN)
    foods_tried = models.CharField(max_length=300, blank=True)
    notes = models.TextField(max_length=2000, blank=True)
    red_flags = models.JSONField(default=list)
    burden = models.DecimalField(null=True, blank=True, max_digits=4, decimal_places=2)
    """Mean of the symptoms given, 0 to 10; kept beside them so that lists can be sorted in the database."""
    recorded_at = models.DateTimeField()
    flags_answered_at = models.DateTimeField(null=True, blank=True)
    flags_answered_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    flags_answer = models.CharField(max_length=600, blank=True)

    class Meta:
        ordering = ("eater", "-on")
        indexes = (models.Index(fields=["on", "eater"]),)
        constraints = (
            models.UniqueConstraint(fields=["eater", "on"], name="one_check_in_a_day"),
            models.CheckConstraint(
                condition=Q(stool_form__isnull=True) | Q(stool_form__range=(1, 7)), name="stool_form_1_to_7"
            ),
        )

    def __str__(self) -> str:
        return f"{self.eater} on {self.on}"


class CheckInLink(Row):
    """An invitation to fill in one check-in without signing in. The URL carries a signed form of the id."""

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="check_in_links")
    on = models.DateField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["eater", "on"], name="one_check_in_link_a_day"),)

    def __str__(self) -> str:
        return f"{self.eater} on {self.on}"
