"""What a household wants most of its weeks: an order of the planner's ``WANTS``.

Only an order that differs from the usual one is stored, so that a household that never chose follows the usual one
wherever it goes.
"""

from collections.abc import Iterable, Sequence

from plans.domain.brief import WANTS

UP, DOWN = "up", "down"


def wants_in_order(chosen: Iterable[str]) -> tuple[str, ...]:
    """All wants, most wanted first: those chosen, then all others as usual. A want there is not is passed over."""
    first = [want for want in dict.fromkeys(chosen) if want in WANTS]
    return (*first, *(want for want in WANTS if want not in first))


def wants_moved(order: Sequence[str], want: str, way: str) -> tuple[str, ...]:
    """An order with one want a place further up or down; at the end of the list it stays where it is."""
    moved = [held for held in order if held != want]
    place = order.index(want) + (-1 if way == UP else 1)
    moved.insert(max(place, 0), want)
    return tuple(moved)


def wants_record(order: Sequence[str]) -> list[str]:
    """An order as it is stored; nothing for the usual one."""
    return [] if tuple(order) == WANTS else list(order)
