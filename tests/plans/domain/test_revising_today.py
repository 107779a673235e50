"""A week that is solved again in the middle of a day: what is eaten of it stays, whatever is asked for the rest."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from itertools import product
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from plans.domain.allowance import EaterRules
from plans.domain.brief import Brief, Choice, Cook, FoodAllowance, Plate, Revision, Week
from plans.domain.planner.alternatives import alternatives
from plans.domain.planner.solve import plan_week
from plans.domain.vocabulary import Allowance, Slot
from tests.plans.domain.hand_made import GROWN_UP, MONDAY, brief, eater, line, recipe
from tests.plans.domain.test_revising import (
    BEEF,
    BOOK,
    BOWL,
    CARROT,
    MASH,
    QUICK,
    STOCK,
    refused,
    revised,
    small_questions,
    tables,
)

MIDDAY, EVENING = Slot.MIDDAY, Slot.EVENING
AFTERNOON: dict[str, Any] = {"from_day": 0, "eaten": frozenset({Slot.BREAKFAST, Slot.MUG, MIDDAY})}
"""Four o'clock on Monday."""
NO_BEEF = EaterRules(born=GROWN_UP, excluded=frozenset({"beef"}))


def two_days(*dishes: Any, who: Any = None, minutes: tuple[int, ...] = (60, 60), **fields: Any) -> Brief:
    """Midday and evening of two days of one eater."""
    return brief((who or eater("a", BOOK),), BOOK, *dishes, minutes=minutes, **fields)


def by_hand(*pots: tuple[str, int, str, str]) -> Week:
    """A shown week of two days: recipe, day, portions, and the meals eaten of it, as ``0m 1e``."""
    cooks, plates = [], []
    for key, day, portions, meals in pots:
        on = MONDAY + timedelta(days=day)
        cooks.append(Cook(f"{on} {key}", key, on, Decimal(portions)))
        for meal in meals.split():
            then, slot = MONDAY + timedelta(days=int(meal[0])), {"m": MIDDAY, "e": EVENING}[meal[1]]
            source = "fresh" if then == on else "kept"
            plates.append(Plate(then, slot, "a", cooks[-1].key, Decimal(1), source))
    plates.sort(key=lambda plate: (plate.on, list(Slot).index(plate.slot)))
    cooks.sort(key=lambda cook: (cook.on, cook.recipe))
    return Week(MONDAY, 2, tuple(cooks), tuple(plates), {}, 0.0, 0.0)


SHOWN = by_hand(("beef-pot", 0, "2", "0m 1m"), ("carrot-pot", 0, "2", "0e 1e"))
"""On Monday beef at midday and carrots in the evening, on Tuesday the other half of each."""
BEEF_POT, CARROT_POT = SHOWN.cooks


def dishes(week: Week) -> str:
    """The dishes meal by meal, by their first letters."""
    return "".join(key[0] for _, key in sorted(tables(week).items(), key=lambda row: _turn(row[0])))


def _turn(place: tuple[int, Slot, str]) -> tuple[int, int, str]:
    return place[0], list(Slot).index(place[1]), place[2]


