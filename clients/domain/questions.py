"""What a screening asks, by key. The words stand in ``clients.wording.screening``; here is what kind of answer fits.

A question that does not apply to someone's age or sex is not asked. Every answer may be left out: unknown is not no.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from clients.domain.measures import age_months

Answer = bool | Decimal
Answers = Mapping[str, Answer]


class Group(StrEnum):
    """What questions are asked together, in the order they are asked."""

    NOW = "now"
    BOWEL = "bowel"
    BODY = "body"
    ALLERGY = "allergy"
    EATING = "eating"
    LIFE = "life"
    MEDICINES = "medicines"
    CONDITIONS = "conditions"


class Kind(StrEnum):
    """The two kinds of answers."""

    YES_NO = "yes-no"
    NUMBER = "number"


@dataclass(frozen=True, slots=True)
class Question:
    """One question. ``least`` and ``most`` bound a number; ages are completed months, ``until_months`` excluded."""

    key: str
    group: Group
    kind: Kind = Kind.YES_NO
    least: Decimal = Decimal(0)
    most: Decimal = Decimal(0)
    decimals: int = 0
    from_months: int = 0
    until_months: int | None = None
    not_men: bool = False


@dataclass(frozen=True, slots=True)
class Person:
    """What a screening needs to know beside the answers."""

    born: date
    sex: str = "unstated"


def _yes_no(group: Group, *keys: str) -> tuple[Question, ...]:
    return tuple(Question(key, group) for key in keys)


def _number(group: Group, key: str, least: str, most: str, *, decimals: int = 0, **ages: int) -> Question:
    return Question(key, group, Kind.NUMBER, Decimal(least), Decimal(most), decimals, **ages)


FIVE_YEARS = 60
TEN_YEARS = 120
ADULT = 216

QUESTIONS = (
    *_yes_no(
        Group.NOW,
        "bloody-diarrhoea",
        "feverish-diarrhoea",
        "lasting-diarrhoea",
        "no-fluids",
        "black-stools",
        "severe-pain",
        "jaundice",
        "chest-pain",
    ),
    *_yes_no(
        Group.BOWEL,
        "rectal-bleeding",
        "bowel-habit-change",
        "belly-pain",
        "abdominal-mass",
        "night-symptoms",
        "anaemia",
        "bowel-inflammation",
        "bowel-cancer-family",
        "coeliac-question",
        "eosinophilic-oesophagitis",
    ),
    _number(Group.BODY, "height-cm", "30", "250", decimals=1),
    _number(Group.BODY, "weight-kg", "1", "400", decimals=1),
    _number(Group.BODY, "weight-before-kg", "1", "400", decimals=1),
    _number(Group.BODY, "little-intake-days", "0", "90"),
    Question("unplanned-weight-loss", Group.BODY),
    Question("acutely-ill", Group.BODY),
    Question("low-salts", Group.BODY),
    _number(Group.BODY, "birth-centile", "0", "100", decimals=1, until_months=FIVE_YEARS),
    _number(Group.BODY, "centile-spaces-fallen", "0", "8", decimals=1, until_months=FIVE_YEARS),
    _number(Group.BODY, "current-centile", "0", "100", decimals=1, until_months=FIVE_YEARS),
    Question("birth-weight-loss", Group.BODY, until_months=12),
    *_yes_no(Group.ALLERGY, "anaphylaxis", "immediate-reaction", "delayed-severe-reaction", "asthma"),
    *_yes_no(Group.EATING, "eating-disorder-now", "eating-disorder-past", "eating-worry", "few-foods"),
    _number(Group.EATING, "scoff-total", "0", "5"),
    Question("pregnant", Group.LIFE, from_months=TEN_YEARS, not_men=True),
    Question("breastfeeding", Group.LIFE, from_months=TEN_YEARS, not_men=True),
    *_yes_no(
        Group.MEDICINES,
        "glucose-lowering",
        "sglt2",
        "warfarin",
        "steroids",
        "thyroxine",
        "refeeding-medicines",
        "new-medicine",
    ),
    *_yes_no(Group.CONDITIONS, "kidney-disease", "gut-surgery", "weak-immunity"),
)
BY_KEY = {question.key: question for question in QUESTIONS}


def asked_of(person: Person, on: date) -> tuple[Question, ...]:
    """The questions that apply to someone on a date, in the order they are asked."""
    months = age_months(person.born, on)
    return tuple(
        question
        for question in QUESTIONS
        if question.from_months <= months
        and (question.until_months is None or months < question.until_months)
        and not (question.not_men and person.sex == "male")
    )


def answers_from_record(record: Mapping[str, object]) -> dict[str, Answer]:
    """Answers as they are stored. Raises KeyError for an unknown key, ValueError for an answer that does not fit."""
    return {key: _answer(BY_KEY[key], value) for key, value in record.items()}


def answers_record(answers: Answers) -> dict[str, object]:
    """Answers in the form they are stored: true or false, and numbers as text so that no digit is lost."""
    return {key: answer if isinstance(answer, bool) else str(answer) for key, answer in answers.items()}


def _answer(question: Question, value: object) -> Answer:
    if question.kind is Kind.YES_NO:
        if not isinstance(value, bool):
            raise ValueError(f"{question.key} is answered by yes or no")
        return value
    if isinstance(value, bool):
        raise ValueError(f"{question.key} is answered by a number")
    try:
        number = Decimal(str(value))
    except ArithmeticError as error:
        raise ValueError(f"{question.key} is answered by a number") from error
    if not (number.is_finite() and question.least <= number <= question.most):
        raise ValueError(f"{question.key} is a number from {question.least} to {question.most}")
    return number
