"""Packs that a week opens: which count, what is left of them, and that a week takes dishes that finish them."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from math import ceil

from hypothesis import given, settings
from hypothesis import strategies as st

from plans.domain.brief import Brief, Revision, Stored, Week
from plans.domain.planner.opened import Pack, packs
from plans.domain.planner.setting import novelty
from plans.domain.planner.solve import plan_week
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Slot
from tests.plans.domain.hand_made import MONDAY, brief, eater, food, line, recipe

TUESDAY = MONDAY + timedelta(days=1)
BOOK = RuleBook.compile(
    None,
    [
        food("spinach", packs_g=(Decimal(400), Decimal(200)), fridge_days=5, freezer_days=0),
        food("courgette", packs_g=(Decimal(500),), fridge_days=7, freezer_days=240),
        food("cabbage", packs_g=(Decimal(800),), fridge_days=30),
        food("leek", fridge_days=5),
        food("kefir", packs_g=(Decimal(500),), fridge_days=7, home_made=True),
        food("rice"),
    ],
)
ADA, BO = eater("ada", BOOK), eater("bo", BOOK)


def dish(key: str, *lines: str) -> object:
    return recipe(
        key, line("300 g", "rice"), *(line(each, key_) for each, key_ in map(_apart, lines)), batch=False
    )


def _apart(text: str) -> tuple[str, str]:
    amount, key = text.rsplit(" ", 1)
    return amount, key


PIE = dish("pie", "120 g spinach")
STEW = dish("stew", "80 g leek")
ROAST = dish("roast", "130 g courgette")
EVENINGS = {"slots": (Slot.EVENING,)}


def asked(*dishes: object, **fields: object) -> Brief:
    return brief((ADA,), BOOK, *dishes, minutes=(60, 60), **(EVENINGS | fields))


def planned(question: Brief) -> Week:
    week = plan_week(question)
    assert isinstance(week, Week), week
    return week


class TestWhichCount:
    ALL = BOOK.foods.keys()

    def test_fresh_foods_in_packs_by_their_smallest_pack_unless_they_can_be_frozen(self):
        question = asked(PIE)
        assert packs(question, self.ALL) == (Pack("spinach", Decimal(200)),)

    def test_without_a_freezer_nothing_can_be_frozen(self):
        assert packs(asked(PIE, freezer=False), ["courgette"]) == (Pack("courgette", Decimal(500)),)

    def test_a_pack_in_the_house_is_open_already(self):
        question = asked(PIE, stores=(Stored("spinach", Decimal(50), "refrigerator"),))
        assert packs(question, ["spinach"]) == ()

    def test_what_a_recipe_makes_is_not_bought(self):
        makes = replace(PIE, key="pot", makes="spinach")
        assert packs(asked(PIE, makes), ["spinach"]) == ()


class TestWhatIsLeft:
    def test_a_week_takes_the_dish_that_finishes_a_pack(self):
        """On Tuesday there is only time for pie. of 200 g spinach it takes 120 g and one soup of Monday's three 80 g;
        84 g would open another pack."""
        question = replace(asked(replace(PIE, hands_on_min=10)), most_repeats=1)
        question = replace(question, kitchen=replace(question.kitchen, hands_on_min=(60, 10)))
        equal = [key for key in map("soup-{}".format, range(99)) if novelty(question, key) == 5][:3]
        for finishing in equal:
            grams = {key: 80 if key == finishing else 84 for key in equal}
            soups = [dish(key, f"{amount} g spinach") for key, amount in grams.items()]
            week = planned(replace(question, recipes=(*question.recipes, *soups)))
            assert [cook.recipe for cook in week.cooks] == [finishing, "pie"]
            assert week.objective["packs"] == 0

    def test_a_twentieth_of_a_pack_costs_one_unless_it_can_be_frozen(self):
        assert planned(asked(PIE)).objective["packs"] == 16
        assert planned(asked(ROAST)).objective["packs"] == 0
        assert planned(asked(ROAST, freezer=False)).objective["packs"] == 10

    def test_what_may_stay_out_of_a_pot_opens_nothing(self):
        bowl = recipe(
            "bowl", line("300 g", "rice"), line("50 g", "spinach", "boiled", "optional"), batch=False
        )
        assert planned(asked(bowl)).objective["packs"] == 0

    @given(st.lists(st.integers(min_value=1, max_value=99), min_size=1, max_size=3, unique=True))
    @settings(deadline=None, max_examples=30)
    def test_it_is_what_the_fewest_packs_hold_over(self, hundredths: list[int]):
        """Amounts are whole hundredths of a pack for half a portion, so that nothing is rounded."""
        dishes = [dish(f"dish-{4 * each}", f"{4 * each} g spinach") for each in hundredths]
        week = planned(asked(*dishes))
        used = sum(int(cook.recipe.removeprefix("dish-")) * int(cook.portions) for cook in week.cooks)
        assert week.objective["packs"] == ceil(20 * (-used % 200) / 200)


def test_a_pot_that_is_cooked_may_hold_more_than_is_still_eaten():
    """The stew of Monday was for two on both days; then one goes away."""
    kept = replace(STEW, batch=True)
    stores = (Stored("leek", Decimal(400), "refrigerator", TUESDAY),)
    question = replace(asked(kept, stores=stores), eaters=(ADA, BO))
    week = planned(replace(question, kitchen=replace(question.kitchen, hands_on_min=(60, 0))))
    assert [cook.portions for cook in week.cooks] == [4]
    away = replace(question, eaters=(ADA, replace(BO, away=frozenset({(1, Slot.EVENING)}))))
    again = plan_week(replace(away, revision=Revision(week, from_day=1)))
    assert isinstance(again, Week), again
    assert [(plate.eater, plate.on) for plate in again.plates if plate.on > MONDAY] == [("ada", TUESDAY)]
