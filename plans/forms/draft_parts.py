"""Writing what a draft says besides its table: the protocol's own words, stages, modifiers, challenges, lead-in tasks.

Fields hold text as it was typed and are named as in a file. What it means is read by
``plans.domain.filing.protocols``, by the rules files go by.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Layout
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from coaching.domain.errors import Problem
from plans.domain.book import Food, LeadInTask, Stage
from plans.domain.filing.csv_reader import joined
from plans.domain.filing.lookup import FoodLookup
from plans.domain.filing.protocols import row_cells
from plans.domain.records import form_of
from plans.domain.vocabulary import CONDITIONS, COOKING, HANDLING, LEAD_IN_KINDS, Allowance
from plans.forms.fields import lines_field, number_field, text_field
from plans.wording import ALLOWANCE, CONDITION, FORM, LEAD_IN_KIND

EVERYTHING = "all"
_GROUP = "group:"
_NOTHING = ("", "–")


def _choice(label: Any, choices: Iterable[tuple[str, Any]] = (), help_text: Any = "") -> forms.ChoiceField:
    return forms.ChoiceField(label=label, required=False, help_text=help_text, choices=[_NOTHING, *choices])


def _preparation(label: Any, help_text: Any) -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(
        label=label,
        required=False,
        help_text=help_text,
        widget=forms.CheckboxSelectMultiple,
        choices=[
            (_("Cooked or kept"), [(word, FORM[word]) for word in COOKING]),
            (_("Made ready"), [(word, FORM[word]) for word in HANDLING]),
        ],
    )


@dataclass(frozen=True, slots=True)
class Known:
    """What a part may name: the foods of the book by key, the stages of the draft in order, its lead-in tasks."""

    foods: Mapping[str, Food]
    stages: Sequence[Stage]
    tasks: Sequence[LeadInTask] = ()


class PartForm(forms.Form):
    """One part of a draft. ``seen`` is the digest of the draft the page showed; ``row`` the record that is changed."""

    noun: ClassVar[str] = ""
    one_a_line: ClassVar[frozenset[str]] = frozenset()
    preparations: ClassVar[frozenset[str]] = frozenset()
    shown_at: ClassVar[Mapping[str, str]] = {}
    """The field beside which a problem of another name is shown."""
    empty_said: ClassVar[Mapping[str, Any]] = {}
    """What is said of choices that were left empty, where a file's words would not fit a screen."""

    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        data: Any = None,
        *,
        known: Known,
        seen: str,
        row: Mapping[str, Any] | None = None,
        **kwargs: Any,
    ) -> None:
        self.known, self.row = known, row
        initial = {"seen": seen, **(self.initial_of(row) if row else {}), **kwargs.pop("initial", {})}
        super().__init__(data, initial=initial, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout = Layout(*self.laid_out())
        self.fill_choices()

    def laid_out(self) -> tuple[Any, ...]:
        """The fields in their order."""
        return tuple(self.fields)

    def fill_choices(self) -> None:
        """Put the choices into fields whose choices hang on the book or the draft."""

    def initial_of(self, row: Mapping[str, Any]) -> dict[str, Any]:
        """What the fields show of a record."""
        cells: dict[str, Any] = row_cells(self.noun, row)
        cells |= {name: "\n".join(row.get(name, ())) for name in self.one_a_line}
        cells |= {name: sorted(form_of(row.get(name, ""))) for name in self.preparations}
        if cells.get("food"):
            cells["food"] = _name_of(cells["food"], self.known.foods)
        return cells

    def values(self) -> dict[str, str]:
        """The typed values by the names of a file; a food may be typed by its name."""
        typed = {name: value for name, value in self.cleaned_data.items() if name != "seen"}
        for name in self.one_a_line:
            typed[name] = joined([line.strip() for line in typed[name].splitlines() if line.strip()])
        for name in self.preparations:
            typed[name] = " + ".join(typed[name])
        if typed.get("food"):
            typed["food"] = _key_of_food(typed["food"], self.known.foods)
        return typed

    def show(self, problems: Iterable[Problem]) -> None:
        """Put each problem beside the field it is about."""
        for problem in problems:
            name = self.shown_at.get(problem.field, problem.field)
            said = self.own_words(name) or f"{problem.message} {problem.fix}".strip()
            self.add_error(name if name in self.fields and name != "seen" else None, said)

    def own_words(self, name: str) -> Any:
        """What to say of a field in the place of a file's words; nothing where these fit."""
        return self.empty_said[name] if name in self.empty_said and not self[name].value() else ""


class HeadForm(PartForm):
    """What the protocol says of itself."""

    title = text_field(_("Title"), most=400)
    summary = lines_field(
        _("Summary"), _("One paragraph for the client: what this way of eating is."), rows=4
    )
    source = lines_field(_("Source"), _("Where it comes from: your own practice, or a citation."), rows=4)
    caution = lines_field(_("Caution"), _("Printed on every sheet. May stay empty."), rows=4)
    dietitian = forms.BooleanField(
        label=_("Only with a dietitian who knows the person; every sheet then says so"), required=False
    )

    def initial_of(self, row: Mapping[str, Any]) -> dict[str, Any]:
        return {name: row.get(name, "") for name in self.base_fields if name != "seen"}

    def values(self) -> dict[str, str]:
        typed = super().values()
        return typed | {"dietitian": "true" if typed["dietitian"] else ""}


class StageForm(PartForm):
    """A stage. A new one also says before which other it comes."""

    noun = "stage"
    one_a_line = frozenset(("moving_on",))

    title = text_field(_("Title"), most=400)
    before = forms.ChoiceField(label=_("Place"), required=False)
    aim = lines_field(_("Aim"), _("What this stage is for, in a sentence or two."))
    least_days = number_field(_("Least days"), _("Fewer need a recorded reason."))
    usual_days = number_field(_("Usual days"))
    most_days = number_field(_("Most days"), _("Then a review is due. May stay empty."))
    moving_on = lines_field(
        _("What must hold before moving on"),
        _("One sentence a line. May stay empty."),
        rows=5,
        most=50_000,
    )

    def laid_out(self) -> tuple[Any, ...]:
        first = ("title", "before") if self.row is None else ("title",)
        days = Div("least_days", "usual_days", "most_days", css_class="part-fields")
        return ("seen", *first, "aim", days, "moving_on")

    def fill_choices(self) -> None:
        if self.row is not None:
            del self.fields["before"]
            return
        befores = [
            (
                stage.key,
                gettext("Before %(number)d. %(title)s") % {"number": stage.number, "title": stage.title},
            )
            for stage in self.known.stages
        ]
        self.fields["before"].choices = [("", _("At the end")), *befores]

    def values(self) -> dict[str, str]:
        typed = super().values()
        typed.pop("before", None)
        return typed

    @property
    def place_before(self) -> int | None:
        """The place of the stage a new one comes before, counted from 0; None for the end."""
        keys = [stage.key for stage in self.known.stages]
        key = self.cleaned_data.get("before", "")
        return keys.index(key) if key in keys else None


class ModifierForm(PartForm):
    """What is asked while a condition holds."""

    noun = "modifier"
    preparations = frozenset(("require",))
    shown_at: ClassVar[Mapping[str, str]] = {"group": "about", "all": "about"}
    empty_said: ClassVar[Mapping[str, Any]] = {
        "when": _("Choose when it holds."),
        "about": _("Name the food in the next field, or choose a group or everything here."),
        "require": _("Tick a preparation, or choose a stricter allowance below."),
    }

    when = _choice(_("While"), [(word, CONDITION[word]) for word in CONDITIONS])
    about = forms.ChoiceField(label=_("Foods"), required=False)
    food = text_field(_("The food"), _("By its name in the book, for one food only."), most=200, list="foods")
    require = _preparation(
        _("How it must be prepared"), _("All that is ticked is asked for, on top of what the stage says.")
    )
    allowance = _choice(_("No more than"), help_text=_("A stricter allowance for this time. May stay empty."))
    note = lines_field(_("Note"), _("For the client, in plain words. May stay empty."), rows=2)

    def laid_out(self) -> tuple[Any, ...]:
        return "seen", "when", Div("about", "food", css_class="part-pair"), "require", "allowance", "note"

    def fill_choices(self) -> None:
        groups = {food.group for food in self.known.foods.values()}
        held = {self.row["group"]} if self.row and "group" in self.row else set()
        named = [
            (f"{_GROUP}{group}", gettext("All %(name)s") % {"name": group})
            for group in sorted(groups | held, key=str.casefold)
        ]
        self.fields["about"].choices = [
            ("", _("One food, named in the next field")),
            (EVERYTHING, _("Everything")),
            *named,
        ]
        word = (self.row or {}).get("allowance")
        allowed = [one for one in Allowance if one is not Allowance.FREELY or one.word == word]
        self.fields["allowance"].choices = [_NOTHING, *((one.word, ALLOWANCE[one]) for one in allowed)]

    def initial_of(self, row: Mapping[str, Any]) -> dict[str, Any]:
        about = EVERYTHING if row.get("all") else f"{_GROUP}{row['group']}" if "group" in row else ""
        return super().initial_of(row) | {"about": about}

    def values(self) -> dict[str, str]:
        typed = super().values()
        about = typed.pop("about")
        typed["group"] = about.removeprefix(_GROUP) if about.startswith(_GROUP) else ""
        typed["all"] = "true" if about == EVERYTHING else ""
        return typed

    def own_words(self, name: str) -> Any:
        if name == "about" and self["about"].value() and self["food"].value():
            return _("Empty the next field, or choose “One food” here.")
        return super().own_words(name)


class ChallengeForm(PartForm):
    """A planned introduction."""

    noun = "challenge"
    one_a_line = frozenset(("doses",))
    preparations = frozenset(("form",))
    empty_said: ClassVar[Mapping[str, Any]] = {
        "stage": _("Choose the stage."),
        "form": _("Tick how it is prepared."),
    }

    title = text_field(_("Title"), most=400)
    stage = forms.ChoiceField(label=_("At the stage"), required=False)
    food = text_field(_("Food"), _("By its name in the book."), most=200, list="foods")
    form = _preparation(_("How it is prepared"), _("Tick what is true of it together."))
    doses = lines_field(
        _("Doses"), _("One a line, each with its unit: 60 ml, 5 g, 1 piece."), rows=4, most=20_000
    )
    dose_days = number_field(_("Days with doses"))
    washout_days = number_field(_("Days without, after them"), _("Watched before the next food begins."))
    note = lines_field(_("Note"), _("May stay empty."), rows=2)

    def laid_out(self) -> tuple[Any, ...]:
        days = Div("dose_days", "washout_days", css_class="part-fields")
        return "seen", "title", "stage", "food", "form", "doses", days, "note"

    def fill_choices(self) -> None:
        self.fields["stage"].choices = [
            _NOTHING,
            *((stage.key, f"{stage.number}. {stage.title}") for stage in self.known.stages),
        ]


class LeadInForm(PartForm):
    """A task before day one."""

    noun = "lead_in"
    one_a_line = frozenset(("needs", "makes"))
    empty_said: ClassVar[Mapping[str, Any]] = {"kind": _("Choose the kind.")}

    title = text_field(_("Task"), most=400)
    kind = _choice(_("Kind"), [(word, LEAD_IN_KIND[word]) for word in LEAD_IN_KINDS])
    days_before = number_field(_("Days before day one"), _("When it is best done."))
    at_least_days = number_field(_("At the latest"), _("Days before day one. Empty: until day one."))
    keeps_days = number_field(_("Days it keeps"), _("In the refrigerator. May stay empty."))
    freezer_days = number_field(_("Days it keeps frozen"), _("May stay empty."))
    hands_on_min = number_field(_("Minutes of work"))
    wait_least_h = number_field(_("Hours it waits, at least"), _("Until what it makes is ready."))
    wait_most_h = number_field(_("Hours it waits, at most"), _("May stay empty."))
    after = forms.MultipleChoiceField(
        label=_("Comes after"), required=False, widget=forms.CheckboxSelectMultiple
    )
    food = text_field(
        _("Food"), _("By its name in the book, if it makes or uses up one."), most=200, list="foods"
    )
    needs = lines_field(_("Needs these foods"), _("By their names in the book, one a line."))
    makes = lines_field(
        _("Makes these foods"),
        _("One a line. If all of them open in later stages, the days count back from there."),
    )
    buy_instead = lines_field(_("To buy instead"), _("If there is no time for it. May stay empty."), rows=2)
    note = lines_field(_("Note"), _("How to do it. May stay empty."))
    source = lines_field(
        _("Source"), _("Where the days or the safety of it come from. May stay empty."), rows=2
    )

    def laid_out(self) -> tuple[Any, ...]:
        days = Div("days_before", "at_least_days", "hands_on_min", css_class="part-fields")
        waits = Div("wait_least_h", "wait_most_h", css_class="part-fields")
        keeps = Div("keeps_days", "freezer_days", css_class="part-fields")
        foods = Div("needs", "makes", css_class="part-pair")
        chain = ("after", waits, keeps, "food", foods)
        return ("seen", "title", "kind", days, *chain, "buy_instead", "note", "source")

    def fill_choices(self) -> None:
        own = (self.row or {}).get("key")
        self.fields["after"].choices = [
            (task.key, task.title) for task in self.known.tasks if task.key != own
        ]

    def initial_of(self, row: Mapping[str, Any]) -> dict[str, Any]:
        named = {
            name: "\n".join(_name_of(key, self.known.foods) for key in row.get(name, ()))
            for name in self.one_a_line
        }
        return super().initial_of(row) | named | {"after": list(row.get("after", ()))}

    def values(self) -> dict[str, str]:
        typed = super().values()
        for name in self.one_a_line:
            lines = [line.strip() for line in self.cleaned_data[name].splitlines() if line.strip()]
            typed[name] = joined([_key_of_food(line, self.known.foods) for line in lines])
        return typed | {"after": joined(self.cleaned_data["after"])}


FORMS: Mapping[str, type[PartForm]] = {
    form.noun: form for form in (StageForm, ModifierForm, ChallengeForm, LeadInForm)
}
"""By the word of a file's ``record`` column."""


class NewProtocolForm(forms.Form):
    """A title, and the version the new protocol begins as a copy of."""

    title = text_field(_("Title"), _("Your clients read it on every sheet."), most=400)
    like = forms.ChoiceField(
        label=_("Begin as a copy of"),
        help_text=_("The copy is yours to change. Nobody follows it before you publish it."),
    )

    def __init__(self, data: Any = None, *, versions: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.fields["like"].choices = versions
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True

    def show(self, problems: Iterable[Problem]) -> None:
        """Put each problem beside the field it is about."""
        for problem in problems:
            said = f"{problem.message} {problem.fix}".strip()
            self.add_error(problem.field if problem.field in self.fields else None, said)


class StageRemovalForm(forms.Form):
    """What becomes of the rows of a stage that is removed."""

    REMOVE, MOVE = "remove", "move"

    seen = forms.CharField(required=False, widget=forms.HiddenInput)
    rows = forms.ChoiceField(
        label=_("What opens at this stage"),
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose what becomes of what opens at this stage.")},
    )

    def __init__(self, data: Any = None, *, next_title: str, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        moved = gettext("Opens at the next stage, %(title)s, instead") % {"title": next_title}
        self.fields["rows"].choices = [
            *([(self.MOVE, moved)] if next_title else []),
            (self.REMOVE, _("Goes with the stage")),
        ]
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True


def _key_of_food(typed: str, foods: Mapping[str, Food]) -> str:
    return typed if typed in foods else FoodLookup(foods.values()).named(typed) or typed


def _name_of(key: str, foods: Mapping[str, Food]) -> str:
    """A food's name where it leads back to this food, else its key."""
    if key not in foods or _key_of_food(foods[key].name, foods) != key:
        return key
    return foods[key].name
