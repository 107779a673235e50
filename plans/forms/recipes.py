"""Writing a recipe down: the recipe itself and a row an ingredient.

Fields hold text as it was typed. What it means is read by ``plans.domain.filing.recipes``, by the rules files go by.
"""

import re
from collections.abc import Iterable, Mapping
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Div, Fieldset, Layout
from django import forms
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from coaching.domain.errors import Problem
from plans.domain.filing.core_temperature import CHART_F
from plans.domain.filing.lookup import folded
from plans.domain.filing.recipes import INGREDIENT
from plans.domain.ingredient_lines import IngredientLine
from plans.domain.jsonld import Draft
from plans.domain.vocabulary import RECIPE_KINDS, Slot, Use
from plans.forms.fields import number_field, text_field
from plans.wording import KIND, SLOT, USE

MOST_INGREDIENTS = 100
SPARE_ROWS = 3
_INGREDIENT_PROBLEM = re.compile(r"(?:(\w+) of )?ingredient (\d+)")


class RecipeForm(forms.Form):
    """A recipe without its ingredients."""

    title = text_field(_("Title"))
    kind = forms.ChoiceField(
        label=_("Kind of dish"),
        required=False,
        choices=[("", "–"), *((kind, KIND[kind]) for kind in RECIPE_KINDS)],
    )
    slots = forms.MultipleChoiceField(
        label=_("When it can be eaten"),
        required=False,
        choices=[(slot.value, SLOT[slot]) for slot in Slot],
        widget=forms.CheckboxSelectMultiple,
    )
    main = text_field(
        _("Same dish as"), _("Recipes that share this word count as one dish when a week is varied.")
    )
    makes = text_field(
        _("Food it makes"), _("For a stock only: the food it makes, such as chicken-stock."), list="foods"
    )
    servings = number_field(_("Adult portions"))
    portion = text_field(_("One portion"), _("Amount and unit, such as 400 ml or 300 g."))
    hands_on_min = number_field(_("Minutes of work"))
    elapsed_min = number_field(_("Minutes in all"))
    fridge_days = number_field(_("Days in the refrigerator"), _("After the cooking day."))
    freezer_days = number_field(_("Days in the freezer"), _("0 when it does not freeze."))
    batch = forms.BooleanField(
        label=_("May be cooked in a multiple and eaten over several days"), required=False
    )
    core_temp_f = forms.ChoiceField(
        label=_("Least core temperature"),
        required=False,
        choices=[("", _("No meat, fish or egg")), *((str(degrees), f"{degrees} °F") for degrees in CHART_F)],
        help_text=_("165 °F poultry; 160 °F minced meat, game and egg dishes; 145 °F whole cuts and fish."),
    )
    steps = forms.CharField(
        label=_("Steps"),
        required=False,
        max_length=100_000,
        help_text=_("One step a line."),
        widget=forms.Textarea(attrs={"rows": 10}),
    )
    child_note = forms.CharField(
        label=_("For a toddler"),
        required=False,
        max_length=2_000,
        help_text=_("How to serve it to a small child. May stay empty."),
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    photo = forms.FileField(
        label=_("Photo"),
        required=False,
        allow_empty_file=True,
        help_text=_("JPEG, PNG or WebP, up to 8 MB. It is drawn anew: place and device are not kept."),
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
    )
    photo_alt = forms.CharField(
        label=_("What the photo shows"),
        required=False,
        max_length=200,
        help_text=_("For those who cannot see it, such as: a bowl of orange soup with green leaves."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    photo_remove = forms.BooleanField(label=_("Take the photo off"), required=False)
    unread = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, has_photo: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if has_photo:
            self.fields["photo"].label = _("Another photo in its place")
        else:
            del self.fields["photo_remove"]
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        # The page opens with the mistakes of the dish and of its ingredients together.
        self.helper.one_of_many = True
        self.helper.layout = Layout(
            Fieldset(_("The dish"), "title", Div("kind", "main", "makes", css_class="side-by-side"), "slots"),
            Fieldset(
                _("How much and how long"),
                Div("servings", "portion", css_class="side-by-side short"),
                Div("hands_on_min", "elapsed_min", css_class="side-by-side short"),
            ),
            Fieldset(
                _("Keeping and safety"),
                Div("fridge_days", "freezer_days", css_class="side-by-side short"),
                "batch",
                "core_temp_f",
            ),
            Fieldset(_("Cooking"), "steps", "child_note"),
            Fieldset(
                _("Photo"),
                HTML("{% include 'plans/_photo_now.html' %}"),
                "photo",
                "photo_alt",
                *(["photo_remove"] if has_photo else []),
            ),
            "unread",
        )

    def values(self) -> dict[str, Any]:
        """The typed values by the names of a file; an empty main becomes the title's."""
        typed = dict(self.cleaned_data)
        for name in ("unread", "photo", "photo_alt", "photo_remove"):
            typed.pop(name, None)
        typed["steps"] = typed["steps"].splitlines()
        typed["batch"] = "true" if typed["batch"] else ""
        typed["main"] = typed["main"] or key_of(typed["title"])
        return typed


class IngredientForm(forms.Form):
    """One ingredient. ``line`` is how a recipe from elsewhere put it."""

    line = forms.CharField(required=False, max_length=2_000, widget=forms.HiddenInput)
    quantity = text_field(_("Amount"), inputmode="decimal")
    unit = text_field(_("Unit"), list="units")
    food = text_field(_("Food"), list="foods")
    form = text_field(_("Prepared"), list="forms")
    size = text_field(_("Cut"))
    use = forms.ChoiceField(
        label=_("Use"), required=False, choices=[(use.value, USE[use]) for use in Use], initial=Use.BASE.value
    )

    def values(self) -> dict[str, str]:
        """The typed values by the names of a file."""
        return {name: self.cleaned_data.get(name, "") for name in INGREDIENT}

    @property
    def is_blank(self) -> bool:
        """Nothing is typed in it; the use is always there."""
        return not any(value for name, value in self.values().items() if name != "use")


class LinesForm(forms.Form):
    """Ingredients as cooks write them, a line each."""

    lines = forms.CharField(
        label=_("Add lines"),
        required=False,
        max_length=20_000,
        help_text=_(
            "Type or paste ingredients as cooks write them, one a line, such as “500 g carrots, peeled, boiled” or "
            "“2 1/2 lb bone-in chicken thighs”."
        ),
        widget=forms.Textarea(attrs={"rows": 3, "autocomplete": "off", "spellcheck": "false"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["lines"].widget.attrs |= {
            "hx-post": reverse("recipe_lines"),
            "hx-trigger": "input changed delay:600ms",
            "hx-target": "#lines-read",
            "hx-params": "lines,csrfmiddlewaretoken",
            "hx-sync": "this:replace",
        }

    def clean_lines(self) -> str:
        """At most as many lines as a recipe has ingredients."""
        typed = self.cleaned_data["lines"]
        if len(_filled(typed)) > MOST_INGREDIENTS:
            raise forms.ValidationError(
                _("A recipe has at most %(most)d ingredients."), params={"most": MOST_INGREDIENTS}
            )
        return typed

    def filled(self) -> list[str]:
        """The lines that are not blank."""
        return _filled(self.cleaned_data["lines"])


def _filled(typed: str) -> list[str]:
    return [line.strip() for line in typed.splitlines() if line.strip()]


class _Rows(forms.BaseFormSet):
    def get_form_kwargs(self, index: int | None) -> dict[str, Any]:
        return super().get_form_kwargs(index) | {"empty_permitted": False, "use_required_attribute": False}


IngredientForms = forms.formset_factory(
    IngredientForm,
    formset=_Rows,
    extra=SPARE_ROWS,
    max_num=MOST_INGREDIENTS,
    absolute_max=MOST_INGREDIENTS + 20,
    validate_max=True,
)


def key_of(title: str) -> str:
    """The key a title makes: ``Chicken & leek pie`` is ``chicken-leek-pie``."""
    return re.sub(r"[^a-z0-9]+", "-", folded(title)).strip("-")[:80].strip("-")


def initial_of(draft: Draft) -> tuple[dict[str, Any], list[dict[str, str]]]:
    """What a draft puts into both forms."""
    values: dict[str, Any] = dict(draft.values)
    values["steps"] = "\n".join(values.get("steps", ()))
    values["batch"] = values.get("batch") == "true"
    values["unread"] = "\n".join(draft.unread)
    return values, [row_of(part) for part in draft.ingredients]


def show_problems(problems: Iterable[Problem], form: RecipeForm, rows: list[IngredientForm]) -> None:
    """Put each problem beside the field it is about; ``rows`` are the ingredients in the order they were read."""
    for problem in problems:
        said = f"{problem.message} {problem.fix}".strip()
        about = _INGREDIENT_PROBLEM.fullmatch(problem.field)
        if about:
            row = rows[int(about[2]) - 1]
            row.add_error(about[1] if about[1] in row.fields else None, said)
        else:
            form.add_error(problem.field if problem.field in form.fields else None, said)


def row_of(part: IngredientLine) -> dict[str, str]:
    """What a line that was read puts into the form of one ingredient."""
    named: Mapping[str, str] = {name: getattr(part, name) for name in INGREDIENT}
    return {**named, "line": part.line, "use": part.use or Use.BASE.value}