class TestWhatIsEatenToday:
    def test_it_is_not_swapped_and_the_evening_is(self):
        asked = {
            "unwanted": tuple(Choice((0, slot), key) for slot in Slot for key in ("beef-pot", "carrot-pot"))
        }
        before_noon = revised(two_days(BEEF, CARROT, MASH, minutes=(90, 60)), SHOWN, from_day=0, **asked)
        assert dishes(before_noon)[0] == dishes(before_noon)[1] == "m"
        week = revised(two_days(BEEF, CARROT, MASH, minutes=(90, 60)), SHOWN, **AFTERNOON, **asked)
        assert (week.cooks[0], week.plates[0]) == (BEEF_POT, SHOWN.plates[0])
        assert dishes(week)[:2] == "bm"

    def test_it_stays_though_the_rules_changed_since_and_leftovers_of_it_do_not(self):
        shown = by_hand(("beef-pot", 0, "3", "0m 0e 1m"), ("carrot-pot", 1, "1", "1e"))
        asked = two_days(BEEF, CARROT, MASH, who=eater("a", BOOK, NO_BEEF))
        week = revised(asked, shown, **AFTERNOON)
        assert (week.cooks[0], week.plates[0]) == (shown.cooks[0], shown.plates[0])
        assert "b" not in dishes(week)[1:]

    @pytest.mark.parametrize("change", ["appetite", "minutes", "hours", "out", "pots", "book", "slots"])
    def test_it_stays_whatever_else_changed_since(self, change: str):
        asked = two_days(BEEF, CARROT, MASH, minutes=(60, 120))
        kitchen = asked.kitchen
        match change:
            case "appetite":
                asked = replace(asked, eaters=(eater("a", BOOK, appetite=Decimal("1.5")),))
            case "minutes":
                asked = replace(asked, kitchen=replace(kitchen, hands_on_min=(0, 120)))
            case "hours":
                asked = replace(asked, kitchen=replace(kitchen, at_home_min=(0, 24 * 60)))
            case "out":
                asked = replace(asked, kitchen=replace(kitchen, out=frozenset({0})))
            case "pots":
                asked = replace(asked, kitchen=replace(kitchen, pots_ml=(400,)))
            case "book":
                asked = replace(asked, recipes=(replace(BEEF, batch=False), CARROT, MASH))
            case "slots":
                asked = replace(asked, recipes=(replace(BEEF, slots=(EVENING,)), CARROT, MASH))
        # Where there is no time today, what was to be cooked for the evening is not: the shown pot serves.
        week = revised(asked, SHOWN, from_day=0, eaten=frozenset(Slot))
        assert [plate for plate in week.plates if plate.on == MONDAY] == list(SHOWN.plates[:2])
        assert week.cooks[:2] == SHOWN.cooks

    def test_its_pot_is_cooked_and_gives_what_is_left_and_no_more(self):
        asked = two_days(BEEF, CARROT, MASH)
        wish = {"wanted": (Choice((0, EVENING), "beef-pot"), Choice((1, MIDDAY), "beef-pot"))}
        week = revised(asked, SHOWN, **AFTERNOON, **wish)
        assert week.cooks[0] == BEEF_POT
        of_monday = [plate for plate in week.plates if plate.cook == BEEF_POT.key]
        assert [plate.slot for plate in of_monday] == [MIDDAY, EVENING]
        in_the_morning = revised(asked, SHOWN, from_day=0, **wish)
        assert in_the_morning.cooks[0].portions == 3

    def test_minutes_spent_on_it_are_spent(self):
        """Twenty for the beef, and twenty-two for the mash that is wanted now."""
        wish = AFTERNOON | {"wanted": (Choice((0, EVENING), "mash"),)}
        assert dishes(revised(two_days(BEEF, CARROT, MASH, minutes=(42, 60)), SHOWN, **wish))[:2] == "bm"
        answer = refused(two_days(BEEF, CARROT, MASH, minutes=(41, 60)), SHOWN, **wish)
        assert "more-minutes" in {reason.code for reason in answer.relaxations}

    def test_repeats_count_it(self):
        asked = two_days(BEEF, CARROT, most_repeats=2)
        shown = by_hand(("beef-pot", 0, "2", "0m 0e"), ("carrot-pot", 1, "2", "1m 1e"))
        week = revised(asked, shown, **AFTERNOON, wanted=(Choice((1, MIDDAY), "beef-pot"),))
        assert (dishes(week)[0], dishes(week).count("b")) == ("b", 2)

    def test_it_is_no_meal_to_choose_another_dish_for(self):
        asked = replace(two_days(BEEF, CARROT, MASH), revision=Revision(SHOWN, **AFTERNOON))
        with pytest.raises(ValueError, match="may not change"):
            alternatives(asked, (0, MIDDAY))
        assert {one.recipe for one in alternatives(asked, (0, EVENING))} == {"mash"}


