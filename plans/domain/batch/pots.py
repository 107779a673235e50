"""Which pots to fill, how often, and when: every way is tried, and the best is the same for the same kitchen.

A way is how often each pot is filled. Of the ways that hold all the bones and are done in time, the best has the fewest
turns one after another, then the least strength, then the earliest finish, then the fewest fillings in the least room.
So one pot is used where one is enough, several side by side where it is not, a stronger broth comes before a second
turn, and a second turn before bones are left over.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from itertools import combinations_with_replacement

from plans.domain.batch.scaling import pot_holds_g
from plans.domain.batch.schedule import Job, Turn, earliest_finish

MOST_FILLINGS = 6
"""No more than this in a day: each takes its own straining, cooling and jars. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Way:
    """Pots to fill, by their place in the kitchen's list, in the order of their turns; the bones they hold in all."""

    pots: tuple[int, ...]
    turns: tuple[Turn, ...]
    usual_g: Decimal
    most_g: Decimal
    room_ml: Decimal

    @property
    def finish_min(self) -> int:
        """When the last pot leaves the heat, in minutes from the beginning."""
        return max(turn.end_min for turn in self.turns)

    @property
    def depth(self) -> int:
        """How many turns follow one another at the most."""
        return max(turn.turn for turn in self.turns)

    def strength(self, bones_g: Decimal) -> Decimal:
        """1 when the bones fit with the usual water, else by how much too many they are: it orders ways by strength."""
        return max(Decimal(1), bones_g / self.usual_g)


def best_way(
    bones_g: Decimal,
    pots_ml: tuple[Decimal, ...],
    burners: int,
    *,
    elapsed_min: int,
    hands_on_min: int,
    within_min: int | None,
    most_strength: Decimal,
) -> Way:
    """The best way to cook these bones. When none holds them all in time, the one that holds most of them in time.

    When not even one filling is done in time, one turn is cooked all the same: the caller says that it is late.
    """
    ways = list(_ways(pots_ml, burners, elapsed_min, hands_on_min, most_strength))
    in_time = [way for way in ways if within_min is None or way.finish_min <= within_min]
    open_ways = in_time or [way for way in ways if way.depth == 1]
    holding = [way for way in open_ways if way.most_g >= bones_g]
    if holding:
        return min(
            holding,
            key=lambda way: (
                way.depth,
                way.strength(bones_g),
                way.finish_min,
                len(way.pots),
                way.room_ml,
                way.pots,
            ),
        )
    return min(open_ways, key=lambda way: (-way.most_g, way.finish_min, len(way.pots), way.pots))


def _ways(
    pots_ml: tuple[Decimal, ...], burners: int, elapsed_min: int, hands_on_min: int, most_strength: Decimal
) -> Iterator[Way]:
    for count in range(1, MOST_FILLINGS + 1):
        for filled in combinations_with_replacement(range(len(pots_ml)), count):
            times = Counter(filled).most_common()
            turns = _turns(tuple(often for _pot, often in times), burners, elapsed_min, hands_on_min)
            pots = tuple(times[int(turn.job.pot)][0] for turn in turns)
            yield Way(
                pots=pots,
                turns=turns,
                usual_g=sum((pot_holds_g(pots_ml[pot]) for pot in pots), Decimal(0)),
                most_g=sum((pot_holds_g(pots_ml[pot], most_strength) for pot in pots), Decimal(0)),
                room_ml=sum((pots_ml[pot] for pot in pots), Decimal(0)),
            )


@lru_cache(maxsize=256)
def _turns(often: tuple[int, ...], burners: int, elapsed_min: int, hands_on_min: int) -> tuple[Turn, ...]:
    """The turns of pots that are filled so often each; which pots they are makes no difference to the times."""
    jobs = (
        Job(f"{pot}-{time}", str(pot), elapsed_min, hands_on_min)
        for pot, times in enumerate(often)
        for time in range(times)
    )
    return earliest_finish(jobs, burners)
