"""Forms about who a household is: the client and each eater."""

from datetime import date
from decimal import Decimal
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Layout
from django import forms
from django.conf import settings
from django.utils.translation import gettext_lazy as _

from clients.domain.people import MOST_APPETITE
from clients.models import Eater
from coaching.practice.forms import zone_field


def plain_helper(*layout: Any) -> FormHelper:
    """A form drawn inside a form tag that is already there."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    if layout:
        helper.layout = Layout(*layout)
    return helper


def date_field(**kwargs: Any) -> forms.DateField:
    """A date by the device's own calendar."""
    return forms.DateField(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), **kwargs)


def number_field(
    label: Any, *, least: str, most: str, step: str, required: bool = False, **kwargs: Any
) -> forms.DecimalField:
    """A number with its bounds; a step of 1 asks for a whole one."""
    inputmode = "numeric" if step == "1" else "decimal"
    if step == "1":
        kwargs.setdefault("decimal_places", 0)
    return forms.DecimalField(
        label=label,
        min_value=Decimal(least),
        max_value=Decimal(most),
        required=required,
        widget=forms.NumberInput(attrs={"inputmode": inputmode, "step": step, "autocomplete": "off"}),
        **kwargs,
    )


class ClientForm(forms.Form):
    """How a client is called and reached. Used for somebody else, so the browser fills in nothing by itself."""

    name = forms.CharField(
        label=_("Client’s name"), max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    email = forms.EmailField(
        label=_("E-mail address"),
        widget=forms.EmailInput(attrs={"autocomplete": "off", "inputmode": "email"}),
    )
    phone = forms.CharField(
        label=_("Telephone"),
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off", "inputmode": "tel"}),
    )
    language = forms.ChoiceField(label=_("Language"), choices=lambda: settings.LANGUAGES, initial="en")
    time_zone = zone_field(help_text=_("Reminders come by this clock."))

    def __init__(self, data=None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        if len(settings.LANGUAGES) == 1:
            self.fields["language"].widget = forms.HiddenInput()
        self.helper = plain_helper()

    def values(self) -> dict[str, Any]:
        """The valid form as fields of a client."""
        return {name: self.cleaned_data[name] for name in ("name", "email", "phone", "language", "time_zone")}


class HouseholdForm(ClientForm):
    """The client and what their household is called."""

    household = forms.CharField(
        label=_("Household"),
        max_length=120,
        help_text=_("What you call it in lists, often the family name."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, data=None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.order_fields(["name", "household", "email", "phone", "time_zone", "language"])


class HouseholdNameForm(forms.Form):
    """What a household is called."""

    name = forms.CharField(
        label=_("Household"), max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )

    def __init__(self, data=None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.helper = plain_helper()


class EaterForm(forms.Form):
    """One person at the table."""

    name = forms.CharField(
        label=_("Name"), max_length=80, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    born = date_field(label=_("Born"))
    sex = forms.ChoiceField(
        label=_("Sex"),
        choices=Eater.Sex,
        initial=Eater.Sex.UNSTATED,
        help_text=_("Needed for nutrient intakes and a few questions."),
    )
    appetite = number_field(
        _("Appetite"),
        least="0.1",
        most=str(MOST_APPETITE),
        step="0.05",
        required=True,
        initial=Decimal(1),
        max_digits=3,
        decimal_places=2,
        help_text=_(
            "1 is one portion as the recipes give it, 0.5 half of one. A day of such portions often holds no more than "
            "1,100 to 1,300 kcal: who eats nothing else may need 1.5 or 2. A planned week says what it holds."
        ),
    )
    leaning = forms.ChoiceField(label=_("Leaning"), choices=Eater.Leaning, initial=Eater.Leaning.NONE)

    def __init__(self, data=None, *, today: date, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.today = today
        self.fields["born"].widget.attrs["max"] = today.isoformat()
        self.helper = plain_helper("name", Div("born", "sex", "appetite", "leaning", css_class="field-grid"))

    def clean_born(self) -> date:
        born = self.cleaned_data["born"]
        if born > self.today:
            raise forms.ValidationError(_("This day is still to come. Check the year."))
        if self.today.year - born.year > 120:
            raise forms.ValidationError(_("This is more than 120 years ago. Check the year."))
        return born

    def values(self) -> dict[str, Any]:
        """The valid form as fields of an eater."""
        return {name: self.cleaned_data[name] for name in ("name", "born", "sex", "appetite", "leaning")}
