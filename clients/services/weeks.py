"""Weeks: asking for one, planning it, and reading back what was planned."""

import logging
from collections.abc import Mapping
from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from clients.domain.revising import away_of
from clients.models import Household
from clients.models import Week as WeekRow
from clients.selectors.cautions import packet_blocks
from clients.selectors.people import local_date
from clients.selectors.revising import changes_of, locks_of
from clients.services.briefs import brief_for
from clients.services.revised_briefs import revised_brief
from clients.wording.blocks import block_words
from clients.wording.weeks import GIVEN_UP
from coaching.domain.errors import Problem, Refused
from coaching.outbox.services import owe
from coaching.practice.models import Membership
from coaching.practice.services import audit
from plans.domain.brief import Brief, Meal, NoWeek, Reason, Week
from plans.domain.brief_json import (
    brief_from_record,
    brief_record,
    no_week_from_record,
    no_week_record,
    week_from_record,
    week_record,
)
from plans.domain.fit import fit

log = logging.getLogger(__name__)
State = WeekRow.State


def block_problems(household: Household) -> list[Problem]:
    """What keeps a household from weeks and packets, as problems; none when nothing does."""
    number = household.practice.emergency_number
    problems = [Problem(0, "household", block_words(block, number)) for block in packet_blocks(household)]
    if household.archived_at is not None:
        problems.append(
            Problem(0, "household", _("The household is put away."), _("Take it out again first."))
        )
    if not household.eaters.exists():
        problems.append(Problem(0, "household", _("Nobody eats here yet."), _("Add an eater first.")))
    return problems


@transaction.atomic
def week_ask(*, household: Household, start: date, by: Membership | None, at: datetime) -> WeekRow:
    """Ask for the week from ``start``; one that is already being planned is returned instead.

    Raises Refused while something stands in the way. Planning is owed work, done by a worker.
    """
    problems = block_problems(household)
    if problems:
        raise Refused(*problems)
    asked = WeekRow.objects.filter(household=household, start=start, state=State.ASKED, basis__isnull=True)
    waiting = asked.first()
    if waiting is not None:
        return waiting
    week = WeekRow.objects.create(household=household, start=start, asked_at=at)
    owe_planning(week, at=at)
    audit(
        practice=household.practice,
        user=by.user if by else None,
        action="week asked for",
        subject=str(week.pk),
        at=at,
    )
    return week


def owe_planning(week: WeekRow, *, at: datetime) -> None:
    """Owe the planning of a row to the worker, once."""
    owe(kind="plan-week", key=f"plan-week:{week.pk}", payload={"week": str(week.pk)}, due_at=at)


def week_plan(*, week_id: UUID, at: datetime) -> str:
    """Plan a week that was asked for and return its state. A week that is planned already is left alone.

    The rules are those that hold now, not those of the moment it was asked for. The same brief gives the same plan.
    A revision is offered; only what was asked for anew is the standing week at once.
    """
    row = WeekRow.objects.select_related("household__practice", "basis__household__practice").get(pk=week_id)
    if row.state != State.ASKED:
        return row.state
    brief = _brief_of(row, at)
    answer = _planned(brief)
    found = State.PLANNED if row.basis is None else State.OFFERED
    state, plan = (
        (State.NONE, no_week_record(answer)) if isinstance(answer, NoWeek) else (found, week_record(answer))
    )
    kept = WeekRow.objects.filter(pk=week_id, state=State.ASKED).update(
        state=state, brief=brief_record(brief), plan=plan, planned_at=at
    )
    log.info("week %s: %s", week_id, state if kept else "planned twice, the first plan stands")
    return WeekRow.objects.values_list("state", flat=True).get(pk=week_id)


def _brief_of(row: WeekRow, at: datetime) -> Brief:
    if row.basis is not None:
        return revised_brief(row.basis, changes=changes_of(row.changes), locks=locks_of(row), at=at)
    return brief_for(row.household, row.start, today=local_date(row.household, at))


