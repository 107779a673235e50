"""What can be asked of a meal of a standing week, and what has gone off."""

from collections.abc import Iterable
from datetime import date, timedelta

from crispy_forms.layout import Field
from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clients.domain.revising import Change, Kind, meal_of, meal_text
from clients.forms.people import plain_helper
from plans.domain.brief import Meal

Choices = list[tuple[str, str]]
POT, FOOD = "pot:", "food:"
"""What stands before a key in the list of what can have gone off."""


class MealForm(forms.Form):
    """One thing asked of ``meal``. Each kind has a prefix of its own, as they stand on one page."""

    def __init__(self, *args, meal: Meal, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.meal = meal
        self.helper = plain_helper(*(Field(name) for name in self.fields))


class OtherDishForm(MealForm):
    """Something else at this meal."""

    recipe = forms.ChoiceField(
        label=_("Dish"),
        widget=forms.RadioSelect,
        error_messages={
            "required": _("Choose a dish."),
            "invalid_choice": _("That dish does not suit this meal any more. Choose one of these."),
        },
    )

    def __init__(self, *args, dishes: Choices, **kwargs) -> None:
        super().__init__(*args, prefix="other", **kwargs)
        self.fields["recipe"].choices = dishes

    def change(self) -> Change:
        return Change(Kind.WANTED, meal=self.meal, recipe=self.cleaned_data["recipe"])


class NotThisForm(MealForm):
    """Anything but this dish."""

    recipe = forms.ChoiceField(
        label=_("Dish"),
        error_messages={"required": _("Choose a dish."), "invalid_choice": _("Choose one of these dishes.")},
    )

    def __init__(self, *args, dishes: Choices, **kwargs) -> None:
        super().__init__(*args, prefix="not", **kwargs)
        self.fields["recipe"].choices = dishes
        if len(dishes) == 1:
            self.fields["recipe"].widget = forms.HiddenInput()
            self.fields["recipe"].initial = dishes[0][0]

    def change(self) -> Change:
        return Change(Kind.UNWANTED, meal=self.meal, recipe=self.cleaned_data["recipe"])


class OutForm(MealForm):
    """Who does not eat at home."""

    eaters = forms.MultipleChoiceField(
        label=_("Who is out"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": _("Tick at least one person."),
            "invalid_choice": _("Somebody named here does not eat in this week. Choose again."),
        },
    )

    def __init__(self, *args, eaters: Choices, **kwargs) -> None:
        super().__init__(*args, prefix="out", **kwargs)
        self.fields["eaters"].choices = eaters
        self.fields["eaters"].initial = [key for key, _name in eaters]

    def change(self) -> Change:
        named = tuple(self.cleaned_data["eaters"])
        everyone = len(named) == len(self.fields["eaters"].choices)
        return Change(Kind.AWAY, meal=self.meal, eaters=() if everyone else named)


class ExchangeForm(MealForm):
    """The meal to change places with."""

    other = forms.ChoiceField(
        label=_("With which meal"),
        error_messages={
            "required": _("Choose a meal."),
            "invalid_choice": _("Choose one of the meals that are not eaten and not locked."),
        },
    )

    def __init__(self, *args, meals: Choices, **kwargs) -> None:
        super().__init__(*args, prefix="exchange", **kwargs)
        self.fields["other"].choices = [("", gettext("Choose a meal")), *meals]

    def change(self) -> Change:
        return Change(Kind.EXCHANGE, meal=self.meal, other=meal_of(self.cleaned_data["other"]))


class GoneForm(forms.Form):
    """What cannot be used any more, and from which day on."""

    what = forms.ChoiceField(
        label=_("What"),
        help_text=_("A pot that is spoilt is not eaten from; a food that is spoilt is not cooked with."),
        error_messages={"invalid_choice": _("Choose one of the pots or foods of this week.")},
    )
    day = forms.TypedChoiceField(
        label=_("From which day on"),
        coerce=int,
        error_messages={"invalid_choice": _("Choose a day of this week from today on.")},
    )

    def __init__(
        self, *args, pots: Choices, foods: Choices, others: Choices, days: Choices, **kwargs
    ) -> None:
        super().__init__(*args, **kwargs)
        groups = (
            (gettext("Pots"), [(POT + key, name) for key, name in pots]),
            (gettext("Foods of this week"), [(FOOD + key, name) for key, name in foods]),
            (gettext("Other foods"), [(FOOD + key, name) for key, name in others]),
        )
        self.fields["what"].choices = [
            ("", gettext("Choose a pot or a food")),
            *(group for group in groups if group[1]),
        ]
        self.fields["day"].choices = days
        self.helper = plain_helper(Field("what"), Field("day"))

    def change(self) -> Change:
        what, day = self.cleaned_data["what"], self.cleaned_data["day"]
        if what.startswith(POT):
            return Change(Kind.GONE_COOK, cook=what.removeprefix(POT), day=day)
        return Change(Kind.GONE_FOOD, food=what.removeprefix(FOOD), day=day)


def day_choices(start: date, days: Iterable[int]) -> Choices:
    """Days of a week by their number, as one picks them."""
    return [(str(day), date_format(start + timedelta(days=day), gettext("l j F"))) for day in days]


def meal_choices(meals: Iterable[tuple[Meal, str]]) -> Choices:
    """Meals as one picks them."""
    return [(meal_text(meal), words) for meal, words in meals]
