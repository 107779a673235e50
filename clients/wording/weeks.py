"""Plans in words: why a pot is cooked when it is, what stands in the way of a week, and what a plan is weighed by."""

from collections.abc import Iterable, Iterator
from itertools import groupby
from operator import itemgetter

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
    "packs": gettext_lazy("Left of fresh packs opened"),
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
    return _sentence(_said(reason))


def conflict_words(reasons: Iterable[Reason]) -> list[str]:
    """What stands in the way, each collision of facts in a sentence or two."""
    return [_collision(collision) for collision in _together(reasons, "set")]


def offers(reasons: Iterable[Reason]) -> list[list[Reason]]:
    """What would help: each offer with all it takes."""
    return list(_together(reasons, "offer"))


def relaxation_words(offer: Iterable[Reason]) -> str:
    """An offer in one sentence."""
    return _sentence(_(" and ").join(map(_said, offer)))


def _together(reasons: Iterable[Reason], fact: str) -> Iterator[list[Reason]]:
    """Reasons that share a number stand together; one without a number stands by itself."""
    numbered = ((reason.facts.get(fact, f"alone {place}"), reason) for place, reason in enumerate(reasons))
    for _number, shared in groupby(numbered, key=itemgetter(0)):
        yield [reason for _same, reason in shared]


def _said(reason: Reason) -> str:
    if reason.code == GIVEN_UP:
        return _("the planning broke off several times. Ask again in a while")
    return say(reason)


def _collision(reasons: list[Reason]) -> str:
    """The meals, then what is given for them, then the foods in the way, each with the reason why it is not open."""
    meals = [_said(reason) for reason in reasons if reason.code in _MEALS]
    closed = [_closed(reason) for reason in reasons if "closed" in reason.facts]
    given = [
        _said(reason) for reason in reasons if reason.code not in _MEALS and "closed" not in reason.facts
    ]
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
