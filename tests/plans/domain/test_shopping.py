"""Shopping: nothing short, no pack too many, and a ledger that balances to the gram."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from plans.domain.brief import Cook, Plate, Week
from plans.domain.packs import fewest_extra
from plans.domain.rulebook import RuleBook
from plans.domain.shopping import Line, Lot, ShoppingList, shopping_list, shops_on
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


def week_of(cooks: list[Cook], plates: list[Plate]) -> Week:
    return Week(MONDAY, 7, tuple(cooks), tuple(plates), {}, 0.0, 0.0)


def shop(cooks: list[Cook], plates: list[Plate], *house: Lot) -> ShoppingList:
    return shopping_list(week_of(cooks, plates), BRIEF, house)


def lines(found: ShoppingList) -> dict[str, Line]:
    return {each.food: each for each in found.lines()}


def test_pots_are_scaled_and_bones_and_peel_are_bought_too():
    pot = cooked("3")
    found = lines(shop([pot], [plate(pot, "a"), plate(pot, "b")]))
    assert found["chicken"].need_g == 600
    assert found["chicken"].gross_g == Decimal(600) / Decimal("0.7")
    assert found["chicken"].packs == ((Decimal(1000), 1),)
    assert found["carrot"].packs == ()
    assert found["carrot"].buy_g == Decimal(225) / Decimal("0.89")
    assert found["carrot"].left_g == 0


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


def test_a_stock_that_no_pot_makes_is_bought_as_what_its_recipe_takes():
    # A litre of stock is 2.5 portions of 400 ml; a portion takes 800 g of bones.
    found = lines(shop([cooked("2")], []))
    assert (found["stock"].makeable, found["stock"].maker) == (True, "stock-pot")
    assert (found["stock"].need_g, found["stock"].make_g, found["stock"].buy_g) == (1000, 1000, 0)
    assert found["bones"].need_g == 2000


def test_stock_in_the_house_saves_its_bones():
    found = lines(shop([cooked("2")], [], Lot("stock", Decimal(600))))
    assert (found["stock"].make_g, found["bones"].need_g) == (400, 800)
    assert "bones" not in lines(shop([cooked("2")], [], Lot("stock", Decimal(1500))))


def test_what_is_in_the_house_is_not_bought():
    found = lines(shop([cooked("3")], [], Lot("chicken", Decimal(300)), Lot("dill", Decimal(5))))
    # 600 g edible are 857 g bought; 300 g are there: 557 g are short.
    assert found["chicken"].packs == ((Decimal(600), 1),)
    assert found["chicken"].from_house_g == 300
    assert "dill" not in found


def test_what_is_past_its_day_before_it_is_cooked_does_not_count():
    friday = MONDAY + timedelta(days=4)
    pots = [cooked("2"), replace(cooked("4"), on=friday)]
    lot = Lot("carrot", Decimal(1000), until=MONDAY + timedelta(days=2))
    found = lines(shop(pots, [], lot))["carrot"]
    assert found.from_house_g == Decimal(150) / Decimal("0.89")
    assert found.buy_g == Decimal(300) / Decimal("0.89")
    assert lines(shop(pots[1:], [], lot))["carrot"].house_g == 0


def test_what_spoils_first_is_used_first():
    friday = MONDAY + timedelta(days=4)
    pots = [cooked("2"), replace(cooked("4"), on=friday)]
    soon, later = Lot("onion", Decimal(40), until=MONDAY), Lot("onion", Decimal(80), until=friday)
    assert lines(shop(pots, [], later, soon))["onion"].buy_g == 0


def test_everything_is_bought_the_day_before_the_first_pot():
    eve = MONDAY - timedelta(days=1)
    assert shops_on(week_of([cooked("2")], [])) == eve
    assert shops_on(week_of([replace(cooked("2"), on=eve)], [])) == eve - timedelta(days=1)


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


@given(st.permutations([Decimal(600), Decimal(1000), Decimal(350)]), amounts)
def test_the_order_of_packs_makes_no_difference(packs: list[Decimal], gross_g: Decimal):
    assert fewest_extra(tuple(packs), gross_g) == fewest_extra(tuple(sorted(packs)), gross_g)


pots = st.lists(
    st.tuples(
        st.integers(1, 12).map(lambda halves: Decimal(halves) / 2),
        st.integers(0, 6).map(lambda days: MONDAY + timedelta(days=days)),
        st.booleans(),
        st.booleans(),
    ),
    min_size=1,
    max_size=5,
)
houses = st.lists(
    st.builds(
        Lot,
        st.sampled_from(["chicken", "carrot", "onion", "dill", "stock", "bones"]),
        st.decimals("0.5", "3000", places=1),
        st.none() | st.integers(-2, 8).map(lambda days: MONDAY + timedelta(days=days)),
    ),
    max_size=6,
)
A_GRAM = Decimal(1)
NOTHING = Decimal("1e-15")


def planned(asked: list[tuple[Decimal, date, bool, bool]]) -> tuple[list[Cook], list[Plate]]:
    cooks = [Cook(f"pot {number}", "soup", on, portions) for number, (portions, on, _, _) in enumerate(asked)]
    plates = [
        plate(cook, "a", *(["dill"] if no_dill else []), *(["onion"] if no_onion else []), on=cook.on)
        for cook, (_, _, no_dill, no_onion) in zip(cooks, asked, strict=True)
    ]
    return cooks, plates


@given(pots, houses)
def test_the_ledger_balances_to_the_gram(asked: list, house: list[Lot]):
    for each in shop(*planned(asked), *house).lines():
        food = BOOK.foods[each.food]
        used_g = sum(taking.need_g for taking in each.takings) / food.edible_share
        assert abs(used_g - each.gross_g) < NOTHING
        bought_g = sum(size * count for size, count in each.packs) if each.packs else each.buy_g
        assert bought_g == each.buy_g
        assert abs(bought_g + each.make_g + each.house_g - used_g - each.left_g) < A_GRAM / 1000
        assert each.left_g > -NOTHING


@given(pots, houses)
def test_nothing_is_short_and_no_pack_is_more_than_needed(asked: list, house: list[Lot]):
    for each in shop(*planned(asked), *house).lines():
        assert each.from_house_g + each.buy_g + each.make_g >= each.gross_g - NOTHING
        assert each.from_house_g <= each.house_g
        for size, _ in each.packs:
            assert each.from_house_g + each.buy_g - size < each.gross_g


@given(pots, houses)
def test_every_day_has_what_it_takes_from_the_house_before_it_spoils(asked: list, house: list[Lot]):
    """By brute force: up to each day the house can have given no more than what was good then."""
    for each in shop(*planned(asked), *house).lines():
        share = BOOK.foods[each.food].edible_share
        lots = [lot for lot in house if lot.food == each.food]
        last = max(taking.on for taking in each.takings)
        most = sum(lot.amount_g for lot in lots if lot.until is None or lot.until >= each.takings[0].on)
        assert each.from_house_g <= min(most, each.gross_g)
        if all(lot.until is None or lot.until >= last for lot in lots):
            assert abs(each.from_house_g - min(most, each.gross_g)) < NOTHING
        for day in {lot.until for lot in lots if lot.until}:
            by_then = sum(taking.need_g / share for taking in each.takings if taking.on <= day)
            lasting = sum(lot.amount_g for lot in lots if lot.until is None or lot.until > day)
            assert each.from_house_g <= by_then + lasting + NOTHING


@given(pots, houses, st.randoms())
def test_the_order_of_what_is_handed_in_makes_no_difference(asked: list, house: list[Lot], chance):
    cooks, plates = planned(asked)
    before = shop(cooks, plates, *house)
    for part in (cooks, plates, house):
        chance.shuffle(part)
    assert shop(cooks, plates, *house) == before


def test_thirds_of_a_pack_add_up_to_a_pack():
    dish = recipe("dish", line("500 g", "chicken"), servings=Decimal(3))
    table = brief((eater("a", BOOK),), BOOK, dish)
    cooks = [Cook(f"pot {number}", "dish", MONDAY, Decimal(1)) for number in range(3)]
    foods = dict(table.foods) | {"chicken": food("chicken", packs_g=(Decimal(500),))}
    found = lines(shopping_list(week_of(cooks, []), replace(table, foods=foods)))
    assert found["chicken"].packs == ((Decimal(500), 1),)
