"""Why there is no week: small questions whose smallest set of facts is known, in the words people read."""

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clients.wording.weeks import conflict_words, offers, relaxation_words
from plans.domain.allowance import EaterRules
from plans.domain.brief import Brief, NoWeek, Week
from plans.domain.planner import core
from plans.domain.planner.changes import changed
from plans.domain.planner.core import Question, collision
from plans.domain.planner.solve import plan_week
from plans.domain.planner.solving import Effort
from plans.domain.planner.why import offered, why_no_week
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Slot
from tests.plans.domain.hand_made import (
    GROWN_UP,
    brief,
    eater,
    food,
    line,
    on_stage,
    protocol,
    recipe,
    rule,
)
from tests.plans.domain.test_planner import BEEF, BOOK, BROTH_BOWL, CARROT, FOODS, STOCK

QUICK = Effort(first=0.5, a_round=0.1, rounds=0, splits=0, most=0.0)
NO_BEEF = EaterRules(born=GROWN_UP, excluded=frozenset({"beef"}))
NO_CARROT = EaterRules(born=GROWN_UP, excluded=frozenset({"carrot"}))


def why(asked: Brief) -> NoWeek:
    answer = plan_week(asked, effort=QUICK)
    assert isinstance(answer, NoWeek), answer
    return answer


def said(asked: Brief) -> list[str]:
    return [str(words) for words in conflict_words(why(asked).conflicts)]


def helps(asked: Brief) -> list[str]:
    return [relaxation_words(offer) for offer in offers(why(asked).relaxations)]


def kinds(asked: Brief) -> list[str]:
    question = Question(asked)
    suspects = question.suspects()
    assert suspects is not None
    return sorted(fact.kind for fact in collision(question, suspects).facts)


class TestMinutes:
    asked = brief((eater("ana", BOOK),), BOOK, BEEF, CARROT, minutes=(60, 10, 60), freezer=False)
    fresh = replace(asked, recipes=tuple(replace(dish, batch=False) for dish in asked.recipes))

    def test_leftovers_make_up_for_a_short_day(self):
        assert isinstance(plan_week(self.asked, effort=QUICK), Week)

    def test_a_day_too_short_for_dishes_that_do_not_keep(self):
        assert kinds(self.fresh) == ["meal", "minutes"]
        assert said(self.fresh) == [
            "Tuesday 2 June has 10 minutes, and the shortest dish for the midday meal takes 20."
        ]

    def test_the_least_minutes_come_first(self):
        assert helps(self.fresh)[0] == "Find 10 more minutes on Tuesday 2 June."

    def test_two_short_days_are_two_collisions_and_one_offer(self):
        asked = brief((eater("ana", BOOK),), BOOK, *self.fresh.recipes, minutes=(15, 10))
        assert said(asked) == [
            "Monday 1 June has 15 minutes, and the shortest dish for the midday meal takes 20.",
            "Tuesday 2 June has 10 minutes, and the shortest dish for the midday meal takes 20.",
        ]
        assert (
            helps(asked)[0]
            == "Find 5 more minutes on Monday 1 June and find 10 more minutes on Tuesday 2 June."
        )

    def test_several_days_together_may_cost_less_than_one(self):
        asked = brief((eater("a", BOOK),), BOOK, BEEF, CARROT, minutes=(5, 15, 60), freezer=False)
        assert helps(asked)[:2] == [
            "Find 15 more minutes on Monday 1 June and find 5 more minutes on Tuesday 2 June.",
            "Find 35 more minutes on Monday 1 June.",
        ]

    def test_exclusions_that_ask_for_two_pots(self):
        steak = recipe("steak", line("200 g", "beef"))
        asked = brief(
            (eater("ana", BOOK, NO_BEEF), eater("ivo", BOOK, NO_CARROT)), BOOK, steak, CARROT, minutes=(30,)
        )
        assert kinds(asked) == ["allowed", "allowed", "meal", "meal", "minutes"]
        assert said(asked)[0] == (
            "Monday 1 June has 30 minutes, and the dishes for the midday meal together take at least 40. "
            "Beef for Ana: left out: Beef is excluded. Carrot for Ivo: left out: Carrot is excluded."
        )


