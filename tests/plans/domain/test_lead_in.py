"""The lead-in as a plan: dates, lateness, the honest day one, what is left out, used up and bought."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.book import Food, Ingredient, LeadInTask, Protocol, Recipe, Rule, Stage
from plans.domain.brief import Reason, Stored
from plans.domain.lead_in.asking import Ask, Starter, Tick
from plans.domain.lead_in.plan import first_due, lead_in_plan
from plans.domain.lead_in.starters import first_open, starter
from plans.domain.vocabulary import Allowance, Slot, Use

TODAY = date(2026, 3, 1)  # a Sunday
DAY = timedelta(days=1)
HOUR_A_DAY = (60,) * 7
MILK = Reason("allergy", {"family": "milk"})


def task(key: str, days_before: int = 5, **fields) -> LeadInTask:
    return LeadInTask(key, key.title(), fields.pop("kind", "culture"), days_before, **fields)


CABBAGE = task("cabbage", 28, at_least_days=21, hands_on_min=40)
KEFIR = task("kefir", 5, wait_least_h=24, wait_most_h=48, needs=("milk",), makes=("kefir",), hands_on_min=40)
STRAIN = task("strain", 4, after=("kefir",), makes=("kefir",), keeps_days=10, hands_on_min=10)
DRIP = task("drip", 3, after=("strain",), wait_least_h=8, needs=("kefir",), makes=("whey",), keeps_days=14)
CHAIN = (KEFIR, STRAIN, DRIP)


def food(key: str, **fields) -> Food:
    return Food(key, key.title(), "things", "pantry", **fields)


def ask(*tasks: LeadInTask, in_days: int = 40, **fields) -> Ask:
    starters = fields.pop("starters", None) or (Starter("nell", "Nell", TODAY + in_days * DAY, tuple(tasks)),)
    return Ask(today=fields.pop("today", TODAY), starters=starters, **fields)


def days_of(plan) -> dict[str, date]:
    return {one.key: one.on for one in plan.tasks}


def test_with_time_enough_a_task_stands_on_its_best_day():
    (one,) = lead_in_plan(ask(CABBAGE, in_days=45)).tasks
    assert (one.on, one.latest, one.late) == (date(2026, 3, 18), date(2026, 3, 25), False)
    assert one.slack == 7


def test_with_little_time_it_moves_to_today():
    plan = lead_in_plan(ask(CABBAGE, in_days=23))
    assert (plan.tasks[0].on, plan.tasks[0].late, plan.honest_day_one) == (TODAY, False, date(2026, 3, 24))


def test_with_too_little_time_it_is_late_and_the_honest_day_one_is_named():
    plan = lead_in_plan(ask(CABBAGE, in_days=19))
    assert [one.key for one in plan.late] == ["cabbage"]
    assert (plan.honest_day_one, plan.proven) == (date(2026, 3, 22), True)


def test_there_is_no_plan_once_every_day_one_has_passed():
    assert lead_in_plan(ask(CABBAGE, in_days=-1)) is None
    assert lead_in_plan(ask(CABBAGE, in_days=0)).tasks


def test_a_chain_waits_between_its_tasks_and_counts_back_from_the_last():
    """Worked by hand: whey drips overnight, so one day; kefir stands a day at least and two at most."""
    plan = lead_in_plan(ask(*CHAIN))
    day_one = plan.day_one
    latest = {one.key: (day_one - one.latest).days for one in plan.tasks if one.kind != "shop"}
    assert latest == {"drip": 1, "strain": 1, "kefir": 2}
    on = days_of(plan)
    assert on["strain"] - on["kefir"] in (DAY, 2 * DAY)
    assert on["drip"] - on["strain"] <= 10 * DAY


def test_what_is_made_is_not_made_so_soon_that_it_no_longer_keeps():
    plan = lead_in_plan(ask(task("stock", 20, makes=("stock",), keeps_days=3)))
    assert plan.tasks[0].on == plan.day_one - 3 * DAY


def test_in_a_house_with_a_freezer_it_keeps_longer_and_without_one_nothing_is_frozen():
    stock = task("stock", 20, kind="cook", makes=("stock",), keeps_days=3, freezer_days=90)
    freeze = task("freeze", 20, kind="freeze")
    assert days_of(lead_in_plan(ask(stock, freeze)))["stock"] == TODAY + 20 * DAY
    without = lead_in_plan(ask(stock, freeze, freezer=False))
    assert days_of(without) == {"stock": without.day_one - 3 * DAY}
    assert [lost.why[0][2].code for lost in without.left_out] == ["no-freezer"]


def test_a_fat_that_opens_later_can_wait_past_day_one():
    ghee = task("ghee", 3, kind="render", makes=("ghee",), keeps_days=90)
    opens = TODAY + 15 * DAY
    one = Starter("nell", "Nell", TODAY + 10 * DAY, (ghee,), opens={"ghee": opens})
    assert lead_in_plan(ask(starters=(one,))).tasks[0].latest == opens


def test_a_food_opens_once_the_least_days_of_the_stages_before_are_over():
    stages = tuple(Stage(key, at, key, "", 5, 10) for at, key in enumerate(("a", "b", "c"), start=1))
    rules = (Rule("b", Allowance.FIRST_TASTES, food="ghee"), Rule("a", Allowance.FREELY, group="things"))
    protocol = Protocol("p", "P", "", "", stages, rules, lead_in=(task("x", makes=("ghee", "salt", "gone")),))
    assert first_open(protocol, food("ghee"), TODAY, "a") == TODAY + 5 * DAY
    assert first_open(protocol, food("ghee"), TODAY, "c") == TODAY
    assert first_open(protocol, replace(food("tea"), group="drinks"), TODAY, "a") is None
    made = starter(
        key="n",
        name="N",
        day_one=TODAY,
        protocol=protocol,
        stage="a",
        foods={"ghee": food("ghee"), "salt": food("salt")},
        out={},
    )
    assert made.opens == {"ghee": TODAY + 5 * DAY, "salt": TODAY}


def test_work_is_spread_over_days_that_have_room():
    tasks = [task(f"cook-{at}", 3, hands_on_min=40) for at in range(3)]
    plan = lead_in_plan(ask(*tasks, free_min=HOUR_A_DAY))
    assert sorted(days_of(plan).values()) == [plan.day_one - days * DAY for days in (4, 3, 2)]
    assert not any(day.is_overfull for day in plan.days)


def test_work_that_is_longer_than_any_day_has_a_day_of_its_own_and_says_so():
    plan = lead_in_plan(
        ask(task("big", hands_on_min=90), task("small", hands_on_min=10), free_min=HOUR_A_DAY)
    )
    on = days_of(plan)
    assert on["big"] != on["small"]
    assert [day.is_overfull for day in plan.days if day.on == on["big"]] == [True]


def test_a_household_that_gave_no_minutes_at_all_has_no_limit():
    plan = lead_in_plan(ask(task("a", hands_on_min=400), free_min=(0,) * 7))
    assert (plan.days[0].free_min, plan.days[0].is_overfull) == (None, False)


def test_when_the_minutes_do_not_reach_some_task_is_late_and_a_later_day_one_is_honest():
    tasks = [task(f"cook-{at}", 3, at_least_days=1, hands_on_min=60) for at in range(4)]
    plan = lead_in_plan(ask(*tasks, in_days=3, free_min=HOUR_A_DAY))
    assert len(plan.late) == 1
    assert (plan.honest_day_one, plan.proven) == (plan.day_one + DAY, True)


def test_work_that_fits_no_week_says_that_no_day_one_is_honest():
    first = task("buy", 3, kind="shop", hands_on_min=60)
    second = task("cook", 2, after=("buy",), needs=("meat",), makes=("stew",), hands_on_min=60)
    one_hour_a_week = (60, 0, 0, 0, 0, 0, 0)
    plan = lead_in_plan(
        ask(first, second, foods={"meat": food("meat", fridge_days=2)}, free_min=one_hour_a_week)
    )
    assert (plan.honest_day_one, plan.proven) == (None, True)
    assert any(day.is_overfull for day in plan.days)


def test_a_milk_allergic_eater_gets_no_kefir_chain_and_is_told_why():
    one = Starter(
        "ivo",
        "Ivo",
        TODAY + 40 * DAY,
        (*CHAIN, CABBAGE),
        kept_out={"milk": MILK, "kefir": MILK, "whey": MILK},
    )
    plan = lead_in_plan(ask(starters=(one,)))
    assert list(days_of(plan)) == ["cabbage"]
    assert {lost.title: lost.why for lost in plan.left_out} == {
        "Kefir": (("Ivo", "kefir", MILK),),
        "Strain": (("Ivo", "kefir", MILK),),
        "Drip": (("Ivo", "whey", MILK),),
    }


def test_what_goes_on_with_a_task_that_is_left_out_is_left_out_too():
    one = Starter("ivo", "Ivo", TODAY + 40 * DAY, CHAIN, kept_out={"milk": MILK})
    plan = lead_in_plan(ask(starters=(one,)))
    assert plan.tasks == ()
    assert [(lost.title, lost.without) for lost in plan.left_out] == [
        ("Kefir", ""),
        ("Strain", "Kefir"),
        ("Drip", "Strain"),
    ]


def test_a_task_one_eater_is_kept_out_of_is_done_for_the_others_and_says_for_whom_not():
    nell = Starter("nell", "Nell", TODAY + 40 * DAY, CHAIN)
    ivo = Starter("ivo", "Ivo", TODAY + 40 * DAY, CHAIN, kept_out={"kefir": MILK, "whey": MILK})
    plan = lead_in_plan(ask(starters=(nell, ivo)))
    assert {one.eaters for one in plan.tasks} == {("nell",)}
    assert all(one.not_for == (("Ivo", MILK),) for one in plan.tasks if one.kind != "shop")
    assert plan.left_out == ()


def test_a_task_two_eaters_share_is_done_once_and_for_the_first():
    early, late = (
        Starter(name, name, TODAY + days * DAY, (CABBAGE,)) for name, days in (("a", 40), ("b", 50))
    )
    (one,) = lead_in_plan(ask(starters=(late, early))).tasks
    assert (one.on, one.eaters) == (TODAY + 12 * DAY, ("a", "b"))


def test_it_is_done_twice_where_it_would_not_keep_for_both():
    stock = task("stock", 2, makes=("stock",), keeps_days=3)
    starters = tuple(
        Starter(name, name, TODAY + days * DAY, (stock,)) for name, days in (("a", 10), ("b", 20))
    )
    plan = lead_in_plan(ask(starters=starters))
    assert [(one.on, one.eaters) for one in plan.tasks] == [
        (TODAY + 8 * DAY, ("a",)),
        (TODAY + 18 * DAY, ("b",)),
    ]
    assert len({one.name for one in plan.tasks}) == 2


def test_tasks_of_two_protocols_that_share_a_key_are_both_done():
    other = replace(CABBAGE, title="Shred the cabbage")
    starters = tuple(Starter(one.title, "N", TODAY + 40 * DAY, (one,)) for one in (CABBAGE, other))
    assert {one.title for one in lead_in_plan(ask(starters=starters)).tasks} == {
        "Cabbage",
        "Shred the cabbage",
    }


def test_a_ticked_task_is_settled_and_what_waits_for_it_counts_from_the_day_it_was_done():
    plan = lead_in_plan(ask(*CHAIN, in_days=3, ticks={"kefir: Kefir": Tick(TODAY)}))
    assert [(one.name, one.tick.on) for one in plan.ticked] == [("kefir: Kefir", TODAY)]
    assert days_of(plan)["strain"] == TODAY + DAY
    assert not plan.late


def test_done_is_done_for_what_came_before_and_not_needed_is_nothing_to_wait_for():
    done = lead_in_plan(ask(*CHAIN, in_days=5, ticks={"strain: Strain": Tick(TODAY)}))
    assert set(days_of(done)) == {"drip"}
    unneeded = lead_in_plan(ask(*CHAIN, in_days=1, ticks={"kefir: Kefir": Tick(TODAY, needed=False)}))
    assert days_of(unneeded) == {"strain": TODAY, "drip": TODAY}
    stale = lead_in_plan(ask(*CHAIN, in_days=30, ticks={"strain: Strain": Tick(TODAY)}))
    assert [one.again for one in stale.tasks if one.key == "strain"] == [TODAY]


def test_what_was_done_too_long_ago_to_keep_is_to_be_done_again():
    ticks = {"drip: Drip": Tick(TODAY - 20 * DAY)}
    plan = lead_in_plan(ask(DRIP, in_days=10, ticks=ticks))
    assert [(one.key, one.again) for one in plan.tasks if one.kind != "shop"] == [("drip", TODAY - 20 * DAY)]
    assert plan.ticked == ()


def test_a_reminder_is_due_on_the_day_and_not_again_when_it_passes_undone():
    question = ask(task("stock", 3), in_days=10)
    due = {days: first_due(question, TODAY + days * DAY) for days in range(11)}
    assert [days for days, found in due.items() if found] == [7]
    assert due[7] == {"nell": frozenset({"stock: Stock"})}


# In the house

LENTILS = food("lentils")
SOUP = Recipe(
    key="soup",
    title="Lentil soup",
    kind="main",
    slots=(Slot.EVENING,),
    main="soup",
    servings=Decimal(4),
    portion=(Decimal(400), "ml"),
    ingredients=(
        Ingredient(Decimal(200), "g", "lentils", frozenset({"boiled"})),
        Ingredient(Decimal(10), "g", "butter", frozenset({"boiled"}), Use.PLATE),
    ),
    steps=("Boil.",),
    hands_on_min=10,
    elapsed_min=40,
    fridge_days=3,
    freezer_days=90,
    batch=True,
)


def house(*stores: Stored, closed=None, **fields) -> Ask:
    return ask(
        in_days=10,
        foods={"lentils": LENTILS, "butter": food("butter")},
        stores=stores,
        closed={"lentils": None} if closed is None else closed,
        recipes=fields.pop("recipes", (SOUP,)),
        portions=Decimal(2),
        **fields,
    )


def test_what_will_not_be_allowed_is_used_up_by_the_day_before_and_in_which_meal():
    plan = lead_in_plan(house(Stored("lentils", Decimal(200), "cupboard")))
    (one,) = plan.tasks
    used = one.using_up
    assert (one.kind, used.amount_g, one.on) == ("use-up", 200, plan.day_one - DAY)
    assert (used.meal.title, used.meal.slot, used.meal.times) == ("Lentil soup", Slot.EVENING, 2)
    assert used.meal.enough


@given(st.integers(min_value=1, max_value=3000), st.integers(min_value=0, max_value=20))
def test_nobody_is_asked_to_cook_a_dish_again_and_again(amount_g: int, good_days: int):
    """Two portions of the soup take 100 g; day one is in ten days."""
    stored = Stored("lentils", Decimal(amount_g), "cupboard", TODAY + good_days * DAY)
    plan = lead_in_plan(house(stored))
    meal = plan.tasks[0].using_up.meal
    assert 1 <= meal.times <= min(3, (plan.tasks[0].on - TODAY).days + 1)
    assert meal.enough == (amount_g <= 100 * meal.times)


def test_what_stays_allowed_or_is_past_its_date_is_not_listed():
    stores = (
        Stored("butter", Decimal(100), "refrigerator"),
        Stored("lentils", Decimal(100), "cupboard", TODAY - DAY),
    )
    assert lead_in_plan(house(*stores)).tasks == ()


def test_its_own_date_comes_before_day_one():
    plan = lead_in_plan(house(Stored("lentils", Decimal(600), "cupboard", TODAY + 2 * DAY)))
    assert plan.tasks[0].on == TODAY + 2 * DAY


def test_what_keeps_until_it_opens_may_as_well_be_put_away():
    opens = TODAY + 60 * DAY
    for best_by, keeps in ((opens, True), (opens - DAY, False), (None, False)):
        plan = lead_in_plan(
            house(Stored("lentils", Decimal(600), "cupboard", best_by), closed={"lentils": opens})
        )
        assert plan.tasks[0].using_up.keeps_until_open is keeps


@pytest.mark.parametrize(
    ("kept_out", "title"), [(frozenset({"butter"}), "Lentil soup"), (frozenset({"lentils"}), None)]
)
def test_a_dish_is_named_only_when_everybody_at_the_table_can_eat_it(kept_out, title):
    plan = lead_in_plan(house(Stored("lentils", Decimal(600), "cupboard"), table_kept_out=kept_out))
    meal = plan.tasks[0].using_up.meal
    assert (meal and meal.title) == title


# To the shop

FOODS = {
    "meat": food("meat", fridge_days=2),
    "roots": food("roots", fridge_days=14),
    "salt": food("salt"),
    "milk": food("milk", fridge_days=7),
}


def test_a_trip_that_the_protocol_plans_takes_along_what_keeps():
    shop = task("shop", 6, kind="shop", hands_on_min=30)
    cook = task("cook", 5, needs=("meat", "salt"))
    plan = lead_in_plan(ask(shop, cook, foods=FOODS))
    assert plan.trips == (plan.day_one - 6 * DAY,)
    assert plan.tasks[0].buys == ("meat", "salt")


def test_trips_are_as_few_as_what_is_bought_keeps():
    tasks = (
        task("kvass", 10, needs=("roots",)),
        task("stew", 9, needs=("meat",)),
        task("roast", 2, needs=("meat",)),
    )
    plan = lead_in_plan(ask(*tasks, foods=FOODS))
    assert plan.trips == (plan.day_one - 10 * DAY, plan.day_one - 2 * DAY)


def test_what_is_in_the_house_or_was_bought_is_not_bought_again():
    stew = task("stew", 9, needs=("meat", "salt"))
    stores = (Stored("salt", Decimal(500), "cupboard"),)
    plan = lead_in_plan(ask(stew, foods=FOODS, stores=stores))
    assert [one.buys for one in plan.tasks if one.kind == "shop"] == [("meat",)]
    ticks = {"trip: meat": Tick(TODAY)}
    assert lead_in_plan(ask(stew, in_days=9, foods=FOODS, stores=stores, ticks=ticks)).trips == ()
    assert len(lead_in_plan(ask(stew, in_days=20, foods=FOODS, stores=stores, ticks=ticks)).trips) == 1


def test_fresh_meat_is_cooked_within_the_days_it_keeps_after_the_trip_it_waits_for():
    shop = task("shop", 8, kind="shop", hands_on_min=30)
    cook = task("cook", 1, after=("shop",), needs=("meat",))
    plan = lead_in_plan(ask(shop, cook, foods=FOODS))
    on = days_of(plan)
    assert on["cook"] - on["shop"] <= 2 * DAY


def test_room_is_kept_for_a_trip():
    tasks = (task("stew", 2, needs=("meat",), hands_on_min=40), task("tidy", 2, hands_on_min=20))
    plan = lead_in_plan(ask(*tasks, foods=FOODS, free_min=HOUR_A_DAY))
    assert not any(day.is_overfull for day in plan.days)