def week_find(*, household: Household, start: date, at: datetime) -> tuple[Brief, Week | NoWeek]:
    """Plan a week here and now without keeping it: the brief that was asked, and its answer. Raises Refused."""
    problems = block_problems(household)
    if problems:
        raise Refused(*problems)
    brief = brief_for(household, start, today=local_date(household, at))
    return brief, _planned(brief)


@transaction.atomic
def week_keep(*, household: Household, brief: Brief, week: Week, at: datetime) -> WeekRow:
    """Keep a week that ``week_find`` found."""
    row = WeekRow.objects.create(
        household=household,
        start=brief.start,
        state=State.PLANNED,
        brief=brief_record(brief),
        plan=week_record(week),
        asked_at=at,
        planned_at=at,
    )
    audit(practice=household.practice, user=None, action="week planned", subject=str(row.pk), at=at)
    return row


def _planned(brief: Brief) -> Week | NoWeek:
    # Loaded here so that processes that only show pages never load the solver.
    from plans.domain.planner.solve import plan_week

    return plan_week(brief)


def week_given_up(*, week_id: UUID, at: datetime) -> None:
    """Say of a week whose planning failed again and again that there is none."""
    WeekRow.objects.filter(pk=week_id, state=State.ASKED).update(
        state=State.NONE,
        plan=no_week_record(NoWeek((Reason(GIVEN_UP, {}),), ())),
        planned_at=at,
    )


def standing_week(*, household: Household, start: date, at: datetime) -> WeekRow | None:
    """The household's planned week from ``start``, if it still suits everyone."""
    held = WeekRow.objects.filter(household=household, start=start, state=State.PLANNED).first()
    if held is None:
        return None
    now = brief_for(household, start, today=local_date(household, at))
    out = away_of(changes_of(held.changes), (eater.key for eater in now.eaters))
    return held if _still_suits(week_from_record(held.plan), now, out) else None


def planned_week(*, household: Household, start: date, at: datetime) -> WeekRow:
    """The household's planned week from ``start`` that still suits everyone, else a new one, planned here and now.

    Raises Refused while something stands in the way. The week may be one of which none fits.
    """
    held = standing_week(household=household, start=start, at=at)
    if held is not None:
        return held
    asked = week_ask(household=household, start=start, by=None, at=at)
    week_plan(week_id=asked.pk, at=at)
    return WeekRow.objects.get(pk=asked.pk)


def _still_suits(week: Week, brief: Brief, out: Mapping[str, frozenset[Meal]]) -> bool:
    """Whether everyone may still eat each of their plates as it was planned, and has one wherever they eat at home.

    Nor does anyone need a plate at the meals of this week that they are ``out`` for. A plate of someone who eats
    elsewhere by now is left over and no reason to plan anew. It still has to suit them, because the printed week names
    it as theirs.
    """
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    dishes = {cook.key: recipes.get(cook.recipe) for cook in week.cooks}
    eaters = {eater.key: eater for eater in brief.eaters}
    planned = {(plate.eater, ((plate.on - brief.start).days, plate.slot)) for plate in week.plates}
    at_home = {
        (eater.key, (day, slot))
        for eater in brief.eaters
        for day in range(brief.days)
        for slot in brief.slots
        if (day, slot) not in eater.away | out[eater.key]
    }
    if not at_home <= planned or None in dishes.values():
        return False
    if not {plate.eater for plate in week.plates} <= eaters.keys():
        return False
    for plate in week.plates:
        eater = eaters[plate.eater]
        suits = fit(
            dishes[plate.cook],
            eater.days[(plate.on - brief.start).days],
            brief.foods,
            appetite=eater.appetite,
            dislikes=eater.dislikes,
        )
        if not suits.ok or not set(suits.without) <= set(plate.without):
            return False
    return True


def week_values(row: WeekRow) -> tuple[Week, Brief]:
    """A planned week and the brief it answers."""
    return week_from_record(row.plan), brief_from_record(row.brief)


def no_week_of(row: WeekRow) -> NoWeek:
    """Why there is no week, for a row that says so."""
    return no_week_from_record(row.plan)
