"""People: households and their eaters, how far each has come, and what they report.

Unlike other package files, this one is not empty: Django looks for the models of an app in its ``models`` module alone,
and all other code names a model, not the file it is written in.

Health answers live here and nowhere else; the desk and the printables get only what their page needs.
"""

from clients.models.check_ins import CheckIn, CheckInLink
from clients.models.following import Enrolment, Introduction, Spell
from clients.models.households import Client, Consent, Eater, Household, IntakeDraft
from clients.models.kitchen import LeadInTick, ShoppingTick, Store
from clients.models.measures import Measures
from clients.models.screening import Caution, Instruction, SignOff
from clients.models.weeks import Packet, Week

__all__ = [
    "Caution",
    "CheckIn",
    "CheckInLink",
    "Client",
    "Consent",
    "Eater",
    "Enrolment",
    "Household",
    "Instruction",
    "IntakeDraft",
    "Introduction",
    "LeadInTick",
    "Measures",
    "Packet",
    "ShoppingTick",
    "SignOff",
    "Spell",
    "Store",
    "Week",
]
