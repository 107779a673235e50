"""Weeks in columns: the pieces of a price add up, the bound is one, and a week costs what it says."""

from dataclasses import replace
from itertools import islice
from math import inf
from random import Random

import pytest

from plans.domain.brief import Brief, Week
from plans.domain.planner.columns import Column, Duals, priced
from plans.domain.planner.pricing import Pricing
from plans.domain.planner.program import program
from plans.domain.planner.relaxation import ONLY_WHOLE, Relaxation
from plans.domain.planner.search import search
from plans.domain.planner.setting import lay
from plans.domain.planner.solve import plan_week
from tests.bench.frozen_briefs import brief
from tests.bench.wanted_briefs import wanted
from tests.bench.week_cost import week_cost
from tests.efforts import QUICK


def shuffled(asked: Brief) -> Brief:
    """The same question in another order."""
    luck = Random(1)
    return replace(
        asked,
        eaters=tuple(luck.sample(asked.eaters, k=len(asked.eaters))),
        recipes=tuple(luck.sample(asked.recipes, k=len(asked.recipes))),
        foods=dict(luck.sample(list(asked.foods.items()), k=len(asked.foods))),
        stores=tuple(luck.sample(asked.stores, k=len(asked.stores))),
    )


@pytest.mark.parametrize("number", [0, 13])
def test_a_reduced_cost_is_the_cost_less_what_the_rows_are_worth(number: int):
    made = program(lay(brief(number)))
    luck = Random(number)
    duals = {row: -luck.random() * 9 for row in made.rows} | {row: luck.random() * 99 for row in made.meals}
    for offer in luck.sample(made.offers, k=20):
        for reduced, meals in priced(offer, duals).columns_below(-50):
            column = offer.column(meals)
            assert reduced == pytest.approx(column.cost - worth(column, duals))


def worth(column: Column, duals: Duals) -> float:
    """What a column takes of the rows a relaxation has, at their duals."""
    return sum(duals[row] * amount for row, amount in column.uses.items() if row[0] not in ONLY_WHOLE)


def test_no_column_pays_at_the_final_prices():
    relaxed = Relaxation(program(lay(brief(0)))).solve()
    assert relaxed.whole
    assert relaxed.within(-0.01, 0) == []


@pytest.mark.parametrize("asks", [(), ("away", "kitchen", "stores", "diet")])
@pytest.mark.parametrize("number", [0, 1])
def test_offers_priced_together_are_priced_as_one_by_one(number: int, asks: tuple[str, ...]):
    made = program(lay(wanted(number, *asks)))
    luck = Random(number)
    duals = {row: -luck.random() * 9 for row in made.rows} | {row: luck.random() * 99 for row in made.meals}
    pricing = Pricing(made.offers, (*made.meals, *made.rows))
    taken = frozenset(row[1:] for row in luck.sample(made.meals, k=9))
    for offer, least in zip(made.offers, pricing.least(pricing.duals(duals), taken), strict=True):
        alone = priced(offer, duals, taken)
        if alone is None:
            assert least == inf
        else:
            assert least <= alone.least() + 1e-6
            assert least == pytest.approx(alone.least()) or offer.most_mains < len(offer.touches)


@pytest.mark.parametrize("number", [0, 1])
def test_the_week_costs_no_less_than_the_relaxation_and_is_the_same_in_any_order(number: int):
    asked = brief(number)
    week = plan_week(asked, effort=QUICK)
    assert isinstance(week, Week)
    assert week == plan_week(shuffled(asked), effort=QUICK)
    assert Relaxation(program(lay(asked))).solve().bound <= week.bound <= sum(week.objective.values())


EVERYTHING = ("away", "kitchen", "stores", "diet")


def test_a_reduced_cost_is_right_too_where_the_table_changes_by_meal():
    made = program(lay(wanted(1, *EVERYTHING)))
    assert any(len(set(offer.shares.values())) > 1 for offer in made.offers)
    luck = Random(1)
    duals = {row: -luck.random() * 9 for row in made.rows if row[0] not in ("lot", "intake no more")}
    duals |= {row: -luck.random() / 999 for row in made.rows if row not in duals}
    duals |= {row: luck.random() * 99 for row in made.meals}
    for offer in luck.sample(made.offers, k=30):
        at_duals = priced(offer, duals)
        assert at_duals is not None
        least = at_duals.least()
        for reduced, meals in islice(at_duals.columns_below(least + 60), 40):
            column = offer.column(meals)
            assert reduced == pytest.approx(column.cost - worth(column, duals))
            assert reduced >= least - 1e-6 or len(meals) > len({meal[0] for meal in meals})


def test_plates_price_a_week_in_columns_alike_whatever_is_wanted_and_in_any_order():
    asked = wanted(1, *EVERYTHING)
    found = search(program(lay(asked)), QUICK)
    week = plan_week(shuffled(asked), effort=QUICK)
    assert found is not None
    assert isinstance(week, Week)
    assert sum(week.objective.values()) == found.week.cost
    assert week.bound == found.bound


@pytest.mark.parametrize("number", [0, 5, 9, 22])
def test_a_week_costs_what_it_says(number: int):
    asked = brief(number)
    week = plan_week(asked, effort=QUICK)
    assert isinstance(week, Week)
    assert sum(week.objective.values()) == week_cost(asked, week)
