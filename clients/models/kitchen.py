"""What is in the house and in the basket, and what is done of the work before day one."""

from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from clients.models.households import Household
from coaching.practice.models import Row, User


class Store(Row):
    """Some of a food that is in the house: grams as bought, where it lies, and to which day it is good."""

    class Place(models.TextChoices):
        CUPBOARD = "cupboard", _("Cupboard")
        REFRIGERATOR = "refrigerator", _("Refrigerator")
        FREEZER = "freezer", _("Freezer")

    practice_path = "household__practice"
    coach_path = "household__coach"

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="stores")
    food = models.CharField(max_length=80)
    amount_g = models.DecimalField(
        _("grams"), max_digits=9, decimal_places=2, validators=[MinValueValidator(0)]
    )
    place = models.CharField(_("where"), max_length=12, choices=Place, default=Place.CUPBOARD)
    best_by = models.DateField(_("best by"), null=True, blank=True)
    noted_on = models.DateField()
    used_up_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("place", "food", "best_by")

    def __str__(self) -> str:
        return f"{self.household}: {self.food}"


class ShoppingTick(Row):
    """A food that somebody has put in the basket for a week. ``before_g`` is what was ticked before the last tick."""

    practice_path = "household__practice"
    coach_path = "household__coach"

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="shopping_ticks")
    start = models.DateField()
    food = models.CharField(max_length=80)
    amount_g = models.DecimalField(max_digits=9, decimal_places=2, validators=[MinValueValidator(0)])
    before_g = models.DecimalField(
        max_digits=9, decimal_places=2, default=0, validators=[MinValueValidator(0)]
    )
    ticked_at = models.DateTimeField()
    ticked_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["household", "start", "food"], name="one_tick_a_food_and_week"),
        )

    def __str__(self) -> str:
        return f"{self.household}, {self.start}: {self.food}"


class LeadInTick(Row):
    """Somebody said of a task before day one that it is done, or not needed. ``task`` is its name in the plan."""

    class State(models.TextChoices):
        DONE = "done", _("Done")
        NOT_NEEDED = "not-needed", _("Not needed")

    practice_path = "household__practice"
    coach_path = "household__coach"

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="lead_in_ticks")
    task = models.CharField(max_length=300)
    state = models.CharField(max_length=10, choices=State, default=State.DONE)
    on = models.DateField()
    ticked_at = models.DateTimeField()
    ticked_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        constraints = (models.UniqueConstraint(fields=["household", "task"], name="one_tick_a_lead_in_task"),)

    def __str__(self) -> str:
        return f"{self.household}: {self.task}, {self.state}"
