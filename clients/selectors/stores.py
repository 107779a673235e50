"""What is in a household's house."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from clients.models import Household, Store
from coaching.domain.units import System
from plans.domain.book import Food
from plans.domain.shopping import Lot
from plans.printables.words import weight_words


@dataclass(frozen=True, slots=True)
class StoreLine:
    """One thing in the house, worded; ``is_past``: its date is over, so that no list counts it."""

    row: Store
    name: str
    amount: str
    is_past: bool


def stores_of(household: Household) -> list[Store]:
    """What is in the house and not used up, in one query."""
    return list(Store.objects.filter(household=household, used_up_at__isnull=True))


def lots_of(stores: list[Store], today: date) -> tuple[Lot, ...]:
    """What of it counts for a shopping list: nothing past its date."""
    return tuple(
        Lot(store.food, store.amount_g, store.best_by) for store in stores if not is_past(store, today)
    )


def is_past(store: Store, today: date) -> bool:
    """Whether its date is over."""
    return store.best_by is not None and store.best_by < today


def store_lines(
    household: Household, foods: Mapping[str, Food], today: date
) -> list[tuple[str, list[StoreLine]]]:
    """What is in the house by place, each place by name; a food that has left the book shows its key."""
    system = System(household.practice.units)
    by_place: dict[str, list[StoreLine]] = {place: [] for place in Store.Place.values}
    for row in stores_of(household):
        food = foods.get(row.food)
        by_place[row.place].append(
            StoreLine(
                row=row,
                name=food.name if food else row.food,
                amount=weight_words(row.amount_g, food, system),
                is_past=is_past(row, today),
            )
        )
    for lines in by_place.values():
        lines.sort(key=lambda line: (line.name.casefold(), line.row.best_by or date.max, line.row.pk))
    return [(str(Store.Place(place).label), lines) for place, lines in by_place.items() if lines]
