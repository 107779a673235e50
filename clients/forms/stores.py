"""What is in the house: a food by its name, how much of it, where, and to which day it is good."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from crispy_forms.layout import Div
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clients.domain.naming import FoodName, Unknown, find_foods
from clients.forms.people import date_field, plain_helper
from clients.models import Store
from coaching.domain.units import MASS, System, grams_per
from plans.domain.book import Food
from plans.domain.quantities import grams

UNITS = (
    ("g", _("g")),
    ("kg", _("kg")),
    ("ml", _("ml")),
    ("l", _("litres")),
    ("oz", _("oz")),
    ("lb", _("lb")),
    ("cup", _("cups")),
    ("quart", _("quarts")),
    ("piece", _("pieces")),
)
FIRST_UNIT = {System.METRIC: "g", System.US: "oz"}


class StoreForm(forms.Form):
    """``foods`` is the practice's book. With ``store`` the food stands and the rest is said anew."""

    food = forms.CharField(
        label=_("Food"),
        max_length=120,
        help_text=_("Any name it goes by."),
        widget=forms.TextInput(attrs={"list": "foods", "autocomplete": "off"}),
    )
    amount = forms.DecimalField(
        label=_("How much"),
        min_value=Decimal("0.01"),
        max_value=Decimal(100_000),
        max_digits=9,
        decimal_places=3,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any", "autocomplete": "off"}),
    )
    unit = forms.ChoiceField(label=_("Of what"), choices=UNITS)
    place = forms.ChoiceField(label=_("Where"), choices=Store.Place.choices)
    best_by = date_field(
        label=_("Best by"),
        required=False,
        help_text=_("If it has a date. After that day no list counts it."),
    )

    def __init__(
        self,
        data=None,
        *,
        foods: Mapping[str, Food],
        system: System,
        store: Store | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        self.foods = foods
        self.store = store
        self.fields["unit"].initial = FIRST_UNIT[system]
        if store is not None:
            del self.fields["food"]
            self._stands_as(store, FIRST_UNIT[system])
        amount = Div("amount", "unit", css_class="field-grid")
        kept = Div("place", "best_by", css_class="field-grid")
        self.helper = plain_helper(*(["food"] if store is None else []), amount, kept)

    def _stands_as(self, store: Store, unit: str) -> None:
        amount = (store.amount_g / grams_per(unit)).quantize(Decimal("0.01"))
        self.fields["amount"].initial = f"{amount.normalize():f}"
        self.fields["place"].initial = store.place
        self.fields["best_by"].initial = store.best_by

    def clean_food(self) -> str:
        book = [FoodName(food.key, food.name, food.names) for food in self.foods.values()]
        found, unknown = find_foods(self.cleaned_data["food"], book)
        if unknown:
            raise forms.ValidationError([_unknown_words(name) for name in unknown])
        if len(found) != 1:
            raise forms.ValidationError(gettext("Name one food at a time."))
        return found[0]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        key = self.store.food if self.store is not None else cleaned.get("food")
        amount, unit = cleaned.get("amount"), cleaned.get("unit")
        if key is None or amount is None or unit is None:
            return cleaned
        amount_g = self._as_bought(amount, unit, key)
        if amount_g is None:
            self.add_error(
                "unit",
                gettext(
                    "The book does not say what that weighs. Give it in grams, kilograms, ounces or pounds."
                ),
            )
        else:
            cleaned["amount_g"] = amount_g
        return cleaned

    def _as_bought(self, amount: Decimal, unit: str, key: str) -> Decimal | None:
        """Grams as bought: a scale weighs peel and bones too, the book's pieces and cups are the edible part."""
        if unit in MASS:
            return amount * grams_per(unit)
        food = self.foods.get(key)
        edible_g = None if food is None else grams(amount, unit, food)
        return None if food is None or edible_g is None else edible_g / food.edible_share

    def values(self) -> dict[str, date | Decimal | str | None]:
        """What is the same of a new and of a changed one."""
        return {name: self.cleaned_data[name] for name in ("amount_g", "place", "best_by")}


def _unknown_words(name: Unknown) -> str:
    if name.nearest:
        return gettext("No food here is called “%(typed)s”. Did you mean %(nearest)s?") % {
            "typed": name.typed,
            "nearest": gettext(" or ").join(name.nearest),
        }
    return gettext("No food here is called “%(typed)s”. Try another word for it.") % {"typed": name.typed}
