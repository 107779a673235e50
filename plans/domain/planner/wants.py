"""What a week is to do well, and how an order of the coach's own changes what things cost.

Every part of the objective belongs to a want. In the usual order every part costs what its module says. A want that
stands higher than usual has all its parts multiplied, by how many places it was moved up:

====== = = = = = =
places 0 1 2 3 4 5
times  1 2 3 4 6 8
====== = = = = = =

A want that had to make room keeps its price. So, one want moved up from the usual order is one price raised and
nothing else, and the best week then is never worse in that want: a week that costs more at the old prices can only be
cheaper at the new ones by having less of what they raise. Between two orders that are both unusual this need not hold,
since a want pushed down may lose what it was raised by.
"""

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from plans.domain.brief import WANTS

WANT_OF: Mapping[str, str] = MappingProxyType(
    {
        "cooks": "time",
        "busy": "time",
        "sharing": "variety",
        "repeats": "variety",
        "same_day": "variety",
        "waste": "stores",
        "thawed": "time",
        "dislikes": "likes",
        "leaning": "leaning",
        "novelty": "variety",
        "stores": "stores",
        "packs": "stores",
        "energy": "nourishment",
        "protein": "nourishment",
        "micronutrients": "nourishment",
    }
)
"""The want that each part of the objective belongs to."""
TIMES = (1, 2, 3, 4, 6, 8)
"""By how many places a want stands above its usual one."""


def weights(wants: Iterable[str]) -> dict[str, int]:
    """What the price of each part is multiplied by in an order of wants; one that is not named keeps its price."""
    place = {want: number for number, want in enumerate(wants)}
    raised = {
        want: TIMES[min(max(0, usual - place.get(want, usual)), len(TIMES) - 1)]
        for usual, want in enumerate(WANTS)
    }
    return {part: raised[want] for part, want in WANT_OF.items()}