class TestGoneOffToday:
    def test_a_pot_is_on_no_table_still_to_come(self):
        week = revised(two_days(BEEF, CARROT, MASH), SHOWN, **AFTERNOON, gone_cooks={BEEF_POT.key: 0})
        assert (week.cooks[0], week.plates[0]) == (BEEF_POT, SHOWN.plates[0])
        assert all(plate.cook != BEEF_POT.key for plate in week.plates[1:])

    def test_a_food_is_in_what_is_cooked_and_in_nothing_else(self):
        gone = AFTERNOON | {"gone_foods": {"beef": 0, "carrot": 0}}
        large = by_hand(("beef-pot", 0, "4", "0m 1m"), ("carrot-pot", 0, "2", "0e 1e"))
        asked = two_days(BEEF, CARROT, MASH, most_repeats=4)
        assert revised(asked, large, **gone).cooks == large.cooks[:1]
        answer = refused(asked, SHOWN, **gone)
        assert "get-food-again" in {reason.code for reason in answer.relaxations}


class TestStock:
    def shown(self, portions: str) -> Week:
        """Stock of the eve, drawn on at Monday midday and again on Tuesday."""
        return by_hand(
            ("stock-pot", -1, portions, ""),
            ("broth-bowl", 0, "1", "0m"),
            ("carrot-pot", 0, "2", "0e 1e"),
            ("broth-bowl", 1, "1", "1m"),
        )

    def test_what_an_eaten_dish_drew_is_drawn_once(self):
        """Four portions of 250 ml hold the two bowls of 400 ml, of which one is eaten, and no third."""
        asked = two_days(STOCK, BOWL, CARROT, minutes=(60, 60))
        shown = self.shown("4")
        week = revised(asked, shown, **AFTERNOON)
        assert (week.cooks, week.plates) == (shown.cooks, shown.plates)
        wish = {"wanted": (Choice((1, EVENING), "broth-bowl"),), "locked": frozenset({(1, MIDDAY)})}
        more = revised(asked, shown, **AFTERNOON, **wish)
        drawn = sum(cook.portions * 400 for cook in more.cooks if cook.recipe == "broth-bowl")
        made = sum(cook.portions * 250 for cook in more.cooks if cook.recipe == "stock-pot")
        assert more.cooks[0] == shown.cooks[0]
        assert drawn == 1200 <= made

    def test_stock_of_today_that_an_eaten_dish_drew_on_is_cooked(self):
        shown = by_hand(
            ("stock-pot", 0, "4", ""), ("broth-bowl", 0, "1", "0m"), ("carrot-pot", 0, "3", "0e 1m 1e")
        )
        asked = two_days(STOCK, BOWL, CARROT, minutes=(61, 60))
        week = revised(asked, shown, **AFTERNOON, gone_foods={"bones": 0})
        assert (week.cooks, week.plates) == (shown.cooks, shown.plates)


class TestFirstTastes:
    """Ten grams of beef a plate, of which twenty are open a day."""

    bite = recipe("bite", line("10 g", "beef"), line("300 g", "carrot"))
    shown = by_hand(("bite", 0, "2", "0m 0e"), ("carrot-pot", 1, "2", "1m 1e"))

    def asked(self, *dishes: Any, most: str = "20") -> Brief:
        taste = FoodAllowance(Allowance.FIRST_TASTES, most_g=Decimal(most))
        plain = eater("a", BOOK)
        days = tuple(dict(day) | {"beef": taste} for day in plain.days)
        return two_days(*dishes, who=replace(plain, days=days))

    def test_what_was_tasted_at_midday_is_not_there_for_the_evening(self):
        week = revised(self.asked(self.bite, CARROT), self.shown, **AFTERNOON)
        assert (week.cooks, week.plates) == (self.shown.cooks, self.shown.plates)
        for most in ("19", "10", "5"):
            week = revised(self.asked(self.bite, CARROT, most=most), self.shown, **AFTERNOON)
            assert dishes(week)[:2] == "bc"
            assert (week.cooks[0], week.plates[0]) == (self.shown.cooks[0], self.shown.plates[0])

    def test_nor_is_what_was_on_the_plate(self):
        topped = recipe("topped", line("300 g", "carrot"), line("10 g", "beef", "boiled", "plate"))
        shown = by_hand(("topped", 0, "2", "0m 0e"), ("carrot-pot", 1, "2", "1m 1e"))
        assert revised(self.asked(topped, CARROT), shown, **AFTERNOON).plates == shown.plates
        week = revised(self.asked(topped, CARROT, most="19"), shown, **AFTERNOON)
        assert [plate.without for plate in week.plates[:2]] == [(), ("beef",)]


