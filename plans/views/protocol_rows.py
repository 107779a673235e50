"""The modifiers, challenges and lead-in tasks of a protocol as rows of a page."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from coaching.domain.units import System
from plans.domain.book import Food, LeadInTask, Modifier, Protocol
from plans.domain.challenges import schedule, watch_days
from plans.printables.words import amount_words

SOME_DAY = date(2001, 1, 1)
"""Where a calendar without dates is counted from; only distances show."""


def modifier_row(modifier: Modifier, foods: Mapping[str, Food]) -> dict[str, Any]:
    """When a modifier holds, for what, and what it asks."""
    named = foods[modifier.food].name if modifier.food in foods else modifier.food
    return {
        "when": modifier.when,
        "target": _("Everything") if modifier.all else modifier.group or named,
        "require": (modifier.require,) if modifier.require else (),
        "allowance": modifier.allowance,
        "note": modifier.note,
    }


def challenge_rows(held: Protocol, foods: Mapping[str, Food], system: System) -> list[dict[str, Any]]:
    """The challenges in their order, each with its days counted from the first dose of all."""
    spans = watch_days(schedule(held.challenges, SOME_DAY))
    return [
        {
            "challenge": challenge,
            "first": (spans[challenge.key][0] - SOME_DAY).days + 1,
            "last": (spans[challenge.key][1] - SOME_DAY).days + 1,
            "food": foods[challenge.food].name if challenge.food in foods else challenge.food,
            "forms": (challenge.form,),
            "stage": held.stage(challenge.stage).title,
            "doses": [amount_words(*dose, foods.get(challenge.food), system) for dose in challenge.doses],
        }
        for challenge in held.challenges
    ]


def titles_of(task: LeadInTask, tasks: Iterable[LeadInTask]) -> list[str]:
    """The titles of the tasks one comes after; a task that is gone shows its key."""
    titles = {one.key: one.title for one in tasks}
    return [titles.get(key, key) for key in task.after]
