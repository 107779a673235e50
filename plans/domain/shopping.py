"""What a week takes to the shop: a ledger for each food, balanced to the gram.

Bought + made at home + in the house = used as bought + left over. What is in the house is used first, the soonest to
spoil before the rest and nothing past its day. Foods sold in packs are bought in whole packs; of a food sold loose the
exact amount stands here, and the shop's own steps come in where it is shown (``packs.weighed_out``). A home-made food
is never bought: a pot of the week makes it, or its own recipe says what to buy for it.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from plans.domain.book import Food, Recipe
from plans.domain.brief import Brief, Week
from plans.domain.packs import TENTH_G, fewest_extra
from plans.domain.takings import Taking, Takings, decimal_of, made_at_home, makers_of, pots_take
from plans.domain.vocabulary import AISLES


@dataclass(frozen=True, slots=True)
class Lot:
    """Some of a food that is in the house: grams as bought, good to eat up to and with the day ``until``."""

    food: str
    amount_g: Decimal
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """The ledger of one food. ``need_g`` is edible, every other weight as bought.

    ``house_g`` is what is in the house, of which the week uses ``from_house_g``; ``packs`` are (grams, how many),
    smallest first, none for a food sold loose. ``makeable``: made at home though no pot of this week does it, by the
    recipe ``maker`` if there is one, ``make_g`` of it.
    """

    food: str
    need_g: Decimal
    gross_g: Decimal
    house_g: Decimal
    from_house_g: Decimal
    buy_g: Decimal
    packs: tuple[tuple[Decimal, int], ...]
    takings: tuple[Taking, ...]
    makeable: bool = False
    maker: str = ""
    make_g: Decimal = Decimal(0)

    @property
    def short_g(self) -> Decimal:
        """What the house lacks, as bought."""
        return self.gross_g - self.from_house_g

    @property
    def left_g(self) -> Decimal:
        """What is there and not used, as bought."""
        return self.house_g + self.buy_g + self.make_g - self.gross_g


@dataclass(frozen=True, slots=True)
class ShoppingList:
    """Lines by aisle, in the order of the shop; ``unweighed`` are foods of which an amount could not be weighed."""

    aisles: tuple[tuple[str, tuple[Line, ...]], ...]
    unweighed: tuple[str, ...] = ()

    def lines(self) -> Iterator[Line]:
        """Every line."""
        for _, lines in self.aisles:
            yield from lines


def shopping_list(
    week: Week, brief: Brief, house: Iterable[Lot] = (), *, since: date | None = None
) -> ShoppingList:
    """What to buy for a week with these lots in the house, or for what of it is cooked ``since`` a day.

    The order of pots, plates and lots makes no difference. Raises KeyError when the week names a recipe that is not in
    the brief.
    """
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    lots: dict[str, list[Lot]] = {}
    for lot in house:
        lots.setdefault(lot.food, []).append(lot)
    takings = pots_take(week, brief, recipes, since)
    makers = makers_of(brief.recipes)
    _buy_what_it_is_made_of(takings, makers, lots, brief)
    lines = [
        _line(brief.foods[food], takings.of(food), lots.get(food, ()), makers) for food in takings.foods()
    ]
    by_aisle = {
        aisle: tuple(line for line in lines if brief.foods[line.food].aisle == aisle) for aisle in AISLES
    }
    return ShoppingList(
        tuple((aisle, found) for aisle, found in by_aisle.items() if found), takings.unweighed()
    )


def shops_on(week: Week) -> date:
    """The day everything is bought in one go: the day before the week is first cooked."""
    return min([week.start, *(cook.on for cook in week.cooks)]) - timedelta(days=1)


def packs_for(short_g: Decimal | Fraction, food: Food) -> tuple[tuple[Decimal, int], ...]:
    """The packs to buy of a food for an amount as bought; none for nothing, and none for a food sold loose."""
    sizes = tuple(size for size in food.packs_g if size >= TENTH_G)
    return fewest_extra(sizes, short_g) if sizes and short_g > 0 else ()


def _buy_what_it_is_made_of(
    takings: Takings, makers: Mapping[str, Recipe], lots: Mapping[str, list[Lot]], brief: Brief
) -> None:
    """Count the ingredients of home-made foods that no pot of the week makes, as far as the house lacks them."""
    for food in [key for key in takings.foods() if brief.foods[key].home_made and key in makers]:
        wanted = takings.of(food)
        gross = _gross(wanted, brief.foods[food])
        for taking, all_g, had_g in zip(
            wanted, gross, _drawn(wanted, gross, lots.get(food, ())), strict=True
        ):
            taken = made_at_home(food, all_g - had_g, makers[food], taking.on, brief)
            for ingredient, need in taken.items():
                if ingredient != food:
                    takings.add(ingredient, taking.cook, taking.on, need)


def _line(food: Food, takings: tuple[Taking, ...], lots: Iterable[Lot], makers: Mapping[str, Recipe]) -> Line:
    gross = _gross(takings, food)
    good = [lot for lot in lots if lot.until is None or lot.until >= takings[0].on]
    used = sum(_drawn(takings, gross, good), Fraction(0))
    short = sum(gross, Fraction(0)) - used
    packs = () if food.home_made else packs_for(short, food)
    bought = sum((Fraction(size) * count for size, count in packs), Fraction(0)) if packs else short
    return Line(
        food=food.key,
        need_g=decimal_of(sum((taking.need for taking in takings), Fraction(0))),
        gross_g=decimal_of(sum(gross, Fraction(0))),
        house_g=sum((lot.amount_g for lot in good), Decimal(0)),
        from_house_g=decimal_of(used),
        buy_g=Decimal(0) if food.home_made else decimal_of(bought),
        packs=packs,
        takings=takings,
        makeable=food.home_made,
        maker=makers[food.key].key if food.home_made and food.key in makers else "",
        make_g=decimal_of(short) if food.home_made else Decimal(0),
    )


def _gross(takings: Iterable[Taking], food: Food) -> list[Fraction]:
    """Takings as bought: with the peel and the bones."""
    return [taking.need / Fraction(food.edible_share) for taking in takings]


def _drawn(takings: Iterable[Taking], gross: Iterable[Fraction], lots: Iterable[Lot]) -> list[Fraction]:
    """What each taking, the earliest first, gets from the house: from what spoils soonest and is still good then."""
    rest = [
        [lot.until or date.max, Fraction(lot.amount_g)]
        for lot in sorted(lots, key=lambda lot: (lot.until or date.max, lot.amount_g))
    ]
    drawn = []
    for taking, all_g in zip(takings, gross, strict=True):
        wanted = all_g
        for lot in rest:
            if lot[0] >= taking.on:
                had = min(wanted, lot[1])
                lot[1] -= had
                wanted -= had
        drawn.append(all_g - wanted)
    return drawn
