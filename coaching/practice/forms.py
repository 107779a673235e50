"""The practice's own forms: setting up, and changing a setting later."""

import zoneinfo
from copy import copy
from functools import cache
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout
from django import forms
from django.conf import settings
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from coaching.practice.domain.countries import COUNTRIES, country_of
from coaching.practice.models import Practice
from coaching.practice.wording import COUNTRY, agreement_text

FOLLOWS_COUNTRY = ("emergency_number", "units", "paper", "time_zone")
"""Settings that move with the country unless they are typed in the same breath."""


@cache
def zone_choices() -> list[tuple[str, str]]:
    """Every time zone of a place, by its IANA name, as a person reads it."""
    names = sorted(
        name for name in zoneinfo.available_timezones() if "/" in name and not name.startswith("Etc/")
    )
    return [("UTC", "UTC"), *((name, name.replace("_", " ").replace("/", " / ")) for name in names)]


def zone_field(**kwargs: Any) -> forms.ChoiceField:
    """A choice of time zones."""
    return forms.ChoiceField(label=_("Time zone"), choices=zone_choices, **kwargs)


def country_choices() -> list[tuple[str, str]]:
    """The countries we have published facts for, by name."""
    return sorted(((code, str(COUNTRY[code])) for code in COUNTRIES), key=lambda choice: choice[1])


class PracticeForm(forms.ModelForm):
    """Every setting of a practice. What follows from the country does so unless it is changed too."""

    country = forms.ChoiceField(
        label=_("Country"),
        choices=country_choices,
        help_text=_(
            "The emergency number, allergen list, units, paper and time zone follow. You can change each."
        ),
    )
    time_zone = zone_field()
    languages = forms.MultipleChoiceField(
        label=_("Languages you print and write in"),
        choices=lambda: settings.LANGUAGES,
        widget=forms.CheckboxSelectMultiple,
    )
    emergency_number = forms.CharField(
        label=_("Emergency number"),
        max_length=20,
        help_text=_("Printed on every sheet and shown first when a check-in reports danger."),
        validators=[RegexValidator(r"^[0-9][0-9 /]*$", _("Write the number in digits, such as 112."))],
        widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "off"}),
    )
    postal_address = forms.CharField(
        label=_("Postal address"),
        max_length=400,
        help_text=_("Mail to clients has to carry it."),
        widget=forms.Textarea(attrs={"rows": 3, "autocomplete": "street-address"}),
    )
    client_agreement = forms.CharField(
        label=_("What clients agree to"),
        max_length=6000,
        help_text=_(
            "Shown to every new client, who has to agree before anything is planned. Say what you do not do."
        ),
        widget=forms.Textarea(attrs={"rows": 14}),
    )

    class Meta:
        model = Practice
        fields = (
            "name",
            "postal_address",
            "email",
            "phone",
            "country",
            "emergency_number",
            "units",
            "paper",
            "languages",
            "time_zone",
            "quiet_from",
            "quiet_until",
            "client_agreement",
        )
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "organization"}),
            "email": forms.EmailInput(attrs={"autocomplete": "email"}),
            "phone": forms.TextInput(attrs={"autocomplete": "tel", "inputmode": "tel", "type": "tel"}),
            "quiet_from": forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
            "quiet_until": forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        }
        help_texts = {
            "email": _("Where a client's answer to a reminder goes."),
            "quiet_from": _("No reminder is sent from this hour on, by the reader's own clock."),
        }

    def __init__(self, data=None, *, practice: Practice) -> None:
        super().__init__(data, instance=copy(practice))
        self.practice = practice
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = self.layout()

    def layout(self) -> Layout:
        """The fields as they stand on the page."""
        return Layout(
            Fieldset(_("The practice"), "name", "postal_address", "email", "phone"),
            Fieldset(
                _("Where you work"), "country", "emergency_number", "units", "paper", "time_zone", "languages"
            ),
            Fieldset(_("Quiet hours"), "quiet_from", "quiet_until"),
            Fieldset(_("Agreement"), "client_agreement"),
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if "country" in self.changed_data and "country" in cleaned:
            country = country_of(cleaned["country"])
            follows = {
                "emergency_number": country.emergency_numbers[0],
                "units": country.units,
                "paper": country.paper,
                "time_zone": country.time_zone,
            }
            cleaned |= {
                name: value
                for name, value in follows.items()
                if name in self.fields and name not in self.changed_data
            }
        if cleaned.get("client_agreement") == _one_line_ends(self._own_text()):
            cleaned["client_agreement"] = agreement_text(
                cleaned.get("emergency_number", self.practice.emergency_number)
            )
        return cleaned

    def clean_client_agreement(self) -> str:
        return _one_line_ends(self.cleaned_data["client_agreement"])

    def _own_text(self) -> str:
        """Our text as it was shown: the number in it moves along while nobody has rewritten it."""
        return agreement_text(self.practice.emergency_number)


def _one_line_ends(text: str) -> str:
    """Browsers send line ends as CR LF."""
    return text.replace("\r\n", "\n").strip()


class SetUpForm(PracticeForm):
    """The few settings nothing can begin without, and the confirmation of the local rules."""

    rules_checked = forms.BooleanField(
        label=_(
            "I have checked the local rules on who may give individual nutrition advice, and I may give it here."
        ),
        help_text=_(
            "Many countries and most US states regulate dietetics, the title or both. Look up the rules where you and "
            "your clients are, and have the licence or the clinician they ask for. Your name and today's date are kept."
        ),
    )

    class Meta(PracticeForm.Meta):
        fields = (
            "name",
            "postal_address",
            "email",
            "country",
            "emergency_number",
            "units",
            "paper",
            "time_zone",
            "client_agreement",
        )

    languages = None

    def __init__(self, data=None, *, practice: Practice) -> None:
        super().__init__(data, practice=practice)
        if not practice.client_agreement.strip():
            self.initial["client_agreement"] = agreement_text(practice.emergency_number)

    def layout(self) -> Layout:
        return Layout(
            Fieldset(_("The practice"), "name", "postal_address", "email"),
            Fieldset(_("Where you work"), "country", "emergency_number", "units", "paper", "time_zone"),
            Fieldset(_("What clients agree to"), "client_agreement"),
            Fieldset(_("Local rules"), "rules_checked"),
        )

    def settings(self) -> dict[str, Any]:
        """The valid form as settings of the practice."""
        return {name: value for name, value in self.cleaned_data.items() if name != "rules_checked"}
