"""Writing a food down. Fields hold text as it was typed; ``plans.domain.filing.foods`` reads it, as it reads files."""

import re
from collections.abc import Iterable, Mapping
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Div, Fieldset, Layout
from django import forms
from django.utils.translation import gettext_lazy as _

from coaching.domain.errors import Problem
from plans.domain.filing.writing import cell_of
from plans.domain.nutrients import UNITS
from plans.domain.vocabulary import AISLES, FAMILIES, LIMITS
from plans.forms.fields import lines_field, number_field, text_field
from plans.forms.recipes import key_of
from plans.wording import AISLE, FAMILY, LIMIT, NUTRIENT

_FIGURE = "figure_"
_LISTS = ("names", "contains", "packs")
_PAIR = re.compile(r"[=:]")


def _ticks(label: Any, words: Iterable[str], said: Mapping[str, Any], help_text: Any) -> forms.Field:
    return forms.MultipleChoiceField(
        label=label,
        required=False,
        choices=[(word, said[word]) for word in words],
        help_text=help_text,
        widget=forms.CheckboxSelectMultiple,
    )


class FoodForm(forms.Form):
    """A food; ``is_new`` asks for its key, too. Each nutrient has a field of its own."""

    name = text_field(_("Name"))
    names = lines_field(
        _("Other names"),
        _("One a line: what others call it, and what it is called in other languages. Each finds this food."),
    )
    key = text_field(
        _("Key"),
        _("How recipes and files name it, such as sweet-potato. Empty: made from the name. It stays."),
    )
    group = text_field(
        _("Group"),
        _("Foods that go together, such as soft roots. Rules may speak of a group."),
        list="groups",
    )
    aisle = forms.ChoiceField(
        label=_("Aisle"), required=False, choices=[("", "–"), *((aisle, AISLE[aisle]) for aisle in AISLES)]
    )
    families = _ticks(
        _("Allergen families"), FAMILIES, FAMILY, _("Those it belongs to or carries. Wheat counts as gluten.")
    )
    contains = lines_field(
        _("Made of"), _("For a food made of others: their keys, one a line. It takes on their families.")
    )
    limits = _ticks(
        _("Limits of age and condition"),
        LIMITS,
        LIMIT,
        _("They hold for whoever they concern, whatever a protocol says."),
    )
    unit_weights = lines_field(
        _("What units weigh, in grams"), _("One a line, such as piece = 61 or cup = 128: the edible part.")
    )
    density = number_field(
        _("Density"), _("Grams in a millilitre, for what is poured. Solids: leave it empty.")
    )
    edible_share = number_field(_("Edible share"), _("Edible grams per gram bought, above 0, at most 1."))
    packs = text_field(
        _("Packs sold, in grams"), _("Smallest first, such as 500, 1000. Sold loose: leave it empty.")
    )
    fridge_days = number_field(_("Days in the refrigerator"))
    freezer_days = number_field(_("Days in the freezer"))
    home_made = forms.BooleanField(label=_("Made in the kitchen, not bought"), required=False)
    source = lines_field(_("Where these weights come from"), _("A table, a packet, your own scale."), rows=2)
    nutrients_like = text_field(
        _("Use the shipped figures of"),
        _("The key of a shipped food it is like, such as carrot. Empty: its own, or none."),
        list="figures",
    )
    nutrients_source = text_field(
        _("Where your own figures come from"), _("Such as: the packet, read on 2 November 2026.")
    )

    def __init__(self, *args: Any, is_new: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not is_new:
            del self.fields["key"]
        for nutrient, unit in UNITS.items():
            field = number_field(f"{NUTRIENT[nutrient]} ({unit})")
            self.fields[f"{_FIGURE}{nutrient}"] = field
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.render_unmentioned_fields = False
        self.helper.layout = Layout(
            Fieldset(
                _("What it is"),
                "name",
                "names",
                *(["key"] if is_new else []),
                Div("group", "aisle", css_class="side-by-side"),
                "home_made",
            ),
            Fieldset(_("Allergens and limits"), "families", "contains", "limits", css_class="columns"),
            Fieldset(
                _("Weights and packs"),
                "unit_weights",
                Div("density", "edible_share", css_class="side-by-side short"),
                Div("fridge_days", "freezer_days", css_class="side-by-side short"),
                "packs",
                "source",
            ),
            Fieldset(
                _("Nutrients"),
                HTML("{% include 'plans/_food_figures_note.html' %}"),
                "nutrients_like",
                "nutrients_source",
                Div(*(f"{_FIGURE}{nutrient}" for nutrient in UNITS), css_class="figure-fields"),
            ),
        )

    def values(self) -> dict[str, Any]:
        """The typed values by the names of a file; an empty key becomes the name's."""
        typed = dict(self.cleaned_data)
        typed.pop("source")
        figures = {nutrient: typed.pop(f"{_FIGURE}{nutrient}") for nutrient in UNITS}
        keeps = {name: typed.pop(name) for name in ("fridge_days", "freezer_days")}
        typed |= {name: _listed(typed[name]) for name in _LISTS}
        typed["key"] = typed.get("key") or key_of(typed["name"])
        typed["unit_weights"] = dict(_pair(line) for line in _listed(typed["unit_weights"]))
        typed["home_made"] = "true" if typed["home_made"] else ""
        typed["keeps"] = {name: days for name, days in keeps.items() if days}
        typed["nutrients"] = {nutrient: figure for nutrient, figure in figures.items() if figure}
        return typed

    def show_problems(self, problems: Iterable[Problem]) -> None:
        """Put each problem beside the field it is about."""
        for problem in problems:
            inner, _of, outer = problem.field.partition(" of ")
            asked = (f"{_FIGURE}{inner}", inner, outer)
            field = next((name for name in asked if name in self.fields), None)
            self.add_error(field, f"{problem.message} {problem.fix}".strip())


def initial_food(document: Mapping[str, Any]) -> dict[str, Any]:
    """What the record of a food puts into the form."""
    values: dict[str, Any] = {name: cell_of(document[name]) for name in document if name in _PLAIN}
    values |= {name: list(document.get(name, ())) for name in ("families", "limits")}
    values |= {name: cell_of(days) for name, days in document.get("keeps", {}).items()}
    values |= {f"{_FIGURE}{name}": cell_of(figure) for name, figure in document.get("nutrients", {}).items()}
    values["home_made"] = document.get("home_made", False)
    values["names"] = "\n".join(document.get("names", ()))
    values["contains"] = "\n".join(document.get("contains", ()))
    values["packs"] = ", ".join(cell_of(grams) for grams in document.get("packs", ()))
    weights = document.get("unit_weights", {})
    values["unit_weights"] = "\n".join(f"{unit} = {cell_of(grams)}" for unit, grams in weights.items())
    return values


_PLAIN = (
    "name",
    "group",
    "aisle",
    "density",
    "edible_share",
    "source",
    "nutrients_source",
    "nutrients_like",
)


def _listed(typed: str) -> list[str]:
    """What stands on lines, or between commas or semicolons."""
    return [part.strip() for part in re.split(r"[\n;,]", typed) if part.strip()]


def _pair(line: str) -> tuple[str, str]:
    """``piece = 61`` as unit and weight; without a sign the weight is missing, which the reader says."""
    unit, *weight = (part.strip() for part in _PAIR.split(line, maxsplit=1))
    return unit, "".join(weight)
