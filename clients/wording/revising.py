"""Changes of a week in words: what was asked, and why something cannot be asked for."""

from datetime import date, timedelta

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from clients.domain.revising import Change, Kind, Wrong, dish_at
from plans.domain.brief import Brief, Meal, Week
from plans.domain.vocabulary import Slot
from plans.printables.words import listed, short_names

_MEAL = {
    Slot.BREAKFAST: gettext_lazy("%(day)s breakfast"),
    Slot.MUG: gettext_lazy("%(day)s mug"),
    Slot.MIDDAY: gettext_lazy("%(day)s midday"),
    Slot.EVENING: gettext_lazy("%(day)s evening"),
}
_WRONG = {
    Wrong.NO_SUCH_MEAL: gettext_lazy("This week has no such meal. Choose one of the meals on the board."),
    Wrong.EATEN: gettext_lazy("%(meal)s has been eaten already. Choose a meal that is still to come."),
    Wrong.LOCKED: gettext_lazy("%(meal)s is locked. Unlock it first, then ask again."),
    Wrong.NOT_FOR_SLOT: gettext_lazy("That dish is not made for that time of day. Choose another one."),
    Wrong.NO_SUCH_DISH: gettext_lazy(
        "That dish is not in this week’s book any more. Choose one of the list."
    ),
    Wrong.SAME_MEAL: gettext_lazy("That is the same meal twice. Choose another meal to exchange it with."),
    Wrong.SAME_DISH: gettext_lazy("That dish is there already, so nothing would change. Choose another one."),
    Wrong.EMPTY_MEAL: gettext_lazy("Nobody eats at one of these meals. Choose two meals that are planned."),
    Wrong.NO_SUCH_EATER: gettext_lazy("Somebody named here does not eat in this week. Choose again."),
    Wrong.NO_SUCH_FOOD: gettext_lazy("Choose one of the foods of this week."),
    Wrong.NO_SUCH_POT: gettext_lazy("Choose one of the pots of this week."),
    Wrong.NO_SUCH_DAY: gettext_lazy("Choose a day of this week from today on."),
}


def meal_words(start: date, meal: Meal) -> str:
    """``Monday evening``."""
    return str(_MEAL[meal[1]]) % {"day": date_format(start + timedelta(days=meal[0]), "l")}


def wrong_words(wrong: Wrong, start: date, meal: Meal | None) -> str:
    """Why a change cannot be asked for, and what to do."""
    said = str(_WRONG[wrong])
    return said if meal is None else said % {"meal": meal_words(start, meal)}


class ChangeWords:
    """Words for the changes of one week."""

    def __init__(self, week: Week, brief: Brief) -> None:
        self.week = week
        self.titles = {recipe.key: recipe.title for recipe in brief.recipes}
        self.cooks = {cook.key: cook for cook in week.cooks}
        self.eaters = {eater.key: eater.name for eater in brief.eaters}
        self.foods = short_names(brief.foods.values())

    def say(self, change: Change) -> str:
        """One change as a sentence without its full stop."""
        words = {
            "meal": meal_words(self.week.start, change.meal) if change.meal else "",
            "other": meal_words(self.week.start, change.other) if change.other else "",
            "dish": self.titles.get(change.recipe, change.recipe),
            "who": self._who(change.eaters),
            "food": self.foods.get(change.food, change.food),
            "pot": self._pot(change.cook),
            "day": date_format(self.week.start + timedelta(days=change.day), "l"),
        }
        return self._sentence(change) % words

    def _sentence(self, change: Change) -> str:
        if change.back:
            return {
                Kind.AWAY: _("%(meal)s: everyone eats at home after all"),
                Kind.UNWANTED: _("%(meal)s: %(dish)s may come back"),
                Kind.GONE_FOOD: _("%(food)s is there again"),
                Kind.GONE_COOK: _("%(pot)s can be eaten after all"),
            }[change.kind]
        return {
            Kind.WANTED: _("%(meal)s: %(dish)s"),
            Kind.UNWANTED: _("%(meal)s: not %(dish)s"),
            Kind.EXCHANGE: _("%(meal)s and %(other)s change places"),
            Kind.AWAY: _("%(meal)s: %(who)s out") if change.eaters else _("%(meal)s: everyone is out"),
            Kind.GONE_FOOD: _("%(food)s has gone off or run out, from %(day)s on"),
            Kind.GONE_COOK: _("%(pot)s cannot be eaten from %(day)s on"),
        }[change.kind]

    def at(self, change: Change, meal: Meal) -> str:
        """What is asked of one meal, for its place on the board."""
        if change.kind is Kind.EXCHANGE:
            other = change.other if meal == change.meal else change.meal
            dish = self.titles.get(dish_at(self.week, other) or "", "")
            return _("Changes places with %(other)s: %(dish)s") % {
                "other": meal_words(self.week.start, other),
                "dish": dish,
            }
        dish = self.titles.get(change.recipe, change.recipe)
        if change.kind is Kind.WANTED:
            return _("To become %(dish)s") % {"dish": dish}
        if change.kind is Kind.UNWANTED:
            return _("%(dish)s may come back") % {"dish": dish} if change.back else _("Not this dish")
        if change.back:
            return _("Eaten at home after all")
        return _("Out: %(who)s") % {"who": self._who(change.eaters)}

    def _who(self, eaters: tuple[str, ...]) -> str:
        return listed([self.eaters.get(eater, eater) for eater in eaters]) if eaters else _("everyone")

    def _pot(self, key: str) -> str:
        cook = self.cooks.get(key)
        if cook is None:
            return _("a pot that is no longer planned")
        dish = self.titles.get(cook.recipe, cook.recipe)
        return _("%(dish)s of %(day)s") % {"dish": dish, "day": date_format(cook.on, "l")}
