"""What a household asks of the planner: each eater's rules as they stand, the kitchen as it is on each weekday."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from clients.models import Enrolment, Introduction, Spell
from clients.services.briefs import brief_for
from plans.domain.vocabulary import Allowance
from tests.factories import TODAY, CheckInFactory, EaterFactory, EnrolmentFactory

WEDNESDAY = TODAY


def brief_of(household, start: date = WEDNESDAY):
    return brief_for(household, start, today=TODAY)


def eater_of(household):
    return household.eaters.get()


def allowance(brief, food: str, day: int = 0) -> Allowance:
    return brief.eaters[0].days[day][food].allowance


def test_an_eater_in_a_stage_has_the_stages_allowances_on_every_day(kitchen):
    brief = brief_of(kitchen)
    assert [allowance(brief, "carrot", day) for day in range(7)] == [Allowance.AS_PREPARED] * 7
    assert allowance(brief, "onion") is Allowance.NOT_YET
    assert brief.eaters[0].follows == "Small protocol, version 1"


def test_before_day_one_everything_is_free_and_from_then_on_the_stage_holds(kitchen):
    day_one = WEDNESDAY + timedelta(days=3)
    Enrolment.objects.update(start_on=day_one)
    Spell.objects.update(began_on=day_one)
    brief = brief_of(kitchen)
    assert [allowance(brief, "onion", day) for day in (0, 2, 3, 6)] == [
        Allowance.FREELY,
        Allowance.FREELY,
        Allowance.NOT_YET,
        Allowance.NOT_YET,
    ]


def test_on_hold_the_stage_goes_on(kitchen):
    Enrolment.objects.update(state="held", held_since=TODAY)
    assert allowance(brief_of(kitchen), "onion") is Allowance.NOT_YET


def test_a_stage_moved_to_replaces_the_one_before(kitchen):
    enrolment = Enrolment.objects.get(eater=eater_of(kitchen))
    enrolment.spells.update(ended_on=TODAY)
    Spell.objects.create(enrolment=enrolment, stage="second", began_on=TODAY)
    assert allowance(brief_of(kitchen), "onion") is Allowance.FREELY


def test_after_the_protocol_ended_and_without_one_everything_is_free(kitchen):
    Enrolment.objects.update(state="ended")
    brief = brief_of(kitchen)
    assert allowance(brief, "onion") is Allowance.FREELY
    assert brief.eaters[0].follows == ""


@pytest.mark.parametrize(
    ("days_ago", "holds"),
    [(0, True), (1, True), (2, False), (-1, False)],
)
def test_conditions_come_from_the_newest_check_in_while_it_is_fresh(kitchen, cast, days_ago, holds):
    cast.version.document = cast.version.document | {
        "modifiers": [{"when": "loose-stools", "food": "carrot", "allowance": "not yet"}]
    }
    cast.version.digest = "b1" * 32
    cast.version.save(update_fields=["document", "digest"])
    CheckInFactory(eater=eater_of(kitchen), on=TODAY - timedelta(days=days_ago), stool_form=7)
    expected = Allowance.NOT_YET if holds else Allowance.AS_PREPARED
    assert allowance(brief_of(kitchen), "carrot") is expected


def test_an_open_introduction_opens_its_food_and_a_reaction_closes_it(kitchen):
    tried = Introduction.objects.create(
        eater=eater_of(kitchen),
        food="onion",
        form="boiled + peeled",
        first_day=TODAY,
        watch_until=TODAY + timedelta(days=3),
    )
    assert allowance(brief_of(kitchen), "onion") is Allowance.FIRST_TASTES
    tried.outcome = Introduction.Outcome.REACTED
    tried.food = "carrot"
    tried.save(update_fields=["outcome", "food"])
    assert allowance(brief_of(kitchen), "carrot") is Allowance.NOT_YET


def test_exclusions_tastes_and_appetite_are_the_eaters_own(kitchen):
    eater = eater_of(kitchen)
    eater.excluded, eater.dislikes, eater.leaning, eater.appetite = (
        ["parsnip"],
        ["onion"],
        "meat",
        Decimal("0.6"),
    )
    eater.save(update_fields=["excluded", "dislikes", "leaning", "appetite"])
    brief = brief_of(kitchen)
    assert allowance(brief, "parsnip") is Allowance.NOT_YET
    assert brief.eaters[0].dislikes == frozenset({"onion"})
    assert (brief.eaters[0].leaning, brief.eaters[0].appetite) == ("meat", Decimal("0.60"))


def test_the_kitchen_is_told_day_by_day_from_the_first_day_on(kitchen):
    kitchen.kitchen = {
        "pots_l": [8, 3.5],
        "jars": 6,
        "freezer": False,
        "hands_on_min": {"mon": 10, "tue": 20, "wed": 30, "thu": 40, "fri": 50, "sat": 60},
    }
    kitchen.save(update_fields=["kitchen"])
    asked = brief_of(kitchen).kitchen
    # From a Wednesday on; Sunday, of which nothing is known, has no time.
    assert asked.hands_on_min == (30, 40, 50, 60, 0, 10, 20)
    # An eighth of each pot stays free.
    assert asked.pots_ml == (7000, 3062)
    assert (asked.jars, asked.freezer) == (6, False)


def test_only_foods_that_recipes_use_or_make_are_handed_over(kitchen):
    brief = brief_of(kitchen)
    assert set(brief.foods) == {"bones", "carrot", "chicken-thigh", "onion", "parsnip", "stock", "water"}
    assert all(set(day) == set(brief.foods) for day in brief.eaters[0].days)


@pytest.mark.parametrize("more", [0, 6])
def test_the_queries_do_not_grow_with_the_eaters(kitchen, cast, more, django_assert_max_num_queries):
    for number in range(more):
        eater = EaterFactory(household=kitchen, name=f"Eater {number}", position=number + 1)
        EnrolmentFactory(eater=eater, version=cast.version)
        CheckInFactory(eater=eater)
    household = type(kitchen).objects.select_related("practice").get(pk=kitchen.pk)
    # Foods, recipes, eaters, enrolments with versions, spells, check-ins, introductions, instructions,
    # measures, cautions, stores.
    with django_assert_max_num_queries(11):
        brief = brief_of(household)
    assert len(brief.eaters) == 1 + more
