"""What the planner is asked when a standing week is to be changed."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from clients.domain.revising import Change, away_of, revision_of
from clients.models import Week
from clients.selectors.people import local_date
from clients.selectors.revising import past_of
from clients.services.briefs import brief_for
from plans.domain.brief import Brief, Meal
from plans.domain.brief_json import brief_from_record, week_from_record


def revised_brief(basis: Week, *, changes: Iterable[Change], locks: Iterable[Meal], at: datetime) -> Brief:
    """The household as it is now, with the week it is to change and what is asked of it.

    Recipes and foods of the shown week that have left the book since are still known, so that a locked or eaten meal
    keeps its dish.
    """
    household = basis.household
    brief = brief_for(household, basis.start, today=local_date(household, at))
    shown, was = week_from_record(basis.plan), brief_from_record(basis.brief)
    known, cooked = {recipe.key for recipe in brief.recipes}, {cook.recipe for cook in shown.cooks}
    changes = tuple(changes)
    past = past_of(household, basis.start, at)
    away = away_of(changes, (eater.key for eater in brief.eaters))
    return replace(
        brief,
        eaters=tuple(replace(eater, away=eater.away | away[eater.key]) for eater in brief.eaters),
        foods={**was.foods, **brief.foods},
        recipes=(
            *brief.recipes,
            *(one for one in was.recipes if one.key in cooked and one.key not in known),
        ),
        revision=revision_of(
            changes,
            shown,
            past=replace(past, day=min(past.day, brief.days)),
            locks=locks,
        ),
    )
