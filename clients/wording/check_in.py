"""The check-in's words, in the reader's language. Our own wording throughout."""

from django.utils.translation import gettext_lazy as _

from clients.domain.check_in import Urgency

SYMPTOM = {
    "belly-pain": _("Belly pain"),
    "bloating": _("Bloating"),
    "reflux": _("Heartburn or food coming up"),
    "nausea": _("Feeling sick"),
    "skin": _("Itching or rash"),
    "headache": _("Headache"),
}
STOOL_FORM = {
    1: _("Hard little lumps"),
    2: _("One lumpy, hard piece"),
    3: _("Firm, with cracks"),
    4: _("Smooth and soft"),
    5: _("Soft separate pieces"),
    6: _("Mushy, ragged edges"),
    7: _("Water, nothing solid"),
}
RED_FLAG = {
    "swelling-or-breathing": _("Swollen lips, tongue or throat, or trouble breathing"),
    "faint-after-food": _("Faint, floppy or collapsed after eating"),
    "chest-pain": _("Chest pain"),
    "blood-in-stool": _("Blood in or on the stool"),
    "black-stools": _("Black, tar-like stools"),
    "fever": _("Fever above 38.5 °C (101.3 °F)"),
    "severe-pain": _("Severe belly pain that does not ease"),
    "no-fluids": _("Cannot keep any drink down for 12 hours"),
    "yellow-skin": _("Yellow skin or eyes"),
    "weight-loss": _("Losing weight without meaning to"),
}
WHAT_TO_DO = {
    Urgency.EMERGENCY: _("Call %(number)s now. Do not wait for your coach, and do not drive yourself."),
    Urgency.SAME_DAY: _(
        "Speak to a doctor today. If you cannot reach one, or it gets worse, call %(number)s."
    ),
    Urgency.SOON: _("Make an appointment with your doctor this week. If anything gets worse, call sooner."),
}
