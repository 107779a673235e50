"""What a brief knows beside the rules: who is at home, the kitchen's hours, the stores, what days are to hold."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from clients.domain.body_measures import Measures
from clients.domain.presence import EVERY_MEAL, away_record
from clients.models import Store, Week
from clients.services.brief_facts import ALWAYS_MIN
from clients.services.briefs import brief_for
from clients.services.measures import measures_record
from clients.services.weeks import standing_week, week_ask, week_plan, week_values
from plans.domain.body import Activity
from plans.domain.brief import WANTS, Stored
from plans.domain.brief_json import brief_from_record, brief_record, week_record
from plans.domain.vocabulary import Slot
from tests.factories import NOON, TODAY, CautionFactory, EaterFactory

DAY = timedelta(days=1)
MONDAY = date(2026, 6, 15)


def brief_of(household, start=TODAY):
    """The brief from a Wednesday on."""
    return brief_for(household, start, today=TODAY)


def change(row, **fields):
    for name, value in fields.items():
        setattr(row, name, value)
    row.save(update_fields=list(fields))


def test_a_household_that_said_nothing_is_asked_for_as_before(kitchen):
    brief = brief_of(kitchen)
    assert (brief.kitchen.at_home_min, brief.kitchen.out) == ((), frozenset())
    assert (brief.stores, brief.wants, brief.eaters[0].away) == ((), WANTS, frozenset())


def test_meals_eaten_elsewhere_are_told_by_day(kitchen):
    change(kitchen.eaters.get(), away=[["wed", "midday"], ["mon", "mug"]])
    assert brief_of(kitchen).eaters[0].away == {(0, Slot.MIDDAY), (5, Slot.MUG)}


def test_hours_at_home_and_days_out_are_told_by_day(kitchen):
    change(kitchen, kitchen=kitchen.kitchen | {"at_home_min": {"thu": 90, "wed": 0}, "out": ["tue", "wed"]})
    asked = brief_of(kitchen).kitchen
    assert asked.at_home_min == (0, 90, *[ALWAYS_MIN] * 5)
    assert asked.out == {0, 6}


def test_the_wants_of_the_household_come_first(kitchen):
    change(kitchen, wants=["leaning", "time"])
    assert brief_of(kitchen).wants == ("leaning", "time", "stores", "variety", "likes", "nourishment")


def store(household, food="carrot", amount_g="500", place="cupboard", **fields):
    return Store.objects.create(
        household=household, food=food, amount_g=amount_g, place=place, noted_on=TODAY, **fields
    )


def test_stores_that_last_are_told_with_place_and_date(kitchen, cast):
    store(kitchen, "parsnip", "250.5", "freezer")
    store(kitchen, best_by=TODAY + 9 * DAY, place="refrigerator")
    store(kitchen, best_by=TODAY + 2 * DAY)
    store(kitchen, used_up_at=NOON)
    store(kitchen, best_by=TODAY - DAY)
    store(kitchen, amount_g="0")
    store(kitchen, "honey")
    store(kitchen, "a-food-that-left-the-book")
    store(cast.other_household)
    assert brief_of(kitchen).stores == (
        Stored("carrot", Decimal(500), "cupboard", TODAY + 2 * DAY),
        Stored("carrot", Decimal(500), "refrigerator", TODAY + 9 * DAY),
        Stored("parsnip", Decimal("250.5"), "freezer"),
    )


@pytest.mark.parametrize(("days", "counts"), [(-2, False), (-1, True), (0, True)])
def test_a_store_counts_when_it_is_good_on_the_eve_of_the_week(kitchen, days, counts):
    store(kitchen, best_by=MONDAY + days * DAY)
    assert bool(brief_of(kitchen, MONDAY).stores) is counts


@pytest.fixture
def measured(kitchen, cast):
    """An active woman of 30 years with all measures."""
    eater = kitchen.eaters.get()
    change(eater, born=date(1996, 6, 10), sex="female", answers={"pregnant": False, "breastfeeding": False})
    measures = Measures(TODAY, weight_kg=Decimal(60), height_cm=Decimal(165), activity=Activity.INACTIVE)
    measures_record(eater=eater, measures=replace(measures, weight_kg=Decimal(90)), by=cast.coach, at=NOON)
    measures_record(eater=eater, measures=measures, by=cast.coach, at=NOON + DAY / 24)
    return eater


def test_targets_follow_the_latest_measures(kitchen, measured):
    """Inactive woman: 584.90 - 7.01 x 30 + 5.72 x 165 + 11.71 x 60 = 2021 kcal, NASEM 2023; 0.8 g/kg, IOM 2005."""
    targets = brief_of(kitchen).eaters[0].targets
    assert (targets["energy_kcal"], targets["protein_g"]) == (2020.0, 48.0)
    assert targets["iron_mg"] == 18.0


def test_a_caution_of_eating_takes_energy_away(kitchen, measured):
    CautionFactory(eater=measured, rule="eating-screen", lifted_at=NOON)
    assert "energy_kcal" in brief_of(kitchen).eaters[0].targets
    CautionFactory(eater=measured, rule="eating-screen", strength="clinician-first")
    assert "energy_kcal" not in brief_of(kitchen).eaters[0].targets


@pytest.mark.parametrize(
    "answers", [{"eating-disorder-past": True}, {"eating-worry": True}, {"scoff-total": "3"}]
)
def test_answers_about_eating_do_so_too(kitchen, measured, answers):
    change(measured, answers=measured.answers | answers)
    assert "energy_kcal" not in brief_of(kitchen).eaters[0].targets


def test_what_dishes_hold_is_told_where_the_table_knows_it(kitchen):
    brief = brief_of(kitchen)
    assert brief.contents["carrot-soup"]["protein_g"] > 0
    assert "carb_g" not in brief.contents["carrot-soup"]
    assert brief.contents.keys() <= {recipe.key for recipe in brief.recipes}


def test_the_same_household_gives_the_same_brief_which_survives_its_record(kitchen, measured):
    change(measured, away=[["fri", "evening"]])
    change(kitchen, wants=["time"], kitchen=kitchen.kitchen | {"at_home_min": {"fri": 120}, "out": ["fri"]})
    for _ in range(2):
        store(kitchen)
    brief = brief_of(kitchen)
    assert brief_record(brief) == brief_record(brief_of(kitchen))
    assert brief_from_record(brief_record(brief)) == brief


@pytest.fixture
def week(kitchen, cast) -> Week:
    """A week planned with everybody at home, as the planner makes it."""
    asked = week_ask(household=kitchen, start=MONDAY, by=cast.coach, at=NOON)
    week_plan(week_id=asked.pk, at=NOON)
    return Week.objects.get(pk=asked.pk)


def stands(week: Week) -> bool:
    return standing_week(household=week.household, start=MONDAY, at=NOON) is not None


def test_a_plate_of_somebody_away_is_no_reason_to_plan_anew(kitchen, week):
    assert stands(week)
    change(kitchen.eaters.get(), away=away_record(EVERY_MEAL[1:]))
    assert stands(week)


def test_a_plate_of_somebody_away_still_has_to_suit_them(kitchen, week):
    change(kitchen.eaters.get(), away=away_record(EVERY_MEAL[1:]), excluded=["chicken-thigh"])
    assert not stands(week)


def test_somebody_at_home_without_a_plate_is_a_reason(kitchen, week):
    """Each missing plate alone, and no more once that meal is eaten elsewhere."""
    plan, _brief = week_values(week)
    monday_midday = next(plate for plate in plan.plates if (plate.on, plate.slot) == (MONDAY, Slot.MIDDAY))
    left = tuple(plate for plate in plan.plates if plate is not monday_midday)
    change(week, plan=week_record(replace(plan, plates=left)))
    assert not stands(week)
    change(kitchen.eaters.get(), away=[["mon", "midday"]])
    assert stands(week)


def test_one_more_at_the_table_is_a_reason_unless_they_never_eat_at_home(kitchen, week):
    joined = EaterFactory(household=kitchen)
    assert not stands(week)
    change(joined, away=away_record(EVERY_MEAL))
    assert stands(week)


def test_somebody_who_left_is_a_reason(kitchen, week):
    plan, _brief = week_values(week)
    other = replace(plan.plates[0], eater="somebody-else")
    change(week, plan=week_record(replace(plan, plates=(*plan.plates, other))))
    assert not stands(week)