class TestDishes:
    def test_a_main_may_not_come_often_enough(self):
        asked = brief((eater("ana", BOOK),), BOOK, BEEF, minutes=(60, 60))
        assert kinds(asked) == ["meal"] * 4 + ["repeats"]
        assert said(asked) == [
            "There is only 1 dish for Ana at 4 meals, and none may come more than 3 times."
        ]
        assert helps(asked) == [
            "Let dishes come up to 4 times.",
            "Leave the midday meal of Ana unplanned on Tuesday 2 June.",
        ]

    def test_a_toddler_who_must_not_have_any_breakfast(self):
        allergic = EaterRules(born=GROWN_UP, allergies=frozenset({"egg"}))
        eggs = [recipe(f"eggs-{n}", line("90 g", "egg"), slots=("breakfast",)) for n in range(2)]
        asked = brief(
            (eater("ana", BOOK), eater("ivo", BOOK, allergic)),
            BOOK,
            *eggs,
            minutes=(60, 60),
            slots=(Slot.BREAKFAST,),
        )
        assert said(asked) == [
            "Ivo, breakfast, 2 days from Monday 1 June: every one of 2 dishes needs Egg, which is not open. "
            "Egg for Ivo: never: allergy to egg."
        ]
        assert helps(asked) == ["Leave the breakfast of Ivo unplanned for 2 days from Monday 1 June."]

    def test_a_stage_can_be_waited_for_but_not_skipped(self):
        book = RuleBook.compile(
            protocol(rule("one", "freely", "carrot"), rule("two", "freely", "beef")), FOODS
        )
        steak = recipe("steak", line("200 g", "beef"))
        asked = brief((eater("ana", book, on_stage("one")),), book, steak, minutes=(60,))
        assert "Beef for Ana: not yet: opens at Two." in said(asked)[0]
        answer = why(asked)
        assert helps(asked)[-1] == "Wait until Beef opens for Ana at Two."
        last = answer.relaxations[-1].facts["offer"]
        with pytest.raises(KeyError):
            offered(asked, answer, last)

    def test_no_recipe_is_a_collision_of_one_fact(self):
        asked = brief((eater("ana", BOOK),), BOOK, BEEF, minutes=(60,), slots=(Slot.BREAKFAST,))
        assert kinds(asked) == ["meal"]
        assert said(asked) == ["Ana, breakfast, Monday 1 June: the book has no recipe for this meal."]


class TestKitchen:
    def test_no_pot_is_large_enough(self):
        asked = brief((eater("ana", BOOK),), BOOK, BEEF, minutes=(60,), pot_ml=300)
        assert kinds(asked) == ["meal", "pot"]
        assert said(asked) == [
            "Ana, midday meal, Monday 1 June: the largest pot holds 0.3 l, and 0.4 l are needed."
        ]
        assert helps(asked) == ["Use a pot of at least 1.0 l."]

    def test_no_freezer(self):
        dishes = [replace(BEEF, key=f"beef-{n}", main=f"beef-{n}", fridge_days=1) for n in range(5)]
        asked = brief((eater("ana", BOOK),), BOOK, *dishes, minutes=(120, 0, 0), freezer=False)
        assert said(asked) == [
            "The midday meal of Ana on Wednesday 3 June cannot be had: there is no freezer; Tuesday 2 June has 0 "
            "minutes; Wednesday 3 June has 0 minutes."
        ]
        assert "Have a freezer." in helps(asked)


class TestStock:
    slow = replace(STOCK, hands_on_min=60, fridge_days=0, batch=False)
    beef = replace(BEEF, hands_on_min=30, batch=False)

    def test_the_quick_dish_needs_stock_that_nobody_can_cook(self):
        """The stock of the eve does not keep, and the day has no hour for another."""
        bowl = replace(BROTH_BOWL, batch=False)
        asked = brief((eater("ana", BOOK),), BOOK, self.slow, bowl, self.beef, minutes=(20,))
        assert kinds(asked) == ["meal", "minutes", "stock"]
        assert said(asked) == [
            "Monday 1 June has 20 minutes, and the shortest dish for the midday meal takes 30. Broth Bowl takes 20 "
            "minutes and needs Stock, which has to be cooked first."
        ]

    def test_a_stock_that_does_not_suit_everyone(self):
        egg_stock = replace(STOCK, ingredients=(*STOCK.ingredients, line("10 g", "egg", "broth")))
        allergic = EaterRules(born=GROWN_UP, allergies=frozenset({"egg"}))
        asked = brief(
            (eater("ana", BOOK), eater("ivo", BOOK, allergic)),
            BOOK,
            egg_stock,
            BROTH_BOWL,
            minutes=(60,),
            slots=(Slot.MIDDAY,),
        )
        assert said(asked)[0].startswith(
            "Ana, Ivo, midday meal, Monday 1 June: no recipe for Stock suits everyone"
        )


