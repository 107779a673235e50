"""What a week can be wanted to do well: a name and one sentence for each."""

from collections.abc import Iterable

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

WANT = {
    "stores": gettext_lazy("Use up what is in the house"),
    "time": gettext_lazy("Save time at the stove"),
    "variety": gettext_lazy("Bring variety"),
    "likes": gettext_lazy("Cook what everybody likes"),
    "nourishment": gettext_lazy("Come near the reference intakes"),
    "leaning": gettext_lazy("Follow each leaning"),
}
WANT_MEANS = {
    "stores": gettext_lazy(
        "Dishes with foods from the stores come first, above all with what is soon past its date. Of fresh packs that "
        "are opened, little is left."
    ),
    "time": gettext_lazy("Few pots, and little work on days with little time."),
    "variety": gettext_lazy("The same dish and the same kind of main food come back seldom."),
    "likes": gettext_lazy("Dishes with a food that somebody at the table dislikes come last."),
    "nourishment": gettext_lazy(
        "Among dishes that suit, those nearer to the published amounts a day. Portions stay as they are."
    ),
    "leaning": gettext_lazy("More meat, or more vegetables, on the plates of those who lean that way."),
}


def order_words(wants: Iterable[str]) -> str:
    """An order in one line, most wanted first."""
    return _("; ").join(
        str(WANT[want]).lower() if place else str(WANT[want]) for place, want in enumerate(wants)
    )
