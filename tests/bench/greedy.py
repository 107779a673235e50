"""A sensible cook who never looks back: meal by meal, whatever is cheapest now.

For a common table. At each meal the cook takes a pot that is there and has room, or cooks a new one, today or on an
earlier day with minutes left, whichever adds least. Dishes that draw on stock count a share of a pot of stock; stock is
made as it is wanted. Costs are the planner's.
"""

from plans.domain.brief import Brief
from plans.domain.planner.columns import Column, Offer
from plans.domain.planner.master import ask
from plans.domain.planner.model import Meal, Pot
from plans.domain.planner.program import Program, program
from plans.domain.planner.setting import lay
from plans.domain.planner.solve import TO_FILL_IN
from plans.domain.vocabulary import Slot

STOCK_SHARE = 25
"""What a dish that draws on stock is charged for it when dishes are compared: a quarter of a pot."""


def greedy_cost(asked: Brief) -> int | None:
    """The cost of the greedy cook's week, with the best stock for it; None when the cook gets stuck."""
    made = program(lay(asked))
    offers = {offer.pot: offer for offer in made.offers}
    fed: dict[Pot, tuple[Meal, ...]] = {}
    for meal in sorted((row[1], row[2]) for row in made.meals if row[2] is not Slot.MUG):
        choices = [
            (_added(offer, fed.get(pot, ()), meal) + _shared(made, fed, pot), pot)
            for pot, offer in offers.items()
            if meal in offer.plates and _allowed(made, offers, fed, pot, meal)
        ]
        if not choices:
            return None
        pot = min(choices)[1]
        fed[pot] = tuple(sorted((*fed.get(pot, ()), meal)))
    columns = [offers[pot].column(meals) for pot, meals in fed.items()]
    found = ask(made, [], held=columns, effort=TO_FILL_IN).found
    return None if found is None else found.cost


def _added(offer: Offer, before: tuple[Meal, ...], meal: Meal) -> float:
    """What a meal more costs, with a new pot shared out over the two meals it is meant for."""
    after = offer.column(tuple(sorted((*before, meal)))).cost
    if before:
        return after - offer.column(before).cost
    return after / 2 + STOCK_SHARE * len(offer.draws)


def _shared(made: Program, fed: dict[Pot, tuple[Meal, ...]], pot: Pot) -> int:
    main = made.setting.dishes[pot[0]].recipe.main
    again = any(made.setting.dishes[other[0]].recipe.main == main for other in fed if other != pot)
    return made.activities["again", main].cost if again and pot not in fed else 0


def _allowed(
    made: Program, offers: dict[Pot, Offer], fed: dict[Pot, tuple[Meal, ...]], pot: Pot, meal: Meal
) -> bool:
    meals = tuple(sorted((*fed.get(pot, ()), meal)))
    if len(meals) > len(offers[pot].sizes):
        return False
    taken: dict[object, int] = {}
    for column in (*_columns(offers, fed, pot), offers[pot].column(meals)):
        for row, amount in column.uses.items():
            taken[row] = taken.get(row, 0) + amount
    return all(
        taken.get(row, 0) <= most
        for row, most in made.rows.items()
        if row[0] in ("minutes", "repeats", "taste")
    )


def _columns(offers: dict[Pot, Offer], fed: dict[Pot, tuple[Meal, ...]], but: Pot) -> list[Column]:
    return [offers[pot].column(meals) for pot, meals in fed.items() if pot != but]
