"""Household files, ``ladlework/household/1``: read whole, every problem named with its line and the way out."""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from clients.domain.people import (
    JAR_SIZES,
    MOST_APPETITE,
    MOST_AT_HOME_MIN,
    MOST_BURNERS,
    MOST_EATERS,
    MOST_ELEVATION_M,
    MOST_POTS,
    WEEKDAYS,
    KitchenFacts,
    NewClient,
    NewConsent,
    NewEater,
    NewEnrolment,
    NewHousehold,
    WeeklyMeal,
)
from clients.domain.presence import nobody_at_home
from clients.domain.questions import BY_KEY, Answer, Kind, Person, Question, asked_of
from clients.domain.wants import wants_in_order, wants_record
from coaching.domain.calendar import first_zone
from coaching.domain.errors import Problem
from plans.domain.brief import WANTS
from plans.domain.filing.fields import Field, key, listed, number, record, records, text, truth, whole, word
from plans.domain.filing.findings import Findings
from plans.domain.filing.opening import opened, schema_is
from plans.domain.filing.tree import Fields, Items, Node, Place, Text
from plans.domain.vocabulary import FAMILIES, LEANINGS, Slot

SCHEMA = "ladlework/household/1"
SEXES = ("female", "male", "unstated")
_EMAIL = re.compile(r"[^@\s]+@[^@\s]+\.[^@\s]+")


@dataclass(frozen=True, slots=True)
class KnownProtocol:
    """The published version an eater would be put on, by its id, and the keys of its stages in order."""

    version: str
    stages: tuple[str, ...]


def _text_that(check: Any, what: str, fix: str, most: int) -> Field:
    """Text that passes a check, or a problem saying it is not ``what``."""

    def read(node: Node, where: Place, findings: Findings) -> Any:
        typed = text(most).read(node, where, findings)
        if typed is None:
            return None
        found = check(typed)
        if found is None:
            findings.add(where, f"“{typed[:80]}” is not {what}.", fix, line=node.line)
        return found

    return Field(read, hint=fix)


def _date_of(typed: str) -> date | None:
    try:
        return date.fromisoformat(typed)
    except ValueError:
        return None


def _zone_of(typed: str) -> str | None:
    return typed if typed == "UTC" or first_zone(typed) == typed else None


def _conditions() -> Field:
    """Screening answers: a list of the keys answered yes, or keys with an answer each. What is not named was no."""
    hint = "Write the keys answered yes as a list, or each key with its answer."

    def read(node: Node, where: Place, findings: Findings) -> dict[str, Answer] | None:
        if isinstance(node, Fields):
            pairs = [(name, held) for name, held in node.pairs]
        else:
            parts = (node,) if isinstance(node, Text) else node.items
            pairs = [(part, Text(part.line, "yes")) for part in parts]
        found = [_condition(name, held, where, findings) for name, held in pairs]
        return None if None in found else dict(found)

    return Field(read, hint=hint)


def _condition(name: Node, held: Node, where: Place, findings: Findings) -> tuple[str, Answer] | None:
    typed = key().read(name, where, findings)
    if typed is None:
        return None
    question = BY_KEY.get(typed)
    if question is None:
        fix = findings.did_you_mean(typed, BY_KEY, "Take it out.")
        findings.add(where, f"“{typed[:80]}” is not a screening question.", fix, line=name.line)
        return None
    answer = _answer_field(question).read(held, where / typed, findings)
    return None if answer is None else (typed, answer)


def _answer_field(question: Question) -> Field:
    return truth() if question.kind is Kind.YES_NO else number(question.least, question.most)


