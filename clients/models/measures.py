"""Measures of an eater's body, all of them optional."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from clients.models.households import Eater
from coaching.practice.models import Row, User
from plans.domain.body import RANGES


def _possible(name: str) -> models.CheckConstraint:
    """A measure is not given, or one that a person can have at all."""
    least, most, _unit = RANGES[name]
    given = {f"{name}__gte": least, f"{name}__lte": most}
    return models.CheckConstraint(
        condition=Q(**{f"{name}__isnull": True}) | Q(**given), name=f"measures_{name}_possible"
    )


class Measures(Row):
    """Optional measures of an eater as they were on a day. Rows are only added; the latest day counts.

    Kilograms and centimetres as exactly as they convert from pounds, feet and inches.
    """

    class Activity(models.TextChoices):
        INACTIVE = "inactive", _("Inactive")
        LOW_ACTIVE = "low-active", _("Low active")
        ACTIVE = "active", _("Active")
        VERY_ACTIVE = "very-active", _("Very active")

    class Feeding(models.TextChoices):
        ONLY_0_TO_6_MONTHS = "only-0-to-6-months", _("Breast milk only, first six months")
        PARTLY_7_TO_12_MONTHS = (
            "partly-7-to-12-months",
            _("Breast milk and other food, seven to twelve months"),
        )

    practice_path = "eater__household__practice"
    coach_path = "eater__household__coach"

    eater = models.ForeignKey(Eater, on_delete=models.CASCADE, related_name="measures")
    measured_on = models.DateField(_("measured on"))
    weight_kg = models.DecimalField(null=True, blank=True, max_digits=14, decimal_places=11)
    height_cm = models.DecimalField(null=True, blank=True, max_digits=7, decimal_places=4)
    activity = models.CharField(max_length=11, blank=True, choices=Activity)
    pregnancy_week = models.PositiveSmallIntegerField(null=True, blank=True)
    weight_before_kg = models.DecimalField(null=True, blank=True, max_digits=14, decimal_places=11)
    feeding = models.CharField(max_length=21, blank=True, choices=Feeding)
    recorded_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ("eater", "-measured_on", "-recorded_at")
        constraints = tuple(
            _possible(name) for name in ("weight_kg", "height_cm", "pregnancy_week", "weight_before_kg")
        )

    def __str__(self) -> str:
        return f"{self.eater} on {self.measured_on}"
