"""Plans in words: why a pot is cooked when it is, what stands in the way of a week, and what a plan is weighed by."""

from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from plans.domain.brief import Reason
from plans.domain.vocabulary import Slot
from plans.wording import SLOT

COST = {
    "cooks": gettext_lazy("Pots to cook"),
    "busy": gettext_lazy("Work on busy days"),
    "sharing": gettext_lazy("Second dishes at one meal"),
    "repeats": gettext_lazy("The same dish again"),
    "same_day": gettext_lazy("The same dish twice in a day"),
    "waste": gettext_lazy("Cooked and not eaten"),
    "thawed": gettext_lazy("Frozen and thawed"),
    "dislikes": gettext_lazy("Foods somebody does not like"),
    "leaning": gettext_lazy("Away from a leaning to meat or vegetables"),
    "novelty": gettext_lazy("Luck of the week, to break ties"),
}
"""The parts of a plan's cost, as the planner names them."""

_REASON = {
    # Why a pot is cooked then
    "feeds-all": ngettext_lazy("Feeds everyone at %(meals)s meal.", "Feeds everyone at %(meals)s meals.", "meals"),
    "feeds-some": ngettext_lazy(
        "Feeds %(eaters)s at %(meals)s meal.", "Feeds %(eaters)s at %(meals)s meals.", "meals"
    ),
    "stock-for": gettext_lazy("Stock for mugs: %(mugs)s, for other pots: %(dishes)s."),
    "lasts-until": gettext_lazy("Lasts until %(on)s."),
    "cooked-ahead": gettext_lazy("Cooked the day before the week begins."),
    "calm-day": gettext_lazy("A day with time: %(minutes)s min."),
    "short-day": gettext_lazy("Fits a short day: %(minutes)s min."),
    # What stands in the way
    "no-recipe": gettext_lazy("%(eater)s, %(slot)s from %(on)s: the book has no recipe for this meal."),
    "stock-not-for-all": gettext_lazy(
        "%(eater)s, %(slot)s from %(on)s: no stock (%(food)s) suits everybody at the table, and dishes need it."
    ),
    "every-dish-needs": gettext_lazy(
        "%(eater)s, %(slot)s from %(on)s: every dish for this meal needs %(food)s, which is not open."
    ),
    "no-dish-open": gettext_lazy(
        "%(eater)s, %(slot)s from %(on)s: none of %(dishes)s dishes is open; %(food)s is in the way most often."
    ),
    "pot-too-small": gettext_lazy(
        "%(eater)s: the largest pot has room for %(pot_ml)s ml, one portion takes %(needed_ml)s ml."
    ),
    "too-little-time": gettext_lazy(
        "%(on)s, %(slot)s: %(minutes)s min of work are free, the shortest dish takes %(shortest)s min."
    ),
    "too-many-dishes-for-the-time": gettext_lazy(
        "%(on)s: %(minutes)s min of work are free, %(needed)s min would be needed."
    ),
    "too-few-mains": gettext_lazy(
        "%(eaters)s: too few different dishes; %(dish)s would come more than %(most)s times."
    ),
    "no-dish-left": gettext_lazy("%(eater)s, %(slot)s on %(on)s: nothing is left that keeps to all the rules."),
    "none-found": gettext_lazy("No week was found in the time there is for looking."),
    "not-proven": gettext_lazy("There may be a week all the same; looking longer might find it."),
    "given-up": gettext_lazy("The planning broke off several times. Ask again in a while."),
    # What would help
    "leave-meal-out": gettext_lazy("Plan %(eater)s’s %(slot)s by hand, from %(on)s on."),
    "larger-pot": gettext_lazy("Use a pot with room for %(needed_ml)s ml."),
    "more-minutes": gettext_lazy("Give %(minutes)s min more to %(on)s."),
    "more-repeats": gettext_lazy("Let %(eaters)s have %(dish)s up to %(times)s times."),
}


def reason_words(reason: Reason) -> str:
    """One of the planner's reasons as a sentence. Raises KeyError for a code that has no words."""
    facts = dict(reason.facts)
    if "slot" in facts:
        facts["slot"] = str(SLOT[Slot(facts["slot"])]).lower()
    if "on" in facts:
        facts["on"] = date_format(date.fromisoformat(str(facts["on"])), _("l j F"))
    return str(_REASON[reason.code] % facts)


def quality_words(gap: float) -> str:
    """How far from the best conceivable a plan may be at most."""
    if gap <= 0:
        return _("No better week can be made from the dishes that were considered.")
    return _("No week from the dishes that were considered can be more than %(percent)d %% better.") % {
        "percent": round(gap * 100)
    }
