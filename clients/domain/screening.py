"""What a person's answers mean before the first stage: cautions, each with its strength, facts and published source.

A screening sorts people to a clinician. It names no illness, and more yes never means less caution.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum

from clients.domain import measures
from clients.domain.questions import Answers, Person


class Strength(StrEnum):
    """How far a caution reaches, from the mildest."""

    TELL = "tell"
    CLINICIAN_FIRST = "clinician-first"
    DO_NOT_START = "do-not-start"

    @property
    def rank(self) -> int:
        return list(Strength).index(self)


@dataclass(frozen=True, slots=True)
class Caution:
    """One result: which rule, how strong, on what facts."""

    rule: str
    strength: Strength
    facts: Mapping[str, str | int] = field(default_factory=dict)

    @property
    def source(self) -> str:
        """Where the rule is published."""
        return SOURCE[self.rule]


CG61 = "NICE CG61, Irritable bowel syndrome in adults (2008, updated 2017)"
ALARM = "Cleve Clin J Med, alarm signs in irritable bowel syndrome"
GROWTH = "NICE NG75, Faltering growth (2017)"
CG32 = "NICE CG32, Nutrition support for adults (2006)"
TRIAGE = "Common triage practice for gut symptoms, no single source"
ANAPHYLAXIS = "Cardona et al., World Allergy Organ J 2020;13:100472"
BSACI = "BSACI, Diagnostic diets"
SCOFF = "Morgan, Reid & Lacey, BMJ 1999;319:1467"
STEROID = "Royal College of Physicians and Society for Endocrinology, 2020; NICE NG243 (2024)"
DIABETES = "Murdoch et al., Br J Gen Pract 2019;69:360"
PREGNANCY = "Arvola & Holmberg-Marttila, Ann Med 1999"
CHILDREN = "Thomassen et al., ESPGHAN, J Pediatr Gastroenterol Nutr 2022;75:356-368"

_STOP, _FIRST, _TELL = Strength.DO_NOT_START, Strength.CLINICIAN_FIRST, Strength.TELL

ON_YES: dict[str, tuple[Strength, str]] = {
    "bloody-diarrhoea": (_STOP, "NHS Devon formulary, acute severe colitis; common triage practice"),
    "feverish-diarrhoea": (_STOP, TRIAGE),
    "lasting-diarrhoea": (_STOP, TRIAGE),
    "no-fluids": (_STOP, TRIAGE),
    "black-stools": (_STOP, TRIAGE),
    "severe-pain": (_STOP, TRIAGE),
    "jaundice": (_STOP, TRIAGE),
    "chest-pain": (_STOP, TRIAGE),
    "rectal-bleeding": (_FIRST, CG61),
    "abdominal-mass": (_FIRST, CG61),
    "anaemia": (_FIRST, CG61),
    "bowel-inflammation": (_FIRST, CG61),
    "bowel-cancer-family": (_FIRST, CG61),
    "unplanned-weight-loss": (_FIRST, CG61),
    "night-symptoms": (_FIRST, ALARM),
    "coeliac-question": (_FIRST, "NICE NG20, Coeliac disease (2015), 1.1.3"),
    "eosinophilic-oesophagitis": (_FIRST, "Dhar et al., BSG and BSPGHAN guideline, Gut 2022;71:1459"),
    "birth-weight-loss": (_FIRST, GROWTH),
    "anaphylaxis": (_FIRST, ANAPHYLAXIS),
    "immediate-reaction": (_FIRST, BSACI),
    "delayed-severe-reaction": (
        _FIRST,
        "Nowak-Węgrzyn et al., J Allergy Clin Immunol 2017;139; NICE QS118 (2016)",
    ),
    "asthma": (_TELL, "Leech et al., BSACI egg allergy guideline, Clin Exp Allergy 2021"),
    "eating-disorder-now": (_STOP, "Mari et al., University College London Hospitals; " + SCOFF),
    "eating-disorder-past": (_FIRST, "Mari et al., University College London Hospitals; " + SCOFF),
    "eating-worry": (_FIRST, "Mari et al., University College London Hospitals; " + SCOFF),
    "few-foods": (_FIRST, "ARFID review, W Va Med J 2021"),
    "pregnant": (_STOP, PREGNANCY),
    "breastfeeding": (_STOP, PREGNANCY),
    "glucose-lowering": (_FIRST, DIABETES),
    "sglt2": (_FIRST, DIABETES),
    "warfarin": (_TELL, "NIH Office of Dietary Supplements, Vitamin K; Johnson, Nutr Rev 2005;63:91"),
    "steroids": (_TELL, STEROID),
    "thyroxine": (_TELL, "Product label of levothyroxine; common practice"),
    "new-medicine": (_TELL, "Common practice: a new medicine makes a reaction impossible to read, no source"),
    "kidney-disease": (_FIRST, "KDIGO guideline for chronic kidney disease, 2024"),
    "gut-surgery": (_FIRST, "Mechanick et al., AACE/TOS/ASMBS guideline, 2013"),
    "weak-immunity": (_TELL, "CDC, advice on raw milk and fermented dairy (2016)"),
}
"""Rules that one yes sets off."""

COMPUTED = {
    "infant": CHILDREN,
    "under-18": CHILDREN,
    "over-75": CG32,
    "bowel-habit-change": f"{CG61}; {ALARM}",
    "urgent-bowel-check": "NICE NG12, Suspected cancer (2015); now with a stool test first",
    "weight-loss": "Gaddey & Holder, Am Fam Physician 2014;89:718; BMJ Best Practice, unintentional weight loss",
    "underweight": CG32,
    "malnutrition-risk": "BAPEN, Malnutrition Universal Screening Tool (2003)",
    "refeeding-risk": CG32,
    "faltering-growth": GROWTH,
    "eating-screen": SCOFF,
}
"""Rules that weigh several answers, a figure or an age, with their sources."""
SOURCE = {rule: source for rule, (_strength, source) in ON_YES.items()} | COMPUTED
RULES = tuple(SOURCE)


def screen(person: Person, answers: Answers, on: date) -> tuple[Caution, ...]:
    """Every caution someone's age and answers raise on a date, the strongest first."""
    found = [
        *_by_yes(answers),
        *_by_age(person, on),
        *_by_bowel(person, answers, on),
        *_by_weight(person, answers, on),
        *_by_growth(answers),
        *_by_eating(answers),
    ]
    return tuple(sorted(found, key=lambda caution: -caution.strength.rank))


