"""What a household's batch starts from: the clock of the house, who eats, and what stays out of the pot."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from clients.domain.measures import age_months
from clients.models import Household
from clients.models import Week as WeekRow
from clients.selectors.people import zone_of
from clients.selectors.protocols import food_names
from clients.services.briefs import eater_rules, open_enrolments
from clients.services.weeks import week_values
from clients.wording.families import FAMILY
from coaching.domain.calendar import wall_clock
from plans.domain.allowance import EaterRules
from plans.domain.batch.asking import Table
from plans.domain.batch.week_need import StockNeed, stock_needs
from plans.printables.cards import TODDLER_MONTHS

LOOSE_STOOLS = "loose-stools"
"""The condition of that name, as check-ins report it."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What one eater must not have, by name."""

    eater: str
    foods: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BatchTable:
    """Who a batch is for. ``portions`` are adult portions when everybody eats once."""

    zone: str
    today: date
    portions: Decimal
    table: Table
    left_out: tuple[LeftOut, ...]


def batch_table(household: Household, *, at: datetime) -> BatchTable:
    """A household's table as it stands at a moment, in a number of queries that does not grow with its eaters."""
    zone = zone_of(household)
    today = wall_clock(at, zone).date()
    eaters = list(household.eaters.order_by("position", "name", "pk"))
    rules = eater_rules(eaters, open_enrolments(eaters), today=today)
    names = {food.key: food.name for food in food_names(household.practice)}
    left_out = (LeftOut(eater.name, _left_out(rules[eater.pk], names)) for eater in eaters)
    return BatchTable(
        zone=zone,
        today=today,
        portions=sum((eater.appetite for eater in eaters), Decimal(0)),
        table=Table(
            loose_stools=any(LOOSE_STOOLS in held.conditions for held in rules.values()),
            small_child=any(age_months(eater.born, today) < TODDLER_MONTHS for eater in eaters),
        ),
        left_out=tuple(line for line in left_out if line.foods),
    )


def _left_out(rules: EaterRules, names: dict[str, str]) -> tuple[str, ...]:
    families = sorted(str(FAMILY.get(key, key)) for key in rules.allergies)
    foods = sorted(names.get(key, key) for key in rules.excluded | rules.forbidden)
    return (*families, *foods)


def stock_needs_of(week: WeekRow) -> dict[str, StockNeed]:
    """What a week takes from each of its pots of stock; none unless it is planned."""
    return stock_needs(*week_values(week)) if week.state == WeekRow.State.PLANNED else {}
