"""What is different between two weeks, said as plain rows; and that saying it needs no solver."""

import subprocess
import sys
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.brief import Cook, Plate, Week
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Slot
from plans.domain.week_changes import CostChange, MealChange, PotChangeKind, differences
from tests.plans.domain.hand_made import MONDAY, brief, eater, food, line, recipe

ROOT = Path(__file__).parents[3]
BOOK = RuleBook.compile(None, [food("beef", aisle="meat"), food("carrot")])
DISHES = (
    recipe("beef-pot", line("200 g", "beef"), hands_on_min=30),
    recipe("carrot-pot", line("300 g", "carrot"), hands_on_min=15),
)
BRIEF = brief((eater("b", BOOK), eater("a", BOOK)), BOOK, *DISHES, minutes=(60, 60))


def day(number: int):
    return MONDAY + timedelta(days=number)


def week(*pots: tuple[str, int, str], **objective: int) -> Week:
    """Recipe, day of cooking, and who eats of it on which day at midday: ``"0a 0b 1a"``."""
    cooks, plates = [], []
    for key, on, eaten in pots:
        cooks.append(Cook(f"{day(on)} {key}", key, day(on), Decimal(len(eaten.split()))))
        for then, who in eaten.split():
            plates.append(Plate(day(int(then)), Slot.MIDDAY, who, cooks[-1].key, Decimal(1)))
    return Week(MONDAY, 2, tuple(cooks), tuple(plates), objective, 0.0, 0.0)


BEFORE = week(("beef-pot", 0, "0a 0b 1a"), ("carrot-pot", 1, "1b"), cooks=200)


def test_a_week_does_not_differ_from_itself():
    found = differences(BEFORE, BEFORE, BRIEF)
    assert found.none
    assert [(row.on, row.before, row.after) for row in found.minutes] == [(day(0), 30, 30), (day(1), 15, 15)]
    assert found.costs == (CostChange("cooks", 200, 200),)


def test_meals_name_those_whose_dish_is_another_in_the_order_of_the_brief():
    after = week(("carrot-pot", 0, "0a 0b"), ("beef-pot", 1, "1a"), ("carrot-pot", 1, "1b"), changes=3)
    found = differences(BEFORE, after, BRIEF)
    assert found.meals == (MealChange(day(0), Slot.MIDDAY, ("b", "a"), "beef-pot", "carrot-pot"),)
    assert [(pot.kind, pot.recipe) for pot in found.pots] == [
        (PotChangeKind.ADDED, "carrot-pot"),
        (PotChangeKind.MOVED, "beef-pot"),
    ]
    assert found.costs == (CostChange("cooks", 200, 0), CostChange("changes", 0, 3))
    assert [(row.before, row.after) for row in found.minutes] == [(30, 15), (15, 45)]


def test_a_plate_that_is_no_more_and_a_pot_that_is_smaller_for_it():
    after = week(("beef-pot", 0, "0a 0b"), ("carrot-pot", 1, "1b"))
    found = differences(BEFORE, after, BRIEF)
    assert found.meals == (MealChange(day(1), Slot.MIDDAY, ("a",), "beef-pot", ""),)
    (pot,) = found.pots
    assert (pot.kind, pot.before.portions, pot.after.portions) == (PotChangeKind.RESIZED, 3, 2)


def test_a_dish_out_of_another_pot_is_no_other_meal():
    after = week(("beef-pot", 0, "0a 0b"), ("beef-pot", 1, "1a"), ("carrot-pot", 1, "1b"))
    found = differences(BEFORE, after, BRIEF)
    assert not found.meals
    assert [pot.kind for pot in found.pots] == [PotChangeKind.RESIZED, PotChangeKind.ADDED]


def test_what_is_cooked_on_the_eve_has_a_row_of_minutes():
    after = replace(BEFORE, cooks=(*BEFORE.cooks, Cook("eve", "beef-pot", day(-1), Decimal(2))))
    assert differences(BEFORE, after, BRIEF).minutes[0].on == day(-1)


def test_a_recipe_that_is_not_in_the_brief_is_an_error():
    with pytest.raises(KeyError):
        differences(BEFORE, BEFORE, replace(BRIEF, recipes=DISHES[:1]))


POTS = st.lists(
    st.tuples(st.sampled_from([dish.key for dish in DISHES]), st.sampled_from((0, 1))), unique=True
).map(
    lambda pots: week(
        *((key, on, f"{on}a") for key, on in pots[:1]), *((key, on, "") for key, on in pots[1:])
    )
)


@given(POTS, POTS)
def test_the_way_back_is_the_way_there_turned_round(one: Week, other: Week):
    there, back = differences(one, other, BRIEF), differences(other, one, BRIEF)
    assert [(meal.before, meal.after) for meal in there.meals] == [
        (meal.after, meal.before) for meal in back.meals
    ]
    turned = {PotChangeKind.ADDED: PotChangeKind.DROPPED, PotChangeKind.DROPPED: PotChangeKind.ADDED}
    assert sorted((turned.get(pot.kind, pot.kind), pot.recipe) for pot in there.pots) == sorted(
        (pot.kind, pot.recipe) for pot in back.pots
    )
    assert there.none == (one.cooks == other.cooks and one.plates == other.plates) or one != other


@pytest.mark.parametrize("module", ["plans.domain.week_changes", "plans.domain.planner.alternatives"])
def test_pages_load_no_solver(module: str):
    script = f"import sys, {module}; sys.exit('ortools' in sys.modules)"
    subprocess.run([sys.executable, "-c", script], cwd=ROOT, check=True)
