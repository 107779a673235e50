"""Small questions answered by trying every week there is: the planner finds one as cheap, or there is none."""

from dataclasses import replace
from decimal import Decimal
from itertools import product
from random import Random

import pytest

from plans.domain.allowance import EaterRules
from plans.domain.brief import Brief, NoWeek, Week
from plans.domain.planner.goals import (
    A_DISLIKE,
    A_MINUTE_ON_A_BUSY_DAY,
    A_POT,
    A_SECOND_DISH,
    A_THAWED_SERVING,
    FURTHER_MEALS,
    NOVELTY,
    SAME_DAY,
    THE_SAME_MAIN_AGAIN,
)
from plans.domain.planner.setting import novelty
from plans.domain.planner.solve import plan_week
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Slot
from tests.plans.domain.hand_made import GROWN_UP, brief, eater, food, line, recipe

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


def least_cost(asked: Brief) -> int | None:
    """The cost of the best of all weeks, each tried in turn; None when none keeps the rules."""
    pots = list(product(asked.recipes, (0, 1)))
    meals = list(product((0, 1), (Slot.MIDDAY, Slot.EVENING)))
    reach = {
        day: [pot for pot in pots if pot[1] == day or (pot[1] < day and _lasts(asked, pot[0]))]
        for day in (0, 1)
    }
    seats = [
        (who, meal, [pot for pot in reach[meal[0]] if _may_eat(who, pot[0])])
        for who, meal in product(asked.eaters, meals)
    ]
    costs = (
        _cost(asked, [(who, meal, pot) for (who, meal, _), pot in zip(seats, chosen, strict=True)])
        for chosen in product(*(choices for _, _, choices in seats))
    )
    return min((cost for cost in costs if cost is not None), default=None)


def _lasts(asked, dish):
    return dish.batch and (dish.fridge_days >= 1 or (asked.kitchen.freezer and dish.freezer_days >= 1))


def _may_eat(who, dish):
    return all(who.days[0][row.food].allowance for row in dish.ingredients if row.use.value == "base")


def _cost(asked, plates):
    """The cost of one week by the words of the planner's goals, or None when it breaks a rule."""
    table = {(meal, pot) for _, meal, pot in plates}
    if len({(meal, pot[0].key) for meal, pot in table}) < len(table):
        return None
    if any(
        sum(pot[0].main == dish.main for eater_, _, pot in plates if eater_ is who) > asked.most_repeats
        for who in asked.eaters
        for dish in asked.recipes
    ):
        return None
    pots = {pot for _, pot in table}
    minutes = asked.kitchen.hands_on_min
    if any(sum(dish.hands_on_min for dish, on in pots if on == day) > minutes[day] for day in (0, 1)):
        return None
    cost = 0
    for dish, day in pots:
        eaten = sum((who.appetite for who, _, pot in plates if pot == (dish, day)), Decimal(0))
        halves = max(2, -(-int(eaten * 100) // 50))
        if halves * 200 > asked.kitchen.pots_ml[0]:
            return None
        cost += A_POT + NOVELTY * novelty(asked, dish.key) + halves * 50 - int(eaten * 100)
        cost += A_MINUTE_ON_A_BUSY_DAY * dish.hands_on_min * (max(minutes) - minutes[day]) // max(minutes)
        further = sum(pot == (dish, day) for _, pot in table) - 1
        cost += sum(FURTHER_MEALS[min(number, len(FURTHER_MEALS) - 1)] for number in range(further))
    for dish in asked.recipes:
        cost += THE_SAME_MAIN_AGAIN * max(0, sum(pot[0] is dish for pot in pots) - 1)
        for day in (0, 1):
            cost += SAME_DAY * (sum(pot[0] is dish and meal[0] == day for meal, pot in table) > 1)
    for (day, _), (dish, cooked) in table:
        cost += A_THAWED_SERVING * (day > cooked and dish.fridge_days < day - cooked)
    cost += sum(
        A_SECOND_DISH * (sum(meal == at for meal, _ in table) - 1) for at in {meal for meal, _ in table}
    )
    return cost + sum(
        A_DISLIKE for who, _, (dish, _) in plates if any(row.food in who.dislikes for row in dish.ingredients)
    )


@pytest.mark.parametrize("seed", range(40))
def test_no_week_is_better_than_the_planned_one(seed: int):
    asked = small_question(Random(seed))
    best, answer = least_cost(asked), plan_week(asked)
    if best is None:
        assert isinstance(answer, NoWeek)
    else:
        assert isinstance(answer, Week)
        assert sum(answer.objective.values()) == best
        assert (answer.bound, answer.gap) == (best, 0)