def strongest(cautions: Iterable[Caution]) -> Strength | None:
    """The strongest strength among the cautions, None without any."""
    return max((caution.strength for caution in cautions), key=lambda strength: strength.rank, default=None)


def _by_yes(answers: Answers) -> Iterable[Caution]:
    for rule, (strength, _source) in ON_YES.items():
        if answers.get(rule) is True:
            yield Caution(rule, strength)


def _by_age(person: Person, on: date) -> Iterable[Caution]:
    if measures.age_months(person.born, on) < 12:
        yield Caution("infant", _STOP)
        return
    years = measures.age_years(person.born, on)
    if years < measures.ADULT_YEARS:
        yield Caution("under-18", _FIRST)
    elif years >= 75:
        yield Caution("over-75", _FIRST)


def _by_bowel(person: Person, answers: Answers, on: date) -> Iterable[Caution]:
    years = measures.age_years(person.born, on)
    change = answers.get("bowel-habit-change") is True
    if change:
        yield Caution("bowel-habit-change", _FIRST if years > 50 else _TELL)
    loss = _loss(answers)
    lost = answers.get("unplanned-weight-loss") is True or (loss is not None and loss > 0)
    urgent = (
        (years >= 40 and lost and answers.get("belly-pain") is True)
        or (years >= 50 and answers.get("rectal-bleeding") is True)
        or (years >= 60 and (change or answers.get("anaemia") is True))
    )
    if urgent:
        yield Caution("urgent-bowel-check", _FIRST)


def _by_weight(person: Person, answers: Answers, on: date) -> Iterable[Caution]:
    """Adult figures only: a child's body mass index means something else, and children go to a clinician anyway."""
    loss = _loss(answers)
    if loss is not None and loss >= 5:
        yield Caution("weight-loss", _FIRST, {"percent": _shown(loss)})
    adult = measures.age_years(person.born, on) >= measures.ADULT_YEARS
    body_mass = _bmi(answers) if adult else None
    facts = {"bmi": _shown(body_mass)} if body_mass is not None else {}
    if measures.refeeding_risk_is_high(
        bmi=body_mass,
        loss_percent=loss,
        little_intake_days=_whole(answers, "little-intake-days"),
        low_salts=answers.get("low-salts") is True,
        alcohol_or_medicines=any(
            answers.get(key) is True for key in ("refeeding-medicines", "glucose-lowering")
        ),
    ):
        yield Caution("refeeding-risk", _STOP, facts)
    if body_mass is not None and body_mass < measures.UNDERWEIGHT_BMI:
        yield Caution("underweight", _FIRST, facts)
    if adult:
        yield from _by_malnutrition_screen(body_mass, loss, answers)


def _by_malnutrition_screen(
    body_mass: Decimal | None, loss: Decimal | None, answers: Answers
) -> Iterable[Caution]:
    score = measures.must_score(body_mass, loss, acutely_ill=answers.get("acutely-ill") is True)
    risk = measures.must_risk(score)
    if risk is not measures.Risk.LOW:
        strength = _FIRST if risk is measures.Risk.HIGH else _TELL
        yield Caution("malnutrition-risk", strength, {"score": score})


def _by_growth(answers: Answers) -> Iterable[Caution]:
    figures = {
        "birth_centile": answers.get("birth-centile"),
        "spaces_fallen": answers.get("centile-spaces-fallen"),
        "current_centile": answers.get("current-centile"),
    }
    if measures.growth_falters(**figures):
        yield Caution("faltering-growth", _FIRST)


def _by_eating(answers: Answers) -> Iterable[Caution]:
    total = _whole(answers, "scoff-total")
    if total is not None and measures.eating_screen_is_positive(total):
        yield Caution("eating-screen", _FIRST, {"total": total})


def _bmi(answers: Answers) -> Decimal | None:
    height, weight = answers.get("height-cm"), answers.get("weight-kg")
    return None if height is None or weight is None else measures.bmi(weight, height)


def _loss(answers: Answers) -> Decimal | None:
    before, now = answers.get("weight-before-kg"), answers.get("weight-kg")
    return None if before is None or now is None else measures.loss_percent(before, now)


def _whole(answers: Answers, key: str) -> int | None:
    number = answers.get(key)
    return None if number is None else int(number)


def _shown(number: Decimal) -> str:
    return f"{number:.1f}"
