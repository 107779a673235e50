"""The lead-in of households: what is asked of the plan, and ticking its tasks off.

Every page, sheet, mail and calendar that dates a task before day one asks here and gets the same plan.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from clients.domain.instructions import Instruction
from clients.domain.people import WEEKDAYS, KitchenFacts
from clients.models import Eater, Enrolment, Household, LeadInTick, Store
from clients.selectors.cautions import barred_eaters
from clients.selectors.instructions import instructions_of
from clients.services.briefs import eater_rules, open_enrolments, rulebooks, rules_on
from coaching.domain.errors import Problem, Refused
from coaching.domain.units import System
from coaching.practice.models import Membership
from coaching.practice.services import audit
from plans.domain.allowance import EaterRules, day_allowances
from plans.domain.book import Food
from plans.domain.brief import Stored
from plans.domain.lead_in.asking import Ask, Plan, Starter, Tick
from plans.domain.lead_in.plan import lead_in_plan
from plans.domain.lead_in.starters import closed_to_all, first_open, kept_out, starter
from plans.domain.rulebook import RuleBook
from plans.printables.lead_in_words import LeadInWords
from plans.selectors import foods_of_practices, protocol_of, recipes_of

TICKS_LAST = timedelta(days=180)
"""A tick older than this is of an earlier lead-in: longer than any task waits and is put off."""


def lead_in_of(household: Household, *, today: date, since: date | None = None) -> Plan | None:
    """The plan of one household as of ``today``, with dishes to use things up in; None when nobody's day one lies
    ahead, or none on or after ``since``."""
    ask = lead_in_asks([household], since=max(today, since or today), today=today).get(household.pk)
    if ask is None:
        return None
    if any(stored.food in ask.closed for stored in ask.stores):
        ask = replace(ask, recipes=tuple(recipes_of(household.practice)))
    return lead_in_plan(ask)


def words_of(household: Household, plan: Plan, foods: Mapping[str, Food], *, today: date) -> LeadInWords:
    """How the plan of a household is said, in the language that is active."""
    eaters = {key for task in plan.tasks for key in task.eaters}
    rows = household.eaters.order_by("position", "name", "pk").values_list("pk", "name")
    names = {str(pk): name for pk, name in rows if str(pk) in eaters}
    return LeadInWords(plan, foods, System(household.practice.units), names, today)


def lead_in_asks(households: Iterable[Household], *, since: date, today: date) -> dict[UUID, Ask]:
    """What to ask of the plan for those of these households that have a day one on or after ``since``.

    A fixed number of queries, however many households. Left out are eaters on hold and those whom a caution bars.
    """
    starting = list(
        Enrolment.objects.filter(
            state=Enrolment.State.ACTIVE, start_on__gte=since, eater__household__in=households
        ).values_list("eater_id", "eater__household_id")
    )
    if not starting:
        return {}
    homes = {home for _eater, home in starting}
    barred = barred_eaters(eater for eater, _home in starting)
    gathered = _Gathered(homes, {eater for eater, _home in starting} - barred, today)
    return {home: ask for home in homes if (ask := gathered.ask(home, today)) is not None}


class _Gathered:
    """The rows of several households, and the questions they make."""

    def __init__(self, homes: set[UUID], starting: set[UUID], today: date) -> None:
        eaters = list(
            Eater.objects.filter(household__in=homes)
            .select_related("household")
            .order_by("position", "name", "pk")
        )
        self.homes: dict[UUID, list[Eater]] = {home: [] for home in homes}
        for eater in eaters:
            self.homes[eater.household_id].append(eater)
        self.starting = starting
        self.enrolments = open_enrolments(eaters)
        self.instructions = instructions_of(eaters)
        self.rules = eater_rules(eaters, self.enrolments, today=today, instructions=self.instructions)
        self.foods = foods_of_practices({eater.household.practice_id for eater in eaters})
        self.everything = {pk: RuleBook.compile(None, foods.values()) for pk, foods in self.foods.items()}
        self.stores = _by_home(Store.objects.filter(household__in=homes, used_up_at__isnull=True))
        self.ticks = _by_home(LeadInTick.objects.filter(household__in=homes, on__gt=today - TICKS_LAST))

    def ask(self, home: UUID, today: date) -> Ask | None:
        """The question of one household; None when nobody in it starts."""
        eaters = self.homes[home]
        starters = tuple(self._starter(eater) for eater in eaters if eater.pk in self.starting)
        if not starters:
            return None
        household = eaters[0].household
        kitchen = KitchenFacts.from_record(household.kitchen)
        stores = self.stores.get(home, ())
        return Ask(
            today=today,
            starters=starters,
            foods=self.foods[household.practice_id],
            free_min=tuple(kitchen.hands_on_min.get(day, 0) for day in WEEKDAYS),
            freezer=kitchen.freezer,
            stores=tuple(Stored(one.food, one.amount_g, one.place, one.best_by) for one in stores),
            closed=self._closed(eaters, max(one.day_one for one in starters)) if stores else {},
            table_kept_out=frozenset(food for eater in eaters for food in self._kept_out(eater, today)),
            portions=sum((eater.appetite for eater in eaters), Decimal(0)) or Decimal(1),
            ticks={
                tick.task: Tick(tick.on, needed=tick.state == LeadInTick.State.DONE)
                for tick in self.ticks.get(home, ())
            },
        )

    def _foods(self, eater: Eater) -> Mapping[str, Food]:
        return self.foods[eater.household.practice_id]

    def _on(self, eater: Eater, on: date) -> EaterRules:
        """What decides for an eater on a day to come: the conditions of today are over by then."""
        said: tuple[Instruction, ...] = self.instructions[eater.pk]
        return replace(rules_on(self.rules[eater.pk], said, on), conditions=frozenset())

    def _kept_out(self, eater: Eater, on: date) -> Mapping[str, Any]:
        return kept_out(self.everything[eater.household.practice_id], self._on(eater, on), on)

    def _starter(self, eater: Eater) -> Starter:
        enrolment = self.enrolments[eater.pk]
        return starter(
            key=str(eater.pk),
            name=eater.name,
            day_one=enrolment.start_on,
            protocol=protocol_of(enrolment.version),
            stage=self._stage(eater),
            foods=self._foods(eater),
            out=self._kept_out(eater, enrolment.start_on),
        )

    def _stage(self, eater: Eater) -> str:
        """The stage an eater begins in."""
        stages = self.rules[eater.pk].stages
        return stages[-1][1] if stages else protocol_of(self.enrolments[eater.pk].version).stages[0].key

    def _closed(self, eaters: Iterable[Eater], on: date) -> dict[str, date | None]:
        """The foods nobody at the table may have on a day, each with the day it may open to the first of them."""
        eaters = list(eaters)
        followed = {eater.pk: self.enrolments[eater.pk] for eater in eaters if eater.pk in self.enrolments}
        foods = self._foods(eaters[0])
        books = rulebooks(followed.values(), foods)
        tables = [
            day_allowances(
                books[followed[eater.pk].version_id if eater.pk in followed else None],
                self._on(eater, on),
                on,
            )
            for eater in eaters
        ]
        closed = closed_to_all(tables)
        return {food: self._opens(foods[food], eaters) for food in closed if food in foods}

    def _opens(self, food: Food, eaters: Iterable[Eater]) -> date | None:
        days = [
            first_open(protocol_of(enrolment.version), food, enrolment.start_on, self._stage(eater))
            for eater in eaters
            if (enrolment := self.enrolments.get(eater.pk)) is not None
            and food.key not in self._kept_out(eater, enrolment.start_on)
        ]
        return min((on for on in days if on is not None), default=None)


def _by_home(rows: Iterable[Any]) -> dict[UUID, list[Any]]:
    found: dict[UUID, list[Any]] = {}
    for row in rows:
        found.setdefault(row.household_id, []).append(row)
    return found


@transaction.atomic
def lead_in_tick(
    *, household: Household, task: str, state: str, today: date, by: Membership, at: datetime
) -> LeadInTick:
    """Say of a task of the household's plan that it is done, or not needed. What was said last stands.

    Raises Refused for a task the plan does not have, and for a word that is no state.
    """
    Household.objects.select_for_update().get(pk=household.pk)
    if state not in LeadInTick.State.values:
        raise Refused(Problem(0, "state", _("It was not said what became of it."), _("Tick it again.")))
    plan = lead_in_of(household, today=today)
    known = {one.name for one in (*plan.tasks, *plan.ticked)} if plan else set()
    if task not in known:
        message = _("That task is not in the plan any more.")
        raise Refused(Problem(0, "task", message, _("Look at the list as it is now.")))
    tick, _new = LeadInTick.objects.update_or_create(
        household=household,
        task=task,
        defaults={"state": state, "on": today, "ticked_at": at, "ticked_by": by.user},
    )
    audit(
        practice=by.practice,
        user=by.user,
        action="lead-in task ticked",
        subject=str(household.pk),
        facts={"state": state},
        at=at,
    )
    return tick


@transaction.atomic
def lead_in_untick(*, household: Household, task: str) -> None:
    """Take back what was said of a task."""
    LeadInTick.objects.filter(household=household, task=task).delete()
