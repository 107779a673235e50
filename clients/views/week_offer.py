"""A revision beside the week it would change: what is different, in words first."""

from collections import defaultdict
from datetime import timedelta
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from clients.services.weeks import week_values
from clients.wording.revising import meal_words
from clients.wording.weeks import COST
from plans.domain.brief import Brief, Meal, Week
from plans.domain.week_changes import MealChange, PotChange, PotChangeKind, WeekChanges, differences
from plans.printables.words import listed, portions_words


def offer_words(row) -> "OfferWords":
    """What an offered week changes of the one it was made from."""
    week, brief = week_values(row)
    before, _asked = week_values(row.basis)
    return OfferWords(differences(before, week, brief), week, brief)


class OfferWords:
    """The differences of a revision, worded."""

    def __init__(self, changes: WeekChanges, week: Week, brief: Brief) -> None:
        self.changes, self.week = changes, week
        self.titles = {recipe.key: recipe.title for recipe in brief.recipes}
        self.names = {eater.key: eater.name for eater in brief.eaters}

    def meals(self) -> list[dict[str, str]]:
        """Each meal that changes: which, whose, what it was and what it becomes."""
        return [
            {
                "meal": meal_words(self.week.start, self._meal(change)),
                "who": self._who(change),
                "before": self._dish(change.before),
                "after": self._dish(change.after),
            }
            for change in self.changes.meals
        ]

    def was(self) -> dict[Meal, tuple[str, ...]]:
        """What stood at each changed meal, for its place on the board."""
        found: dict[Meal, list[str]] = defaultdict(list)
        for change in self.changes.meals:
            who, dish = self._who(change), self._dish(change.before)
            found[self._meal(change)].append(f"{who}: {dish}" if who else dish)
        return {meal: tuple(words) for meal, words in found.items()}

    def pots(self) -> list[str]:
        """Each pot that comes, goes or changes, as a sentence."""
        return [self._pot(change) for change in self.changes.pots]

    def notes(self) -> dict[str, str]:
        """What is new about a pot, by its key."""
        return {
            change.after.key: {
                PotChangeKind.ADDED: _("New"),
                PotChangeKind.MOVED: _("Moved to this day"),
                PotChangeKind.RESIZED: _("Other amount"),
            }[change.kind]
            for change in self.changes.pots
            if change.after is not None
        }

    def minutes(self) -> list[dict[str, Any]]:
        """Hands-on minutes of the days that take more or less work than before."""
        return [
            {"day": date_format(one.on, "l j F"), "before": one.before, "after": one.after}
            for one in self.changes.minutes
            if one.before != one.after
        ]

    def costs(self) -> list[dict[str, Any]]:
        """The parts of the plan's cost that one of the weeks has, before and after."""
        return [
            {"part": COST[one.part], "before": one.before, "after": one.after}
            for one in self.changes.costs
            if one.before or one.after
        ]

    def _meal(self, change: MealChange) -> Meal:
        return (change.on - self.week.start) // timedelta(days=1), change.slot

    def _who(self, change: MealChange) -> str:
        everyone = len(change.eaters) == len(self.names)
        return "" if everyone else listed([self.names.get(eater, eater) for eater in change.eaters])

    def _dish(self, recipe: str) -> str:
        return self.titles.get(recipe, recipe) if recipe else _("nothing, out")

    def _pot(self, change: PotChange) -> str:
        before, after = change.before, change.after
        words = {
            "dish": self._dish(change.recipe),
            "was": date_format(before.on, "l") if before else "",
            "now": date_format(after.on, "l") if after else "",
            "before": portions_words(before.portions) if before else "",
            "after": portions_words(after.portions) if after else "",
        }
        said = {
            PotChangeKind.ADDED: _("New: %(dish)s on %(now)s, %(after)s."),
            PotChangeKind.DROPPED: _("No longer cooked: %(dish)s of %(was)s."),
            PotChangeKind.MOVED: _("Moved: %(dish)s, from %(was)s to %(now)s."),
            PotChangeKind.RESIZED: _("Other amount: %(dish)s on %(now)s, %(after)s in place of %(before)s."),
        }[change.kind]
        return said % words
