"""Everything the planner can say has words."""

import pytest

from clients.models import Week
from clients.services.weeks import week_plan, week_values
from clients.wording.weeks import COST, GIVEN_UP, quality_words, reason_words
from plans.domain.brief import Reason
from tests.factories import NOON, TODAY


def test_every_part_of_a_plans_cost_has_words(kitchen):
    week = Week.objects.create(household=kitchen, start=TODAY, asked_at=NOON)
    week_plan(week_id=week.pk, at=NOON)
    plan, _ = week_values(Week.objects.get(pk=week.pk))
    assert set(plan.objective) <= set(COST)
    for cook in plan.cooks:
        assert all("%(" not in reason_words(reason) for reason in cook.why)


@pytest.mark.parametrize(
    ("reason", "said"),
    [
        (Reason("feeds-all", {"meals": 1}), "Feeds everyone at 1 meal."),
        (
            Reason("more-minutes", {"on": "2026-06-18", "minutes": 5}),
            "Find 5 more minutes on Thursday 18 June.",
        ),
        (
            Reason(
                "lock-food-gone",
                {"slot": "evening", "on": "2026-06-18", "dish": "Chicken soup", "food": "Chicken"},
            ),
            "The evening meal on Thursday 18 June is to stay Chicken soup, which cannot be cooked any more without "
            "Chicken.",
        ),
        (Reason("resized", {"before": "3.5", "after": "2"}), "2 portions in place of 3.5."),
        (Reason(GIVEN_UP, {}), "The planning broke off several times. Ask again in a while."),
    ],
)
def test_reasons_read_as_sentences(reason, said):
    assert reason_words(reason) == said


@pytest.mark.parametrize(
    ("gap", "said"),
    [
        (0.0, "No better week can be made from the dishes that were considered."),
        (0.142, "No week from the dishes that were considered can be more than 14 % better."),
    ],
)
def test_how_good_a_plan_is(gap, said):
    assert quality_words(gap) == said