def shown_week(asked: Brief) -> Week:
    week = plan_week(asked, effort=QUICK)
    assume(isinstance(week, Week))
    assert isinstance(week, Week)
    return week


moments = st.tuples(
    st.integers(-1, 2), st.integers(0, len(Slot)).map(lambda count: frozenset(tuple(Slot)[:count]))
)


@given(small_questions(), moments)
@settings(max_examples=25)
def test_a_request_for_nothing_gives_the_shown_week_back(asked: Brief, moment: tuple[int, frozenset[Slot]]):
    week = shown_week(asked)
    again = revised(asked, week, from_day=moment[0], eaten=moment[1])
    assert (again.cooks, again.plates) == (week.cooks, week.plates)
    assert again.objective == week.objective | {"changes": 0}


@given(small_questions(), moments, st.data())
@settings(max_examples=100)
def test_no_eaten_plate_changes_whatever_is_asked(
    asked: Brief, moment: tuple[int, frozenset[Slot]], data: st.DataObject
):
    """For any moment of the week: its plates up to then, and the pots they came from, stay to the letter."""
    week = shown_week(asked)
    meals = list(product(range(asked.days), asked.slots))
    dish = st.sampled_from([one.key for one in asked.recipes])
    choices = st.lists(st.builds(Choice, st.sampled_from(meals), dish), max_size=2).map(tuple)
    days = st.integers(0, asked.days - 1)
    revision = Revision(
        week,
        from_day=moment[0],
        eaten=moment[1],
        locked=data.draw(st.frozensets(st.sampled_from(meals), max_size=2)),
        wanted=data.draw(choices),
        unwanted=data.draw(choices),
        gone_foods=data.draw(st.dictionaries(st.sampled_from(("beef", "carrot", "onion")), days, max_size=2)),
        gone_cooks=data.draw(
            st.dictionaries(st.sampled_from([cook.key for cook in week.cooks]), days, max_size=2)
        ),
    )
    out = data.draw(st.frozensets(st.sampled_from(meals), max_size=2))
    rules = data.draw(st.sampled_from((EaterRules(born=GROWN_UP), NO_BEEF)))
    appetite = data.draw(st.sampled_from((Decimal(1), Decimal("0.7"))))
    changed = replace(eater("a", BOOK, rules, appetite=appetite), away=out)
    now = replace(
        asked,
        eaters=(changed, *asked.eaters[1:]),
        kitchen=replace(
            asked.kitchen,
            hands_on_min=tuple(data.draw(st.sampled_from((0, 30, 60))) for _ in range(asked.days)),
            at_home_min=data.draw(st.sampled_from(((), (10,) * asked.days))),
            out=data.draw(st.frozensets(days)),
        ),
        revision=revision,
    )
    answer = plan_week(now, effort=QUICK)
    if isinstance(answer, Week):
        before, after = (_eaten(one, moment) for one in (week, answer))
        assert after == before


def _eaten(week: Week, moment: tuple[int, frozenset[Slot]]) -> tuple[list[Plate], list[Cook]]:
    day, slots = moment
    plates = [
        plate
        for plate in week.plates
        if (plate.on - MONDAY).days < day or ((plate.on - MONDAY).days == day and plate.slot in slots)
    ]
    fed = {plate.cook for plate in plates}
    return plates, [cook for cook in week.cooks if cook.key in fed]
