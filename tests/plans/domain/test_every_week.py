"""Small questions answered by trying every week there is: the planner finds one as cheap, or there is none."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from random import Random

import pytest

from plans.domain.allowance import EaterRules
from plans.domain.book import Food
from plans.domain.brief import WANTS, Brief, NoWeek, Stored, Week
from plans.domain.planner.program import program
from plans.domain.planner.search import search
from plans.domain.planner.setting import lay
from plans.domain.planner.solve import plan_week
from plans.domain.planner.solving import Effort
from plans.domain.rulebook import RuleBook
from tests.plans.domain.every_week import MEALS, best_week
from tests.plans.domain.hand_made import GROWN_UP, MONDAY, brief, eater, food, line, recipe

BOOK = RuleBook.compile(None, [food("beef", aisle="meat"), food("carrot"), food("onion")])
BEEF = recipe("beef-pot", line("200 g", "beef"), line("100 g", "carrot"))
CARROT = recipe("carrot-pot", line("300 g", "carrot"), line("20 g", "onion", "boiled", "optional"))


def small_question(random: Random) -> Brief:
    """Two dishes on two days for one or two eaters, with random times, keeping and tastes."""
    dishes = [
        replace(
            dish,
            hands_on_min=random.choice((10, 20, 30)),
            fridge_days=random.choice((0, 1, 3)),
            freezer_days=random.choice((0, 90)),
            batch=random.random() < 0.8,
        )
        for dish in (BEEF, CARROT)
    ]
    eaters = [eater("a", BOOK, dislikes=frozenset(random.choice(((), ("beef",)))))]
    if random.random() < 0.5:
        rules = EaterRules(born=GROWN_UP, excluded=frozenset(random.choice(((), ("beef",)))))
        eaters.append(eater("b", BOOK, rules, appetite=Decimal(random.choice(("0.4", "1.2")))))
    return brief(
        tuple(eaters),
        BOOK,
        *dishes,
        minutes=(random.choice((20, 30, 60)), random.choice((0, 20, 60))),
        pot_ml=random.choice((900, 4000)),
        freezer=random.random() < 0.5,
        most_repeats=random.choice((2, 3)),
    )


def with_wants(asked: Brief, random: Random) -> Brief:
    """The same, with somebody away, days out, hours at home, foods in the house, targets and an order of wants."""
    eaters = tuple(
        replace(
            one,
            away=frozenset(meal for meal in MEALS if random.random() < 0.3),
            targets={"energy_kcal": float(random.choice((1000, 2000)))} if random.random() < 0.7 else {},
        )
        for one in asked.eaters
    )
    contents = {"beef-pot": {"energy_kcal": float(random.choice((300, 800)))}}
    if random.random() < 0.5:
        contents["carrot-pot"] = {"energy_kcal": 200.0}
    return replace(
        asked,
        eaters=eaters,
        recipes=tuple(
            replace(dish, elapsed_min=random.choice((40, 40, 120)), batch=random.random() < 0.9)
            for dish in asked.recipes
        ),
        kitchen=replace(
            asked.kitchen,
            hands_on_min=random.choice(((60, 60), (60, 30), (30, 60), (60, 0))),
            pots_ml=(4000,),
            out=frozenset(day for day in (0, 1) if random.random() < 0.2),
            at_home_min=random.choice(((), (), (60,), (200, 60), (60, 200))),
        ),
        stores=tuple(
            Stored(
                kind, Decimal(random.choice((150, 400))), "cupboard", random.choice((None, MONDAY, TUESDAY))
            )
            for kind in ("beef", "carrot")
            if random.random() < 0.6
        ),
        foods={key: _in_packs(food, random) for key, food in asked.foods.items()},
        contents=contents,
        wants=tuple(random.sample(WANTS, k=len(WANTS))),
    )


def _in_packs(food: Food, random: Random) -> Food:
    return replace(
        food,
        packs_g=random.choice(((), (Decimal(150),), (Decimal(700), Decimal(400)))),
        fridge_days=random.choice((2, 7, 8)),
        freezer_days=random.choice((None, 0, 90)),
    )


TUESDAY = MONDAY + timedelta(days=1)


def hold_against_all(asked: Brief) -> None:
    best, answer = best_week(asked), plan_week(asked)
    if best is None:
        assert isinstance(answer, NoWeek)
    else:
        assert isinstance(answer, Week)
        assert sum(answer.objective.values()) == best
        assert (answer.bound, answer.gap) == (best, 0)


@pytest.mark.parametrize("seed", range(40))
def test_no_week_is_better_than_the_planned_one(seed: int):
    hold_against_all(small_question(Random(seed)))


@pytest.mark.parametrize("seed", range(60))
def test_no_week_does_what_is_wanted_better(seed: int):
    hold_against_all(with_wants(small_question(Random(seed)), Random(seed)))


@pytest.mark.parametrize("seed", range(40))
def test_no_week_at_a_table_that_changes_by_meal_is_better(seed: int):
    """Two who may eat the same but are not there for the same meals, in columns."""
    random = Random(seed)
    asked = small_question(random)
    both = (asked.eaters[0], eater("b", BOOK, appetite=Decimal(random.choice(("0.4", "1.2")))))
    asked = with_wants(replace(asked, eaters=both), random)
    best, setting = best_week(asked, one_table=True), lay(asked)
    found = search(program(setting), Effort()) if setting.groups else None
    if best is None or not setting.groups:
        assert found is None
    else:
        assert found is not None
        assert (found.week.cost, found.bound) == (best, best)
