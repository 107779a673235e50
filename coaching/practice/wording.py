"""The practice's words: country names and what clients are asked to agree to."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

COUNTRY = {
    "US": _("United States"),
    "CA": _("Canada"),
    "GB": _("United Kingdom"),
    "IE": _("Ireland"),
    "AU": _("Australia"),
    "NZ": _("New Zealand"),
    "AT": _("Austria"),
    "BE": _("Belgium"),
    "BG": _("Bulgaria"),
    "CY": _("Cyprus"),
    "CZ": _("Czechia"),
    "DE": _("Germany"),
    "DK": _("Denmark"),
    "EE": _("Estonia"),
    "ES": _("Spain"),
    "FI": _("Finland"),
    "FR": _("France"),
    "GR": _("Greece"),
    "HR": _("Croatia"),
    "HU": _("Hungary"),
    "IT": _("Italy"),
    "LT": _("Lithuania"),
    "LU": _("Luxembourg"),
    "LV": _("Latvia"),
    "MT": _("Malta"),
    "NL": _("Netherlands"),
    "PL": _("Poland"),
    "PT": _("Portugal"),
    "RO": _("Romania"),
    "SE": _("Sweden"),
    "SI": _("Slovenia"),
    "SK": _("Slovakia"),
}

ALLERGEN_LIST = {
    "us-9": _("the nine major allergens of US law"),
    "ca": _("the priority allergens of Canadian law"),
    "eu-14": _("the fourteen allergens of EU and UK law"),
    "au-nz": _("the allergens of the Australia New Zealand code"),
}


def agreement_text(emergency_number: str) -> str:
    """A first text for clients to agree to; every practice may write its own."""
    return gettext(
        "This is food coaching. It is not medical care, and it takes the place of no doctor, dietitian or other "
        "clinician.\n\n"
        "My coach plans food and cooking with me. My coach does not diagnose or treat illness, and sets no dose of "
        "anything.\n\n"
        "I keep taking my medicines as prescribed. Only the clinician who prescribed a medicine changes it.\n\n"
        "I say what I know about my health and my family's, and I say so when it changes. Where a clinician has to "
        "agree first, I ask before we begin.\n\n"
        "I see my clinician when I feel worse, lose weight without meaning to, or am worried. In an emergency I call "
        "%(number)s."
    ) % {"number": emergency_number}
