"""What a check-in asks, what its answers mean for the kitchen, and which answers mean "seek care now".

Scales: symptoms, energy and mood are numeric ratings 0 to 10 (0 none, 1-3 mild, 4-6 moderate, 7-10 severe; bands as in
Physiotherapy Canada's page on the 11-point numeric rating scale). Stool form is the seven-type scale of Lewis & Heaton,
Scand J Gastroenterol 1997;32:920-4: 1-2 constipation, 3-5 usual, 6-7 loose. Energy, sleep and mood have no single
published standard for a daily form; they are kept for the coach's eye, not scored.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import IntEnum

SYMPTOMS = ("belly-pain", "bloating", "reflux", "nausea", "skin", "headache")
SEVERE = 7
LOOSE_FORMS = (6, 7)
HARD_FORMS = (1, 2)
LOOSE_STOOLS_A_DAY = 3
"""Three or more loose or liquid stools a day are diarrhoea (World Health Organization)."""
CONDITION_DAYS = 2
"""A condition holds on the day it was reported and the day after: our choice, yesterday's symptoms steer today."""


class Urgency(IntEnum):
    """How soon care is needed; a higher number is sooner."""

    SOON = 1
    SAME_DAY = 2
    EMERGENCY = 3


@dataclass(frozen=True, slots=True)
class RedFlag:
    """One thing that always goes to a clinician, and where that rule is published."""

    key: str
    urgency: Urgency
    source: str


_ANAPHYLAXIS = "Cardona et al., World Allergy Organization anaphylaxis guidance 2020, 13:100472"
RED_FLAGS = (
    RedFlag(
        "swelling-or-breathing",
        Urgency.EMERGENCY,
        _ANAPHYLAXIS,
    ),
    RedFlag(
        "faint-after-food",
        Urgency.EMERGENCY,
        _ANAPHYLAXIS,
    ),
    RedFlag("chest-pain", Urgency.EMERGENCY, "general triage advice, from memory"),
    RedFlag("blood-in-stool", Urgency.SAME_DAY, "NICE CG61, alarm signs; rectal bleeding"),
    RedFlag("black-stools", Urgency.SAME_DAY, "general triage advice, from memory"),
    RedFlag("fever", Urgency.SAME_DAY, "general triage advice, above 38.5 °C with gut symptoms, from memory"),
    RedFlag("severe-pain", Urgency.SAME_DAY, "general triage advice, from memory"),
    RedFlag(
        "no-fluids", Urgency.SAME_DAY, "general triage advice, nothing kept down for 12 hours, from memory"
    ),
    RedFlag("yellow-skin", Urgency.SAME_DAY, "general triage advice, from memory"),
    RedFlag("weight-loss", Urgency.SOON, "NICE CG61, alarm signs; unexplained weight loss"),
)
_URGENCY = {flag.key: flag.urgency for flag in RED_FLAGS}


@dataclass(frozen=True, slots=True)
class Answers:
    """One check-in as answered; what was not answered is None or absent."""

    symptoms: Mapping[str, int]
    stool_form: int | None = None
    stool_count: int | None = None
    energy: int | None = None
    sleep_hours: Decimal | None = None
    mood: int | None = None
    foods_tried: str = ""
    notes: str = ""
    red_flags: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        numbers = (self.stool_form, self.stool_count, self.energy, self.sleep_hours, self.mood)
        return not (self.symptoms or self.foods_tried or self.notes or self.red_flags) and all(
            n is None for n in numbers
        )


def burden(symptoms: Mapping[str, int]) -> Decimal | None:
    """Mean of the symptoms that were rated, 0 to 10, two decimals; None when none was."""
    if not symptoms:
        return None
    return (Decimal(sum(symptoms.values())) / len(symptoms)).quantize(Decimal("0.01"))


def conditions_in(answers: Answers) -> frozenset[str]:
    """The conditions one check-in reports, by the words protocols key their modifiers to."""
    found = set()
    loose = answers.stool_form in LOOSE_FORMS
    if loose:
        found.add("loose-stools")
    if answers.stool_form in HARD_FORMS or (answers.stool_count == 0 and not loose):
        found.add("constipation")
    found.update(word for word in ("reflux", "nausea") if answers.symptoms.get(word, 0) >= 4)
    if any(rating >= SEVERE for rating in answers.symptoms.values()):
        found.add("flare")
    return frozenset(found)


def conditions_in_force(reports: Iterable[tuple[date, Answers]], today: date) -> frozenset[str]:
    """What holds today: the conditions of the newest report, if it is recent enough to steer the kitchen."""
    newest = max(reports, key=lambda report: report[0], default=None)
    if newest is None or not 0 <= (today - newest[0]).days < CONDITION_DAYS:
        return frozenset()
    return conditions_in(newest[1])


def urgency(red_flags: Iterable[str]) -> Urgency | None:
    """The most urgent of the flags, None without any. Raises KeyError for a flag we do not know."""
    return max((_URGENCY[key] for key in red_flags), default=None)
