"""Plans in words: why a pot is cooked when it is, what stands in the way of a week, and what a plan is weighed by."""

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
}
"""The parts of a plan's cost, as the planner names them."""

GIVEN_UP = "given-up"
"""The code of a week whose planning broke off again and again: it never reached the planner's own reasons."""


def reason_words(reason: Reason) -> str:
    """One of the planner's reasons as a sentence. Raises KeyError for a code that has no words."""
    if reason.code == GIVEN_UP:
        return _("The planning broke off several times. Ask again in a while.")
    said = say(reason)
    return f"{said[:1].upper()}{said[1:]}."


def quality_words(gap: float) -> str:
    """How far from the best conceivable a plan may be at most."""
    if gap <= 0:
        return _("No better week can be made from the dishes that were considered.")
    return _("No week from the dishes that were considered can be more than %(percent)d %% better.") % {
        "percent": round(gap * 100)
    }
