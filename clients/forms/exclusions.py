"""What an eater leaves out: allergies by official family, foods by name, dislikes by name."""

from collections.abc import Sequence
from typing import Any

from crispy_forms.layout import HTML, Div, Fieldset
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clients.domain.naming import FoodName, Unknown, find_foods
from clients.forms.people import plain_helper
from clients.wording.families import FAMILY
from plans.domain.allergens import on_and_off_list

FOOD_LISTS = ("excluded", "dislikes")


class ExclusionsForm(forms.Form):
    """Allergies as ticks, foods as ticks of what was chosen and a line to name more.

    ``foods`` is the practice's book; names that are not in it are shown with the nearest ones that are.
    """

    allergies = forms.MultipleChoiceField(
        label=_("Allergies"), required=False, widget=forms.CheckboxSelectMultiple
    )
    more_allergies = forms.MultipleChoiceField(
        label=_("Other families"), required=False, widget=forms.CheckboxSelectMultiple
    )
    excluded = forms.MultipleChoiceField(
        label=_("Left out for another reason"), required=False, widget=forms.CheckboxSelectMultiple
    )
    excluded_add = forms.CharField(
        label=_("Foods to leave out"),
        required=False,
        max_length=600,
        help_text=_("Names from your book, separated by commas."),
        widget=forms.TextInput(attrs={"list": "foods", "autocomplete": "off"}),
    )
    dislikes = forms.MultipleChoiceField(
        label=_("Disliked"), required=False, widget=forms.CheckboxSelectMultiple
    )
    dislikes_add = forms.CharField(
        label=_("Foods disliked"),
        required=False,
        max_length=600,
        help_text=_("The plan goes round these where it can."),
        widget=forms.TextInput(attrs={"list": "foods", "autocomplete": "off"}),
    )

    def __init__(self, data=None, *, foods: Sequence[FoodName], allergen_list: str, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.foods = foods
        listed, rest = on_and_off_list(allergen_list)
        self.fields["allergies"].choices = [(family, FAMILY[family]) for family in listed]
        self.fields["more_allergies"].choices = [(family, FAMILY[family]) for family in rest]
        names = {food.key: food.name for food in foods}
        for field in FOOD_LISTS:
            chosen = self._chosen(field)
            self.fields[field].choices = [(key, names[key]) for key in chosen if key in names]
            if not self.fields[field].choices:
                self.fields[field].widget = forms.MultipleHiddenInput()
        self.helper = plain_helper(*self._layout())

    def _layout(self) -> tuple[Fieldset, ...]:
        return (
            Fieldset(
                _("Allergies"),
                Div("allergies", css_class="tick-grid"),
                HTML(f'<details class="more"><summary>{gettext("Other families")}</summary>'),
                Div("more_allergies", css_class="tick-grid"),
                HTML("</details>"),
            ),
            Fieldset(_("Left out and disliked"), "excluded", "excluded_add", "dislikes", "dislikes_add"),
        )

    def _chosen(self, field: str) -> list[str]:
        if not self.is_bound:
            return list(self.initial.get(field, []))
        return list(dict.fromkeys(self.data.getlist(self.add_prefix(field))))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for field in FOOD_LISTS:
            found, unknown = find_foods(cleaned.get(f"{field}_add", ""), self.foods)
            for name in unknown:
                self.add_error(f"{field}_add", not_in_the_book(name))
            cleaned[field] = list(dict.fromkeys([*cleaned.get(field, []), *found]))
        return cleaned

    def values(self) -> dict[str, list[str]]:
        """The valid form as fields of an eater."""
        data = self.cleaned_data
        return {
            "allergies": sorted([*data["allergies"], *data["more_allergies"]]),
            "excluded": sorted(data["excluded"]),
            "dislikes": sorted(data["dislikes"]),
        }

    def tidied(self) -> dict[str, list[str]]:
        """The valid form as typed fields, with the named foods moved among the ticked ones."""
        tidy = {f"{field}_add": [""] for field in FOOD_LISTS}
        tidy |= {field: self.cleaned_data[field] for field in FOOD_LISTS}
        return {self.add_prefix(name): list(value) for name, value in tidy.items()}

    @staticmethod
    def initial_from(values: dict[str, list[str]], allergen_list: str) -> dict[str, list[str]]:
        """Initial values that show an eater's exclusions again."""
        listed, rest = on_and_off_list(allergen_list)
        return {
            "allergies": [family for family in listed if family in values["allergies"]],
            "more_allergies": [family for family in rest if family in values["allergies"]],
            "excluded": values["excluded"],
            "dislikes": values["dislikes"],
        }


def not_in_the_book(name: Unknown) -> str:
    """What to do about a name that no food of the book has."""
    if name.nearest:
        return gettext("“%(typed)s” is not in your book. Did you mean %(nearest)s?") % {
            "typed": name.typed,
            "nearest": gettext(" or ").join(name.nearest),
        }
    return gettext("“%(typed)s” is not in your book. Add it to the foods first, or leave it out here.") % {
        "typed": name.typed
    }
