"""Plans in words: why a pot is cooked when it is, what stands in the way of a week, and what a plan is weighed by."""

from collections.abc import Callable, Iterable
from itertools import groupby

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plans.domain.brief import Reason
from plans.wording import say

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
    "changes": gettext_lazy("Changes of the week that was shown"),
    "stores": gettext_lazy("In the house and not used"),
    "energy": gettext_lazy("Energy below or far above what eaters need"),
    "protein": gettext_lazy("Protein below what eaters need"),
    "micronutrients": gettext_lazy("Vitamins and minerals far below what eaters need"),
}
"""The parts of a plan's cost, as the planner names them."""

GIVEN_UP = "given-up"
"""The code of a week whose planning broke off again and again: it never reached the planner's own reasons."""


_MEALS = ("meal-wanted", "meals-wanted", "meals-wanted-on")


def reason_words(reason: Reason) -> str:
    """One of the planner's reasons as a sentence. Raises KeyError for a code that has no words."""
    if reason.code == GIVEN_UP:
        return _("The planning broke off several times. Ask again in a while.")
    return _sentence(say(reason))


def conflict_words(reasons: Iterable[Reason]) -> list[str]:
    """What stands in the way, each collision of facts in a sentence or two."""
    return [_collision(list(together)) for _set, together in groupby(reasons, key=_number("set"))]


def offer_words(reasons: Iterable[Reason]) -> list[str]:
    """What would help, each offer in one sentence with all it takes."""
    return [
        _sentence(_(" and ").join(say(reason) for reason in together))
        for _offer, together in groupby(reasons, key=_number("offer"))
    ]


def _number(fact: str) -> Callable[[Reason], object]:
    """What reasons of one collision, or one offer, have in common; a reason of neither stands by itself."""
    return lambda reason: reason.facts.get(fact, reason.code)


def _collision(reasons: list[Reason]) -> str:
    """The meals, then what is given for them, then the foods in the way, each with the reason why it is not open."""
    meals = [say(reason) for reason in reasons if reason.code in _MEALS]
    closed = [_closed(reason) for reason in reasons if "closed" in reason.facts]
    given = [say(reason) for reason in reasons if reason.code not in _MEALS and "closed" not in reason.facts]
    if not meals:
        return " ".join(_sentence(words) for words in (*given, *closed))
    together = "; ".join((*given, *closed)) or _("no dish is left")
    return _sentence(
        _("%(meals)s cannot be had: %(facts)s") % {"meals": _(" and ").join(meals), "facts": together}
    )


def _closed(reason: Reason) -> str:
    return _("%(food)s for %(eaters)s: %(why)s") % {
        "food": reason.facts["closed"],
        "eaters": reason.facts["closed_to"],
        "why": say(reason),
    }


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def quality_words(gap: float) -> str:
    """How far from the best conceivable a plan may be at most."""
    if gap <= 0:
        return _("No better week can be made from the dishes that were considered.")
    return _("No week from the dishes that were considered can be more than %(percent)d %% better.") % {
        "percent": round(gap * 100)
    }
