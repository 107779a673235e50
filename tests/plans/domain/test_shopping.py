"""Shopping: nothing short, no pack too many, and a ledger that balances to the gram."""

from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from plans.domain.brief import Cook, Plate, Week
from plans.domain.rulebook import RuleBook
from plans.domain.shopping import Line, ShoppingList, fewest_extra, shopping_list
from plans.domain.vocabulary import Slot
from tests.plans.domain.hand_made import MONDAY, brief, eater, food, line, recipe

FOODS = [
    food("chicken", aisle="meat", edible_share=Decimal("0.7"), packs_g=(Decimal(600), Decimal(1000))),
    food("carrot", edible_share=Decimal("0.89")),
    food("onion"),
    food("dill", aisle="herbs-spices", packs_g=(Decimal(30),)),
    food("stock", aisle="home-made", home_made=True),
    food("bones", aisle="meat"),
    food("water", aisle="drinks"),
    food("rock", aisle="pantry", density_g_per_ml=None),
]
BOOK = RuleBook.compile(None, FOODS)
SOUP = recipe(
    "soup",
    line("400 g", "chicken"),
    line("150 g", "carrot"),
    line("1 l", "stock", "broth"),
    line("40 g", "onion", "boiled", "optional"),
    line("8 g", "dill", "raw", "plate"),
    servings=Decimal(2),
)
STOCK = recipe(
    "stock-pot",
    line("800 g", "bones", "broth"),
    line("2 l", "water", "broth"),
    slots=("mug",),
    kind="stock",
    makes="stock",
)
BRIEF = brief((eater("a", BOOK), eater("b", BOOK)), BOOK, SOUP, STOCK)


def cooked(portions: str, dish: str = "soup") -> Cook:
    return Cook(f"{dish} {portions}", dish, MONDAY, Decimal(portions))


def plate(cook: Cook, who: str, *without: str, portions: str = "1", on: date = MONDAY) -> Plate:
    return Plate(on, Slot.MIDDAY, who, cook.key, Decimal(portions), "fresh", without)


def shop(cooks: list[Cook], plates: list[Plate]) -> ShoppingList:
    return shopping_list(Week(MONDAY, 7, tuple(cooks), tuple(plates), {}, 0.0, 0.0), BRIEF)


def lines(found: ShoppingList) -> dict[str, Line]:
    return {each.food: each for each in found.lines()}


def test_pots_are_scaled_and_bones_and_peel_are_bought_too():
    pot = cooked("3")
    found = lines(shop([pot], [plate(pot, "a"), plate(pot, "b")]))
    assert found["chicken"].need_g == 600
    assert found["chicken"].gross_g == Decimal(600) / Decimal("0.7")
    assert found["chicken"].packs == ((Decimal(1000), 1),)
    assert found["carrot"].buy_g == 300
    assert found["carrot"].left_g == Decimal(300) - Decimal(225) / Decimal("0.89")


def test_a_plate_food_is_bought_for_the_plates_that_have_it():
    pot = cooked("3")
    assert lines(shop([pot], [plate(pot, "a"), plate(pot, "b", "dill")]))["dill"].need_g == 4


def test_an_optional_food_is_left_out_of_the_whole_pot():
    pot = cooked("3")
    assert lines(shop([pot], [plate(pot, "a"), plate(pot, "b")]))["onion"].need_g == 60
    assert "onion" not in lines(shop([pot], [plate(pot, "a"), plate(pot, "b", "onion")]))


def test_a_stock_that_is_cooked_is_not_bought_and_water_never_is():
    pot, stock = cooked("2"), cooked("4", "stock-pot")
    found = lines(shop([pot, stock], [plate(pot, "a")]))
    assert "stock" not in found and "water" not in found
    assert found["bones"].need_g == 3200


def test_a_stock_that_no_pot_makes_stands_on_the_list_as_makeable():
    found = lines(shop([cooked("2")], []))
    assert found["stock"].makeable and found["stock"].need_g == 1000


def test_two_pots_of_a_food_make_one_line_with_two_takings():
    first, second = cooked("2"), cooked("4")
    found = lines(shop([first, second], []))["chicken"]
    assert [taking.need_g for taking in found.takings] == [400, 800]


def test_aisles_stand_in_the_order_of_the_shop():
    pot = cooked("2")
    assert [aisle for aisle, _ in shop([pot], [plate(pot, "a")]).aisles] == [
        "vegetables",
        "herbs-spices",
        "meat",
        "home-made",
    ]


def test_what_cannot_be_weighed_is_named_not_guessed():
    dish = recipe("dish", line("1 cup", "rock"))
    week = Week(MONDAY, 7, (Cook("c", "dish", MONDAY, Decimal(1)),), (), {}, 0.0, 0.0)
    found = shopping_list(week, brief((eater("a", BOOK),), BOOK, dish))
    assert (found.unweighed, found.aisles) == (("rock",), ())


sizes = (
    st.lists(st.integers(5, 3000).map(Decimal), min_size=1, max_size=3, unique=True).map(sorted).map(tuple)
)
amounts = st.decimals("0.1", "5000", places=1)


@given(sizes, amounts)
def test_packs_are_enough_and_one_fewer_falls_short(packs: tuple[Decimal, ...], gross_g: Decimal):
    bought = fewest_extra(packs, gross_g)
    total = sum(size * count for size, count in bought)
    assert total >= gross_g
    assert all(total - size < gross_g for size, _ in bought)


@given(
    st.lists(st.integers(2, 30).map(lambda n: Decimal(50 * n)), min_size=1, max_size=3, unique=True), amounts
)
def test_no_other_packs_leave_less(packs: list[Decimal], gross_g: Decimal):
    total = sum(size * count for size, count in fewest_extra(tuple(packs), gross_g))
    reachable = {Decimal(0)}
    for size in packs:
        reachable = {had + size * n for had in reachable for n in range(int(gross_g // size) + 2)}
    assert total == min(amount for amount in reachable if amount >= gross_g)


pots = st.lists(
    st.tuples(st.integers(1, 12).map(lambda halves: Decimal(halves) / 2), st.booleans(), st.booleans()),
    min_size=1,
    max_size=5,
)


@given(pots)
def test_the_ledger_balances_to_the_gram(asked: list[tuple[Decimal, bool, bool]]):
    cooks = [Cook(f"pot {number}", "soup", MONDAY, portions) for number, (portions, _, _) in enumerate(asked)]
    plates = [
        plate(cook, "a", *(["dill"] if no_dill else []), *(["onion"] if no_onion else []))
        for cook, (_, no_dill, no_onion) in zip(cooks, asked, strict=True)
    ]
    for each in shop(cooks, plates).lines():
        assert each.need_g == sum(taking.need_g for taking in each.takings)
        assert each.buy_g == each.gross_g + each.left_g
        assert abs(each.gross_g * BOOK.foods[each.food].edible_share - each.need_g) < Decimal("1e-9")
        assert each.left_g >= 0
        assert each.buy_g == sum(size * count for size, count in each.packs) or (
            not each.packs and each.left_g < 50
        )