_EMAIL_FIELD = _text_that(
    lambda typed: typed if _EMAIL.fullmatch(typed) else None,
    "an e-mail address",
    "Write it as name@example.org.",
    254,
)
_DATE = _text_that(_date_of, "a date", "Write year, month and day, such as 2026-12-07.", 10)
_ZONE = _text_that(_zone_of, "a time zone", "Write its IANA name, such as Europe/Dublin.", 64)
_CLIENT = record(
    {
        "name": text(120).needed,
        "email": _EMAIL_FIELD.needed,
        "phone": text(40),
        "language": text(12),
        "time_zone": _ZONE,
    }
)
_KITCHEN = record(
    {
        "pots_l": listed(number(0, 100, above=True), most=MOST_POTS),
        "jars": whole(0, 500),
        "hands_on_min": record({day: whole(0, 600) for day in WEEKDAYS}),
        "busy": listed(word(WEEKDAYS), once=True),
        "freezer": truth(),
        "burners": whole(1, MOST_BURNERS),
        "jar_sizes": record({size: whole(0, 500) for size in JAR_SIZES}),
        "shallow_l": number(0, 100),
        "iced_water": truth(),
        "elevation_m": number(0, MOST_ELEVATION_M),
        "at_home_min": record({day: whole(0, MOST_AT_HOME_MIN) for day in WEEKDAYS}),
        "out": listed(word(WEEKDAYS), once=True),
    }
)
_EATER = record(
    {
        "name": text(80).needed,
        "born": _DATE.needed,
        "sex": word(SEXES),
        "appetite": number(Decimal("0.1"), MOST_APPETITE),
        "leaning": word(LEANINGS),
        "dislikes": listed(key(), once=True),
        "allergies": listed(word(FAMILIES), once=True),
        "excluded": listed(key(), once=True),
        "away": record({day: listed(word(tuple(Slot)), once=True) for day in WEEKDAYS}),
        "conditions": _conditions(),
        "protocol": key(),
        "stage": key(),
        "start": _DATE,
    }
)
_HOUSEHOLD = record(
    {
        "name": text(120).needed,
        "kitchen": _KITCHEN,
        "eaters": records("eater", _EATER, least=1),
        "wants": listed(word(WANTS), once=True),
        "consent": record({"scope": truth().needed, "on": _DATE.needed}).needed,
    }
)
_FILE = record({"schema": text(), "client": _CLIENT.needed, "household": _HOUSEHOLD.needed})
_HOME = Place(("household",))


def read_household(
    content: str,
    filename: str,
    *,
    foods: Collection[str],
    protocols: Mapping[str, KnownProtocol],
    languages: Collection[str],
    agreement: str,
    today: date,
) -> tuple[NewHousehold | None, tuple[Problem, ...]]:
    """The household of a file and all its problems; no household when there is one.

    ``foods`` are the keys of the practice's book, ``protocols`` its published ones by key; ``agreement`` is the text
    the client agreed to. A household that began elsewhere may have day one in the past.
    """
    findings = Findings()
    tree = opened(content, filename, findings)
    if not isinstance(tree, Fields):
        if tree is not None:
            findings.add(Place(), "A household file is written in YAML.", f"Begin it with schema: {SCHEMA}.")
        return None, findings.problems()
    schema = _child(tree, "schema")
    schema_is(schema if isinstance(schema, Text) else None, SCHEMA, findings)
    values = _FILE.read(tree, Place(), findings)
    home = values.get("household", {})
    rows = home.get("eaters") or []
    _check_client(values.get("client", {}), languages, findings)
    _check_consent(home.get("consent", {}), today, findings)
    _check_jars(home.get("kitchen", {}), findings)
    if len(rows) > MOST_EATERS:
        findings.add(_HOME / "eaters", f"There are {len(rows)} eaters.", f"Keep to {MOST_EATERS}.")
    for at, row in enumerate(rows, start=1):
        _check_eater(row, _HOME / f"eater {at}", foods, protocols, today, findings)
    _check_screened(tree, rows, findings)
    if nobody_at_home(_away(row) for row in rows):
        fix = "Leave at least one meal at home to somebody."
        findings.add(_HOME / "eaters", "Everybody eats every meal elsewhere.", fix)
    problems = findings.problems()
    if problems:
        return None, problems
    return _household(values, protocols, agreement, today), ()


def _check_jars(kitchen: Mapping[str, Any], findings: Findings) -> None:
    sized, jars = sum(kitchen.get("jar_sizes", {}).values()), kitchen.get("jars")
    if jars is not None and sized > jars:
        findings.add(
            _HOME / "kitchen" / "jars",
            f"There are {jars} jars, and those by size add up to {sized}.",
            f"Write {sized} or more, or leave it out.",
        )


def _check_client(client: Mapping[str, Any], languages: Collection[str], findings: Findings) -> None:
    language = client.get("language")
    if language is not None and language not in languages:
        findings.add(
            Place(("client", "language")),
            f"“{language}” is not spoken here.",
            f"Write one of: {', '.join(languages)}.",
        )


def _check_consent(consent: Mapping[str, Any], today: date, findings: Findings) -> None:
    where = _HOME / "consent"
    if consent.get("scope") is False:
        findings.add(where / "scope", "The client has not agreed.", "Bring the household in once they have.")
    if consent.get("on") and consent["on"] > today:
        findings.add(where / "on", "This day is still to come.", "Write the day the client agreed.")


def _check_eater(
    row: Mapping[str, Any],
    where: Place,
    foods: Collection[str],
    protocols: Mapping[str, KnownProtocol],
    today: date,
    findings: Findings,
) -> None:
    if row.get("born") and row["born"] > today:
        findings.add(where / "born", "This day is still to come.", "Check the year.")
    for name in ("dislikes", "excluded"):
        for food in row.get(name, ()):
            if food not in foods:
                fix = findings.did_you_mean(food, foods, "Bring the food in first, or take it out.")
                findings.add(where / name, f"“{food}” is not a food of the book.", fix)
    protocol = row.get("protocol")
    if protocol is None:
        for name in ("stage", "start"):
            if name in row:
                findings.add(
                    where / name, "There is no protocol for it.", f"Add the protocol, or take {name} out."
                )
    elif protocol not in protocols:
        fix = findings.did_you_mean(protocol, protocols, "Publish the protocol first.")
        findings.add(where / "protocol", f"“{protocol}” is not a published protocol.", fix)
    else:
        _check_place(row, where, protocols[protocol], findings)


