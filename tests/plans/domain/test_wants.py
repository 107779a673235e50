"""What a brief asks besides its rules: presence, the kitchen's hours, an order of wants, stores and nutrients."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.domain.allowance import EaterRules
from plans.domain.brief import WANTS, Brief, Cook, NoWeek, Reason, Stored, Week
from plans.domain.planner.setting import lay
from plans.domain.planner.shortlist import seat
from plans.domain.planner.solve import plan_week
from plans.domain.planner.wants import TIMES, WANT_OF, weights
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Slot
from tests.plans.domain.every_week import MEALS
from tests.plans.domain.hand_made import GROWN_UP, MONDAY, brief, eater, food, line, recipe
from tests.plans.domain.test_every_week import BEEF, BOOK, CARROT, small_question, with_wants

ADA, BO = eater("ada", BOOK), eater("bo", BOOK)
TUESDAY = MONDAY + timedelta(days=1)
BOTH = brief((ADA, BO), BOOK, BEEF, CARROT, minutes=(60, 60))


def planned(asked: Brief) -> Week:
    week = plan_week(asked)
    assert isinstance(week, Week), week
    return week


def away(asked: Brief, who: str, *meals: tuple[int, Slot]) -> Brief:
    eaters = (replace(one, away=frozenset(meals)) if one.key == who else one for one in asked.eaters)
    return replace(asked, eaters=tuple(eaters))


def seats(week: Week) -> set[tuple[int, Slot, str]]:
    return {((plate.on - week.start).days, plate.slot, plate.eater) for plate in week.plates}


def reasons(week: Week, code: str) -> dict[str, Reason]:
    return {cook.recipe: reason for cook in week.cooks for reason in cook.why if reason.code == code}


def stored(key: str, grams: int, best_by: object = None) -> Stored:
    return Stored(key, Decimal(grams), "refrigerator", best_by)


class TestPresence:
    def test_one_who_is_away_gets_no_plate_and_takes_no_portion(self):
        meals = {(0, Slot.MIDDAY), (1, Slot.MIDDAY)}
        week = planned(away(BOTH, "bo", *meals))
        assert seats(week) == {
            (*meal, who) for meal in MEALS for who in ("ada", "bo") if who == "ada" or meal not in meals
        }
        assert sum(cook.portions for cook in week.cooks) == 6

    def test_a_meal_nobody_is_at_is_not_planned(self):
        asked = away(away(BOTH, "ada", (0, Slot.MIDDAY)), "bo", (0, Slot.MIDDAY))
        assert (0, Slot.MIDDAY) not in {seat[:2] for seat in seats(planned(asked))}

    def test_a_dish_need_only_suit_those_who_are_there(self):
        no_beef = eater("bo", BOOK, EaterRules(born=GROWN_UP, excluded=frozenset({"beef"})))
        asked = brief((ADA, no_beef), BOOK, BEEF, CARROT, minutes=(60,), most_repeats=1)
        assert isinstance(plan_week(asked), NoWeek)
        week = planned(away(asked, "bo", (0, Slot.EVENING)))
        eaten = {(plate.slot, plate.eater): plate.cook.split()[1] for plate in week.plates}
        assert eaten == {
            (Slot.MIDDAY, "bo"): "carrot-pot",
            (Slot.MIDDAY, "ada"): "carrot-pot",
            (Slot.EVENING, "ada"): "beef-pot",
        }

    def test_a_household_that_is_away_all_week_has_an_empty_week(self):
        week = planned(away(away(BOTH, "ada", *MEALS), "bo", *MEALS))
        assert (week.cooks, week.plates, week.gap) == ((), (), 0)

    def test_one_who_is_away_all_week_stands_in_nobodys_way(self):
        nothing = eater("bo", BOOK, EaterRules(born=GROWN_UP, excluded=frozenset({"beef", "carrot"})))
        asked = brief((ADA, nothing), BOOK, BEEF, CARROT, minutes=(60,))
        assert isinstance(plan_week(asked), NoWeek)
        assert {seat[2] for seat in seats(planned(away(asked, "bo", *MEALS)))} == {"ada"}

    @settings(max_examples=25, deadline=None)
    @given(st.integers(0, 10**6))
    def test_nobody_has_a_plate_where_they_are_away_and_everybody_else_has_one(self, seed: int):
        asked = with_wants(small_question(Random(seed)), Random(seed))
        week = plan_week(asked)
        if isinstance(week, Week):
            assert seats(week) == {
                (*meal, one.key) for one in asked.eaters for meal in MEALS if meal not in one.away
            }
            assert len(week.plates) == len(seats(week))


def test_many_who_are_there_at_different_times_still_eat_from_one_table():
    dishes = [replace(CARROT, key=f"pot-{n}", main=f"pot-{n}") for n in range(5)]
    meals = [(day, slot) for day in range(4) for slot in (Slot.MIDDAY, Slot.EVENING)]
    eaters = tuple(replace(eater(f"eater-{n}", BOOK), away=frozenset({meal})) for n, meal in enumerate(meals))
    setting = lay(brief(eaters, BOOK, *dishes, minutes=(60,) * 4, pot_ml=20_000))
    assert len(setting.groups) == 8
    assert seat(setting, (Slot.MIDDAY, Slot.EVENING), 5) == (tuple(range(8)),)


class TestTheKitchen:
    def test_no_pot_takes_longer_than_somebody_is_at_home(self):
        slow = replace(BEEF, elapsed_min=360)
        asked = brief((ADA,), BOOK, slow, CARROT, minutes=(60, 60))
        week = planned(replace(asked, kitchen=replace(asked.kitchen, at_home_min=(120, 360))))
        assert [(cook.on - MONDAY).days for cook in week.cooks if cook.recipe == "beef-pot"] == [1]

    def test_a_day_that_is_not_named_has_no_limit(self):
        slow = replace(BEEF, elapsed_min=360)
        asked = brief((ADA,), BOOK, slow, replace(CARROT, elapsed_min=360), minutes=(60, 60))
        short = replace(asked, kitchen=replace(asked.kitchen, at_home_min=(360,)))
        assert isinstance(plan_week(short), Week)

    def test_the_day_before_the_week_has_time(self):
        book = RuleBook.compile(None, [food("bones"), food("stock", aisle="home-made", home_made=True)])
        stock = recipe(
            "stock-pot",
            line("500 g", "bones", "broth"),
            slots=("mug",),
            kind="stock",
            makes="stock",
            portion=(Decimal(250), "ml"),
            servings=Decimal(4),
            elapsed_min=600,
        )
        asked = brief((eater("ada", book),), book, stock, minutes=(60, 60), slots=(Slot.MUG,))
        week = planned(replace(asked, kitchen=replace(asked.kitchen, at_home_min=(90, 90))))
        assert [(cook.on - MONDAY).days for cook in week.cooks] == [-1]

    def test_midday_of_a_day_out_comes_from_an_earlier_pot(self):
        asked = brief((ADA,), BOOK, BEEF, CARROT, minutes=(60, 60))
        week = planned(replace(asked, kitchen=replace(asked.kitchen, out=frozenset({1}))))
        (midday,) = (plate for plate in week.plates if (plate.on, plate.slot) == (TUESDAY, Slot.MIDDAY))
        assert midday.source == "kept"

    def test_midday_of_a_first_day_out_is_cooked_before_leaving(self):
        asked = brief((ADA,), BOOK, BEEF, CARROT, minutes=(60, 60))
        week = planned(replace(asked, kitchen=replace(asked.kitchen, out=frozenset({0}))))
        (midday,) = (plate for plate in week.plates if (plate.on, plate.slot) == (MONDAY, Slot.MIDDAY))
        assert midday.source == "fresh"

    def test_breakfast_is_cooked_before_leaving(self):
        porridge = replace(CARROT, key="porridge", main="porridge", slots=(Slot.BREAKFAST,), batch=False)
        asked = brief((ADA,), BOOK, porridge, minutes=(60,), slots=(Slot.BREAKFAST,))
        assert planned(replace(asked, kitchen=replace(asked.kitchen, out=frozenset({0})))).plates


class TestTheOrderOfWants:
    def test_the_usual_order_changes_no_price(self):
        assert set(weights(WANTS).values()) == {1}
        assert set(WANT_OF.values()) == set(WANTS)

    def test_a_want_moved_up_costs_more_and_the_others_what_they_did(self):
        moved = weights(("leaning", *WANTS[:-1]))
        assert moved == {part: TIMES[-1] if part == "leaning" else 1 for part in WANT_OF}
        assert weights(("time", "stores", *WANTS[2:]))["cooks"] == TIMES[1]

    @settings(max_examples=25, deadline=None)
    @given(st.integers(0, 10**6), st.sampled_from(WANTS), st.integers(0, 5))
    def test_a_want_moved_up_is_never_met_worse(self, seed: int, want: str, place: int):
        asked = replace(with_wants(small_question(Random(seed)), Random(seed)), wants=WANTS)
        usual = plan_week(asked)
        others = [other for other in WANTS if other != want]
        at = min(place, WANTS.index(want))
        moved = plan_week(replace(asked, wants=(*others[:at], want, *others[at:])))
        assert isinstance(moved, NoWeek) is isinstance(usual, NoWeek)
        if isinstance(usual, Week) and isinstance(moved, Week):
            assert usual.gap == moved.gap == 0
            assert _measure(moved, want) // TIMES[WANTS.index(want) - at] <= _measure(usual, want)


def _measure(week: Week, want: str) -> int:
    return sum(cost for part, cost in week.objective.items() if WANT_OF[part] == want)


class TestStores:
    ASKED = brief((ADA,), BOOK, BEEF, CARROT, minutes=(60, 60), slots=(Slot.EVENING,))

    def test_what_goes_bad_soon_is_used_in_time(self):
        for key, dish in (("beef", "beef-pot"), ("onion", "carrot-pot")):
            asked = replace(self.ASKED, stores=(stored(key, 20, MONDAY),))
            week = planned(asked)
            assert week.objective["stores"] == 0
            assert dish in {cook.recipe for cook in week.cooks if cook.on == MONDAY}

    def test_all_of_a_lot_left_costs_a_pot_and_a_fifth_where_it_keeps(self):
        beef_only = replace(self.ASKED, recipes=(BEEF, replace(CARROT, slots=(Slot.MIDDAY,))))
        assert planned(replace(beef_only, stores=(stored("onion", 100, TUESDAY),))).objective["stores"] == 100
        assert planned(replace(beef_only, stores=(stored("onion", 100),))).objective["stores"] == 20

    def test_what_no_dish_takes_costs_nothing(self):
        book = RuleBook.compile(None, [*BOOK.foods.values(), food("fig")])
        asked = replace(self.ASKED, foods=book.foods, stores=(stored("fig", 100, MONDAY),))
        assert planned(asked).objective["stores"] == 0

    def test_the_lot_that_goes_bad_first_is_used_first(self):
        lots = stored("beef", 200, TUESDAY), stored("beef", 200, MONDAY)
        week = planned(replace(self.ASKED, recipes=(replace(BEEF, batch=False),), stores=lots))
        assert week.objective["stores"] == 0
        told = [(cook.on, reason.facts["on"]) for cook in week.cooks for reason in _using(cook)]
        assert told == [(MONDAY, "2026-06-01"), (TUESDAY, "2026-06-02")]

    def test_grams_are_as_bought(self):
        foods = {**BOOK.foods, "beef": replace(BOOK.foods["beef"], edible_share=Decimal("0.5"))}
        asked = replace(self.ASKED, foods=foods, recipes=(BEEF,), stores=(stored("beef", 1000, TUESDAY),))
        week = planned(asked)
        assert week.objective["stores"] == 20
        assert sum(reason.facts["grams"] for cook in week.cooks for reason in _using(cook)) == 800

    def test_an_optional_food_somebody_must_leave_out_is_not_counted_on(self):
        no_onion = eater("bo", BOOK, EaterRules(born=GROWN_UP, excluded=frozenset({"onion"})))
        asked = brief((ADA, no_onion), BOOK, CARROT, minutes=(60,), stores=(stored("onion", 40, MONDAY),))
        assert planned(asked).objective["stores"] == 100

    def test_a_plate_food_is_used_by_the_plates_that_have_it(self):
        dish = recipe("dish", line("300 g", "carrot"), line("20 g", "onion", "raw", "plate"))
        no_onion = eater("bo", BOOK, EaterRules(born=GROWN_UP, excluded=frozenset({"onion"})))
        asked = brief((ADA, no_onion), BOOK, dish, minutes=(60,), stores=(stored("onion", 80, MONDAY),))
        assert planned(asked).objective["stores"] == 50

    def test_nothing_is_cooked_to_be_thrown_away(self):
        """Half a portion more would be 50 of waste and use 60 hundredths of two lots. With two seats plates are asked,
        which could cook more than is eaten."""
        lots = stored("onion", 33, MONDAY), stored("carrot", 500, MONDAY)
        asked = replace(self.ASKED, eaters=(ADA, BO), recipes=(replace(CARROT, batch=False),), stores=lots)
        week = planned(away(asked, "bo", (0, Slot.EVENING)))
        assert [cook.portions for cook in week.cooks] == [1, 2]
        assert week.objective["stores"] == 40 + 40

    def test_a_store_without_a_date_is_told_of_too(self):
        week = planned(replace(self.ASKED, stores=(stored("beef", 600),)))
        assert reasons(week, "uses-stored")["beef-pot"].facts == {"food": "Beef", "grams": 400}


def _using(cook: Cook) -> list[Reason]:
    return [reason for reason in cook.why if reason.code == "uses-up"]


class TestNourishment:
    FED = replace(ADA, targets={"energy_kcal": 1000.0, "protein_g": 50.0, "iron_mg": 10.0})
    ASKED = brief((FED,), BOOK, BEEF, CARROT, minutes=(60, 60), slots=(Slot.EVENING,), most_repeats=2)
    RICH = {"energy_kcal": 350.0, "protein_g": 20.0, "iron_mg": 4.0}
    POOR = {"energy_kcal": 175.0, "protein_g": 20.0, "iron_mg": 1.0}

    def held(self, **contents: dict[str, float]) -> Brief:
        return replace(self.ASKED, contents={f"{key}-pot": amounts for key, amounts in contents.items()})

    def test_what_is_missing_costs_by_the_hundredth(self):
        """Two evenings are 70 hundredths of a day: 700 kcal, and of iron two thirds of 7 mg."""
        asked = replace(self.held(carrot=self.POOR), recipes=(CARROT,))
        costs = planned(asked).objective
        assert (costs["energy"], costs["protein"], costs["micronutrients"]) == (3 * 50, 0, 67 - 28)

    def test_too_much_energy_costs_beyond_a_tenth(self):
        asked = replace(self.held(carrot=self.RICH | {"energy_kcal": 420.0}), recipes=(CARROT,))
        assert planned(asked).objective["energy"] == 3 * 10

    def test_meals_away_ask_for_nothing(self):
        asked = replace(self.held(carrot=self.POOR), recipes=(CARROT,))
        one_evening = planned(away(asked, "ada", (0, Slot.EVENING)))
        assert one_evening.objective["energy"] == 3 * 50

    def test_a_dish_of_unknown_content_neither_helps_nor_is_blamed(self):
        assert planned(replace(self.held(beef=self.POOR), recipes=(CARROT,))).objective["energy"] == 0
        once = replace(self.held(carrot=self.POOR), most_repeats=1)
        costs = planned(once).objective
        assert costs["energy"] == 3 * 25

    def test_without_targets_nothing_costs(self):
        asked = replace(self.held(carrot=self.POOR), eaters=(ADA,))
        assert not any(planned(asked).objective[part] for part in ("energy", "protein", "micronutrients"))

    def test_it_draws_the_week_to_what_nourishes_and_says_so(self):
        asked = self.held(carrot=self.POOR, beef=self.RICH)
        asked = replace(asked, wants=("nourishment", *(want for want in WANTS if want != "nourishment")))
        week = planned(asked)
        assert {cook.recipe for cook in week.cooks} == {"beef-pot"}
        assert reasons(week, "gives-much")["beef-pot"].facts == {"percent": 114, "nutrient": "iron_mg"}

    def test_each_of_two_is_looked_at(self):
        small = replace(BO, appetite=Decimal("0.5"), targets={"energy_kcal": 1000.0})
        asked = self.held(carrot=self.RICH)
        asked = replace(asked, recipes=(CARROT,), eaters=(self.FED, small))
        assert planned(asked).objective["energy"] == 3 * 50


@pytest.mark.parametrize("seed", range(12))
def test_the_same_question_in_another_order_gets_the_same_week(seed: int):
    asked = with_wants(small_question(Random(seed)), Random(seed))
    turned = replace(
        asked,
        eaters=asked.eaters[::-1],
        recipes=asked.recipes[::-1],
        foods=dict(reversed(asked.foods.items())),
        stores=asked.stores[::-1],
        contents=dict(reversed(asked.contents.items())),
    )
    assert plan_week(asked) == plan_week(turned)