# -- any small question ----------------------------------------------------------------------------------------------

SMALL_BOOK = RuleBook.compile(None, [food("beef", aisle="meat"), food("carrot"), food("onion")])


@st.composite
def small_briefs(draw: st.DrawFn) -> Brief:
    """Two dishes on one or two days for one or two eaters, with hardly ever enough of anything."""
    days = draw(st.integers(1, 2))
    dishes = [
        replace(
            recipe(key, line("200 g", key)),
            hands_on_min=draw(st.sampled_from((10, 20, 30))),
            batch=draw(st.booleans()),
            fridge_days=draw(st.sampled_from((0, 3))),
        )
        for key in ("beef", "carrot")
    ]
    rules = st.sampled_from((None, NO_BEEF, NO_CARROT))
    eaters = tuple(eater(key, SMALL_BOOK, draw(rules)) for key in ("a", "b")[: draw(st.integers(1, 2))])
    return brief(
        eaters,
        SMALL_BOOK,
        *dishes,
        minutes=tuple(draw(st.sampled_from((0, 10, 20, 60))) for _ in range(days)),
        pot_ml=draw(st.sampled_from((300, 900, 4000))),
        freezer=draw(st.booleans()),
        most_repeats=draw(st.integers(1, 3)),
    )


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(small_briefs())
def test_the_facts_collide_and_no_part_of_them_does(asked: Brief):
    question = Question(asked)
    suspects = question.suspects()
    if suspects is None:
        assert question.possible(question.facts)
        return
    found = collision(question, suspects)
    fresh = Question(asked)
    assert found.proven
    assert fresh.possible(found.facts) is False
    assert all(fresh.possible(found.facts - {fact}) for fact in found.facts)
    if found.smallest and len(found.facts) <= 3:
        fewer = combinations(question.facts, len(found.facts) - 1)
        assert all(fresh.possible(facts) is not False for facts in fewer)


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(small_briefs())
def test_every_offer_makes_a_week_possible_and_the_first_is_the_cheapest(asked: Brief):
    answer = why_no_week(Question(asked))
    if answer is None:
        assert isinstance(plan_week(asked, effort=QUICK), Week)
        return
    assert conflict_words(answer.conflicts)
    prices = [reason.facts["price"] for reason in answer.relaxations]
    assert prices == sorted(prices)
    for number in {reason.facts["offer"] for reason in answer.relaxations}:
        taken = offered(asked, answer, int(number))
        assert Question(taken).suspects() is None
        if not any(one.away for one in taken.eaters):
            assert isinstance(plan_week(taken, effort=QUICK), Week)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(small_briefs(), st.floats(0, 3))
def test_out_of_patience_it_says_less_and_nothing_wrong(asked: Brief, patience: float):
    there_is_a_week = Question(asked).suspects() is None
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(core, "PATIENCE", patience)
        patch.setattr(core, "FOR_FEWER", patience / 2)
        answer = why_no_week(Question(asked))
    assert (answer is None) == there_is_a_week
    if answer is not None:
        assert conflict_words(answer.conflicts)
        for number in {reason.facts["offer"] for reason in answer.relaxations}:
            assert Question(offered(asked, answer, int(number))).suspects() is None


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(small_briefs())
def test_a_meal_that_one_pot_makes_can_be_had(asked: Brief):
    question = Question(asked)
    for meal in question.meals:
        possible = question.possible({meal, *question.limits})
        assert possible or not core.easily_had(question.setting, meal)


def test_an_unknown_change_changes_no_brief():
    asked = brief((eater("ana", BOOK),), BOOK, BEEF, minutes=(60, 60))
    with pytest.raises(KeyError):
        changed(asked, why(asked).conflicts)
