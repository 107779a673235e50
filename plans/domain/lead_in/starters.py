"""What of an eater's rules the lead-in asks for: what they are kept out of, and when a food may open."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, timedelta

from plans.domain.allowance import EaterRules, day_allowances
from plans.domain.book import Food, Protocol
from plans.domain.brief import FoodAllowance, Reason
from plans.domain.lead_in.asking import Starter
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Allowance


def kept_out(everything: RuleBook, rules: EaterRules, on: date) -> dict[str, Reason]:
    """The foods an eater does not eat on a day whatever the stage, each with why: allergy, own choice, age, condition,
    a reaction or a clinician's word. ``everything`` is the book compiled for no protocol."""
    table = day_allowances(everything, replace(rules, stages=()), on)
    return {food: given.reasons[0] for food, given in table.items() if given.allowance is Allowance.NOT_YET}


def starter(
    *,
    key: str,
    name: str,
    day_one: date,
    protocol: Protocol,
    stage: str,
    foods: Mapping[str, Food],
    out: Mapping[str, Reason],
) -> Starter:
    """An eater on the way to day one in a stage. A food opens once the least days of the stages before its own are
    over. Raises KeyError for a stage the protocol lacks."""
    made = {food for task in protocol.lead_in for food in task.makes if food in foods}
    opens = {food: first_open(protocol, foods[food], day_one, stage) for food in made}
    return Starter(
        key=key,
        name=name,
        day_one=day_one,
        tasks=protocol.lead_in,
        kept_out=out,
        opens={food: on for food, on in opens.items() if on is not None},
    )


def first_open(protocol: Protocol, food: Food, day_one: date, stage: str) -> date | None:
    """The earliest day a food may open to one who begins in ``stage``; None if no row ever opens it.

    Its own rows go before its group's. Raises KeyError for a stage the protocol lacks.
    """
    rows = [rule for rule in protocol.rules if rule.food == food.key]
    rows = rows or [rule for rule in protocol.rules if rule.group and rule.group == food.group]
    opening = {rule.stage for rule in rows if rule.allowance is not Allowance.NOT_YET}
    begins, on = protocol.stage(stage).number, day_one
    for one in sorted(protocol.stages, key=lambda one: one.number):
        if one.key in opening:
            return on
        if one.number >= begins:
            on += timedelta(days=one.least_days)
    return None


def closed_to_all(tables: Iterable[Mapping[str, FoodAllowance]]) -> frozenset[str]:
    """The foods nobody may have in any form, from the allowances of everybody at the table."""
    barred = [
        {food for food, given in table.items() if given.allowance is Allowance.NOT_YET} for table in tables
    ]
    return frozenset(set.intersection(*barred)) if barred else frozenset()