def _check_place(row: Mapping[str, Any], where: Place, protocol: KnownProtocol, findings: Findings) -> None:
    stage = row.get("stage")
    if stage is not None and stage not in protocol.stages:
        fix = findings.did_you_mean(stage, protocol.stages, f"Write one of: {', '.join(protocol.stages)}.")
        findings.add(where / "stage", f"“{stage}” is not a stage of the protocol.", fix)
    if "start" not in row and not findings.was_given(where / "start"):
        findings.add(where / "start", "Day one is missing.", "Write the first day in the stage.")


def _check_screened(tree: Fields, rows: list[Mapping[str, Any]], findings: Findings) -> None:
    """Someone on a protocol was screened: the file says so by naming ``conditions``, even when there are none."""
    home = _child(tree, "household")
    eaters = _child(home, "eaters") if isinstance(home, Fields) else None
    nodes = eaters.items if isinstance(eaters, Items) else ()
    for at, (node, row) in enumerate(zip(nodes, rows, strict=False), start=1):
        if "protocol" in row and _child(node, "conditions") is None:
            findings.add(
                _HOME / f"eater {at}" / "conditions",
                "The screening answers are missing.",
                "Write conditions: [] if every question was answered no.",
                line=node.line,
            )


def _child(node: Node, name: str) -> Node | None:
    if not isinstance(node, Fields):
        return None
    return next((held for typed, held in node.pairs if typed.text.strip() == name), None)


def _household(
    values: Mapping[str, Any], protocols: Mapping[str, KnownProtocol], agreement: str, today: date
) -> NewHousehold:
    client, home = values["client"], values["household"]
    eaters = tuple(_eater(row, protocols, client["name"], today) for row in home["eaters"])
    return NewHousehold(
        name=home["name"],
        client=NewClient(**client),
        kitchen=_kitchen(home.get("kitchen", {})),
        eaters=_with_one_client(eaters),
        consent=NewConsent(agreement, home["consent"]["on"]),
        wants=tuple(wants_record(wants_in_order(home.get("wants", ())))),
    )


def _kitchen(typed: Mapping[str, Any]) -> KitchenFacts:
    """The kitchen with the largest pot first; jars nobody counted are those given by size."""
    kitchen = KitchenFacts.from_record(typed)
    return replace(
        kitchen,
        pots_l=tuple(sorted(kitchen.pots_l, reverse=True)),
        jars=typed.get("jars", sum(kitchen.jar_sizes.values())),
    )


def _eater(
    row: Mapping[str, Any], protocols: Mapping[str, KnownProtocol], client: str, today: date
) -> NewEater:
    person = Person(row["born"], row.get("sex", "unstated"))
    enrolment = None
    if "protocol" in row:
        known = protocols[row["protocol"]]
        enrolment = NewEnrolment(known.version, row.get("stage", known.stages[0]), row["start"])
    return NewEater(
        name=row["name"],
        born=row["born"],
        sex=row.get("sex", "unstated"),
        appetite=row.get("appetite", Decimal(1)),
        leaning=row.get("leaning", "none"),
        dislikes=tuple(row.get("dislikes", ())),
        allergies=tuple(row.get("allergies", ())),
        excluded=tuple(row.get("excluded", ())),
        away=_away(row),
        answers=_answers(row.get("conditions", {}), person, today)
        if enrolment
        else row.get("conditions", {}),
        is_client=row["name"].casefold() in (client.casefold(), client.split()[0].casefold()),
        enrolment=enrolment,
    )


def _away(row: Mapping[str, Any]) -> frozenset[WeeklyMeal]:
    return frozenset((day, Slot(slot)) for day, slots in row.get("away", {}).items() for slot in slots)


def _answers(conditions: Mapping[str, Answer], person: Person, today: date) -> dict[str, Answer]:
    """The answers a file names, and no to every other question that was asked."""
    asked = (question.key for question in asked_of(person, today) if question.kind is Kind.YES_NO)
    return dict.fromkeys(asked, False) | dict(conditions)


def _with_one_client(eaters: tuple[NewEater, ...]) -> tuple[NewEater, ...]:
    """Of several eaters called like the client, the first is the client."""
    first = next((at for at, eater in enumerate(eaters) if eater.is_client), None)
    return tuple(replace(eater, is_client=at == first) for at, eater in enumerate(eaters))
