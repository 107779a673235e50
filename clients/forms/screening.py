"""The screening of one eater: ticks in groups, figures in the practice's units, and the sign-off of a clinician."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from crispy_forms.layout import Div, Fieldset
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clients.domain.questions import Answer, Answers, Group, Kind, Person, Question, asked_of
from clients.forms.people import date_field, plain_helper
from clients.models import Caution
from clients.wording.screening import GROUP, HELP, QUESTION
from coaching.domain.units import CM_PER_INCH, INCHES_PER_FOOT, convert

WEIGHTS = ("weight-kg", "weight-before-kg")
HEIGHT = "height-cm"
MOST_INCHES = Decimal("11.9")
TENTH = Decimal("0.1")


class ScreeningForm(forms.Form):
    """Every group of ticks is answered by at least one tick or by "none of these"; figures may stay empty."""

    def __init__(self, data=None, *, person: Person, today: date, units: str, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.units = units
        self.questions = asked_of(person, today)
        parts = [self._group(group) for group in Group if self._of(group)]
        self.helper = plain_helper(*parts)

    def _of(self, group: Group, kind: Kind | None = None) -> list[Question]:
        return [q for q in self.questions if q.group is group and kind in (None, q.kind)]

    def _group(self, group: Group) -> Fieldset:
        names = []
        for question in self._of(group, Kind.NUMBER):
            fields = self._figure(question)
            next(iter(fields.values())).help_text = HELP.get(question.key, "")
            self.fields.update(fields)
            names += list(fields)
        shown: list[Any] = [Div(*names, css_class="field-grid")] if names else []
        ticks = self._of(group, Kind.YES_NO)
        if ticks:
            self.fields[group.value] = forms.MultipleChoiceField(
                label=GROUP[group],
                required=False,
                choices=[(question.key, QUESTION[question.key]) for question in ticks],
                widget=forms.CheckboxSelectMultiple,
            )
            self.fields[_none(group)] = forms.BooleanField(label=_("None of these"), required=False)
            shown += [Div(group.value, css_class="tick-grid"), Div(_none(group), css_class="none-of-these")]
        return Fieldset(GROUP[group], *shown)

    def _figure(self, question: Question) -> dict[str, forms.DecimalField]:
        words = QUESTION[question.key]
        if self.units == "us" and question.key == HEIGHT:
            return {
                "height-ft": _figure_field(_labelled(words, _("feet")), Decimal(1), Decimal(8), 0),
                "height-in": _figure_field(_labelled(words, _("inches")), Decimal(0), MOST_INCHES, 1),
            }
        if self.units == "us" and question.key in WEIGHTS:
            most = convert(question.most, "kg", "lb").quantize(Decimal(1))
            return {question.key: _figure_field(_labelled(words, _("pounds")), Decimal(2), most, 1)}
        unit = {HEIGHT: _("cm")} | dict.fromkeys(WEIGHTS, _("kg"))
        label = _labelled(words, unit[question.key]) if question.key in unit else words
        return {question.key: _figure_field(label, question.least, question.most, question.decimals)}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for group in Group:
            if group.value not in self.fields:
                continue
            ticked, none = cleaned.get(group.value), cleaned.get(_none(group))
            if ticked and none:
                self.add_error(
                    group.value, _("Something is ticked, and “none of these” too. Untick one of them.")
                )
            elif not ticked and not none and group.value not in self.errors:
                self.add_error(group.value, _("Ask, then tick what applies, or “none of these”."))
        if cleaned.get("height-in") and not cleaned.get("height-ft"):
            self.add_error("height-ft", _("Give the feet too."))
        return cleaned

    def answers(self) -> dict[str, Answer]:
        """The valid form as answers, in metric figures; a figure that was left out is absent."""
        found: dict[str, Answer] = {}
        for question in self.questions:
            if question.kind is Kind.YES_NO:
                found[question.key] = question.key in self.cleaned_data[question.group.value]
            else:
                figure = self._metric(question)
                if figure is not None:
                    found[question.key] = figure
        return found

    def _metric(self, question: Question) -> Decimal | None:
        data = self.cleaned_data
        if self.units == "us" and question.key == HEIGHT:
            if data["height-ft"] is None:
                return None
            return (data["height-ft"] * INCHES_PER_FOOT + (data["height-in"] or 0)) * CM_PER_INCH
        figure = data[question.key]
        if figure is None or self.units != "us" or question.key not in WEIGHTS:
            return figure
        return convert(figure, "lb", "kg")

    @staticmethod
    def initial_from(answers: Answers, questions: Iterable[Question], units: str) -> dict[str, Any]:
        """Initial values that show earlier answers again, in the practice's units."""
        initial: dict[str, Any] = {}
        for question in questions:
            answer = answers.get(question.key)
            if answer is None:
                continue
            if question.kind is Kind.YES_NO:
                initial.setdefault(question.group.value, [])
                if answer:
                    initial[question.group.value].append(question.key)
            else:
                initial |= _shown_figure(question, Decimal(answer), units)
        for group in Group:
            if group.value in initial:
                initial[_none(group)] = not initial[group.value]
        return initial


def _none(group: Group) -> str:
    return f"{group.value}-none"


def _labelled(words: Any, unit: Any) -> str:
    return gettext("%(what)s, %(unit)s") % {"what": words, "unit": unit}


def _figure_field(label: Any, least: Decimal, most: Decimal, decimals: int) -> forms.DecimalField:
    widget = forms.NumberInput(
        attrs={
            "inputmode": "decimal" if decimals else "numeric",
            "step": "0.1" if decimals else "1",
            "autocomplete": "off",
        }
    )
    return forms.DecimalField(
        label=label, required=False, min_value=least, max_value=most, decimal_places=decimals, widget=widget
    )


def _shown_figure(question: Question, figure: Decimal, units: str) -> dict[str, Any]:
    if units == "us" and question.key == HEIGHT:
        inches = (figure / CM_PER_INCH).quantize(TENTH)
        return {
            "height-ft": int(inches // INCHES_PER_FOOT),
            "height-in": (inches % INCHES_PER_FOOT).normalize(),
        }
    if units == "us" and question.key in WEIGHTS:
        return {question.key: convert(figure, "kg", "lb").quantize(TENTH).normalize()}
    return {question.key: figure}


class SignOffForm(forms.Form):
    """One clinician's word on one or more cautions of an eater."""

    cautions = forms.ModelMultipleChoiceField(
        label=_("It covers"), queryset=Caution.objects.none(), widget=forms.CheckboxSelectMultiple
    )
    clinician = forms.CharField(
        label=_("Who agreed"), max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    profession = forms.CharField(
        label=_("Licensed as"),
        max_length=120,
        help_text=_("Such as dietitian, family doctor, gastroenterologist."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    agreed_on = date_field(label=_("On"))
    note = forms.CharField(
        label=_("What they said"), max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, data=None, *, titles: dict[Any, str], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.fields["cautions"].queryset = Caution.objects.filter(pk__in=titles)
        self.fields["cautions"].label_from_instance = lambda caution: titles[caution.pk]
        self.helper = plain_helper()

    def values(self) -> dict[str, Any]:
        """The valid form as what a sign-off holds."""
        return {name: self.cleaned_data[name] for name in ("clinician", "profession", "agreed_on", "note")}
