"""Briefs and weeks go through JSON without loss."""

import json
from dataclasses import replace
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from plans.domain.brief import (
    WANTS,
    Brief,
    BriefEater,
    Choice,
    Cook,
    FoodAllowance,
    Kitchen,
    NoWeek,
    Plate,
    Reason,
    Revision,
    Stored,
    Week,
)
from plans.domain.brief_json import (
    brief_from_record,
    brief_record,
    no_week_from_record,
    no_week_record,
    week_from_record,
    week_record,
)
from plans.domain.vocabulary import LEANINGS, Allowance, Slot
from tests import shipped
from tests.plans.book_strategies import FOOD_KEYS, amounts, food_lists, forms, lines, recipe_lists

dates = st.dates(date(2020, 1, 1), date(2040, 1, 1))
facts = st.dictionaries(st.sampled_from(("food", "until", "most")), st.integers(-9, 999) | lines, max_size=2)
reasons = st.lists(st.builds(Reason, lines, facts), max_size=2).map(tuple)
allowances = st.builds(
    FoodAllowance,
    allowance=st.sampled_from(Allowance),
    forms=st.lists(forms, max_size=2).map(tuple),
    most_g=st.none() | amounts,
    reasons=reasons,
    untried=st.booleans(),
    flavour_forms=st.lists(forms, max_size=2).map(tuple),
)
portions = st.decimals("0.05", "40", places=2)
left_out = st.lists(st.sampled_from(FOOD_KEYS), max_size=2, unique=True).map(tuple)
cooks = st.builds(Cook, key=lines, recipe=lines, on=dates, portions=portions, why=reasons, without=left_out)
plates = st.builds(
    Plate,
    on=dates,
    slot=st.sampled_from(Slot),
    eater=lines,
    cook=lines,
    portions=portions,
    source=st.sampled_from(("fresh", "kept", "thawed")),
    without=left_out,
)
weeks = st.builds(
    Week,
    start=dates,
    days=st.integers(0, 14),
    cooks=st.lists(cooks, max_size=3).map(tuple),
    plates=st.lists(plates, max_size=3).map(tuple),
    objective=st.dictionaries(st.sampled_from(("cooks", "busy", "waste")), st.integers(0, 9999)),
    bound=st.floats(0, 1e6),
    gap=st.floats(0, 1),
    tight=reasons,
)
no_weeks = st.builds(NoWeek, conflicts=reasons, relaxations=reasons)
meals = st.tuples(st.integers(0, 6), st.sampled_from(Slot))
choices = st.lists(st.builds(Choice, meals, lines), max_size=2).map(tuple)
from_days = st.dictionaries(lines, st.integers(0, 6), max_size=2)
revisions = st.builds(
    Revision,
    shown=weeks,
    from_day=st.integers(0, 6),
    eaten=st.frozensets(st.sampled_from(Slot)),
    locked=st.frozensets(meals, max_size=3),
    wanted=choices,
    unwanted=choices,
    gone_foods=from_days,
    gone_cooks=from_days,
)
stored = st.builds(
    Stored,
    food=lines,
    amount_g=amounts,
    place=st.sampled_from(("freezer", "cupboard")),
    best_by=st.none() | dates,
)
nutrients = st.dictionaries(st.sampled_from(("energy_kcal", "protein_g")), st.floats(0, 5000), max_size=2)


@st.composite
def briefs(draw: st.DrawFn) -> Brief:
    days = draw(st.integers(1, 3))
    tables = st.dictionaries(st.sampled_from(FOOD_KEYS), allowances, max_size=3)
    eaters = st.builds(
        BriefEater,
        key=lines,
        name=lines,
        appetite=portions,
        born=dates,
        days=st.lists(tables, min_size=days, max_size=days).map(tuple),
        leaning=st.sampled_from(LEANINGS),
        dislikes=st.frozensets(st.sampled_from(FOOD_KEYS), max_size=2),
        follows=st.just("") | lines,
        away=st.frozensets(meals, max_size=3),
        targets=nutrients,
    )
    return Brief(
        start=draw(dates),
        days=days,
        eaters=draw(st.lists(eaters, max_size=3).map(tuple)),
        foods={food.key: food for food in draw(food_lists())},
        recipes=draw(recipe_lists()),
        kitchen=Kitchen(
            hands_on_min=tuple(draw(st.lists(st.integers(0, 300), min_size=days, max_size=days))),
            pots_ml=tuple(draw(st.lists(st.integers(0, 20000), max_size=2))),
            jars=draw(st.integers(0, 40)),
            freezer=draw(st.booleans()),
            at_home_min=tuple(draw(st.lists(st.integers(0, 900), max_size=days))),
            out=draw(st.frozensets(st.integers(0, days - 1))),
        ),
        stores=draw(st.lists(stored, max_size=2).map(tuple)),
        contents=draw(st.dictionaries(lines, nutrients, max_size=2)),
        wants=tuple(draw(st.permutations(WANTS))),
        revision=draw(st.none() | revisions),
        slots=tuple(draw(st.lists(st.sampled_from(Slot), unique=True))),
        most_repeats=draw(st.integers(1, 7)),
    )


def through_json(record: dict) -> dict:
    return json.loads(json.dumps(record, allow_nan=False))


@given(briefs())
def test_a_brief_comes_back_as_it_was(brief: Brief):
    assert brief_from_record(through_json(brief_record(brief))) == brief


@given(weeks)
def test_a_week_comes_back_as_it_was(week: Week):
    assert week_from_record(through_json(week_record(week))) == week


@given(no_weeks)
def test_reasons_come_back_as_they_were(answer: NoWeek):
    assert no_week_from_record(through_json(no_week_record(answer))) == answer


def test_the_whole_book_for_a_family_comes_back_and_is_no_larger_than_it_need_be():
    stages = [(date(2026, 12, 1), "settle")]
    eaters = {key: shipped.eater(protocol="hearth-five", stages=stages) for key in ("ana", "bo", "cy", "di")}
    brief = shipped.brief(shipped.household(eaters))
    text = json.dumps(brief_record(brief))
    assert brief_from_record(json.loads(text)) == brief
    assert len(text) < 600_000


@given(briefs())
def test_a_brief_kept_from_before_forms_bound_flavours_is_read(brief: Brief):
    record = through_json(brief_record(brief))
    for row in record["allowances"]:
        del row["flavour_forms"]
    read = brief_from_record(record)
    assert all(
        given.flavour_forms == () for eater in read.eaters for day in eater.days for given in day.values()
    )


@given(briefs(), revisions)
def test_a_revision_kept_from_before_meals_of_today_counted_as_eaten_is_read(
    brief: Brief, revision: Revision
):
    record = through_json(brief_record(replace(brief, revision=revision)))
    del record["revision"]["eaten"]
    assert brief_from_record(record).revision == replace(revision, eaten=frozenset())


@given(briefs())
def test_a_brief_kept_from_before_stores_and_revisions_is_read(brief: Brief):
    record = through_json(brief_record(brief))
    for key in ("stores", "contents", "wants", "revision"):
        del record[key]
    for row in record["eaters"]:
        del row["away"], row["targets"]
    del record["kitchen"]["at_home_min"], record["kitchen"]["out"]
    read = brief_from_record(record)
    assert (read.stores, read.contents, read.wants, read.revision) == ((), {}, WANTS, None)
    assert all(not eater.away and not eater.targets for eater in read.eaters)
    assert (read.kitchen.at_home_min, read.kitchen.out) == ((), frozenset())
