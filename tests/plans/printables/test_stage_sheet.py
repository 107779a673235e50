"""The sheet for the refrigerator door: every allowance in its place, nothing that holds only for days."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from coaching.domain.units import System
from plans.domain.allowance import EaterRules, Introduction
from plans.domain.book import Food, Modifier, Protocol, Rule, Stage
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Allowance
from plans.printables.facts import StageSheet
from plans.printables.stage_sheet import stage_sheet
from tests.plans.printables.plain import plain
from tests.plans.printables.samples import NELL
from tests.plans.printables.shipped import foods as shipped_foods
from tests.plans.printables.shipped import protocol as shipped_protocol

ON = date(2026, 12, 7)
PEELED = frozenset({"boiled", "peeled"})
FOODS = (
    Food("carrot", "Carrot", "soft roots", "vegetables"),
    Food("parsnip", "Parsnip", "soft roots", "vegetables"),
    Food("turnip", "Turnip", "soft roots", "vegetables"),
    Food("stock", "Stock", "stocks", "home-made"),
    Food("bay-leaf", "Bay leaf", "herbs", "herbs-spices"),
    Food("brine", "Brine", "culture liquids", "home-made", density_g_per_ml=Decimal(1)),
    Food("tomato", "Tomato", "nightshades", "vegetables"),
)
PROTOCOL = Protocol(
    key="small",
    title="Small protocol",
    summary="",
    source="own invention",
    stages=(
        Stage("first", 1, "First", "Settle in.", 5, 10, 21, ("Three quiet days",)),
        Stage("second", 2, "Second", "Widen.", 7, 14),
    ),
    rules=(
        Rule("first", Allowance.FREELY, food="stock"),
        Rule("first", Allowance.AS_PREPARED, food="carrot", forms=(PEELED,)),
        Rule("first", Allowance.AS_PREPARED, food="parsnip", forms=(PEELED,)),
        Rule("first", Allowance.FLAVOUR_ONLY, food="bay-leaf", forms=(frozenset({"broth"}),)),
        Rule(
            "first",
            Allowance.FIRST_TASTES,
            food="brine",
            forms=(frozenset({"culture-liquid"}),),
            start=(Decimal(5), "ml"),
            step=(Decimal(5), "ml"),
            every_days=2,
            most=(Decimal(45), "ml"),
            note="Never hot.",
        ),
        Rule("second", Allowance.FREELY, group="nightshades"),
    ),
    modifiers=(
        Modifier("loose-stools", group="soft roots", allowance=Allowance.NOT_YET, note="Pause them."),
        Modifier("reflux", food="tomato", allowance=Allowance.NOT_YET, note="Pause it."),
    ),
)
RULES = EaterRules(born=date(1988, 3, 2), stages=((ON, "first"),))


def sheet(rules: EaterRules = RULES, system: System = System.METRIC) -> StageSheet:
    made = stage_sheet(
        standing=NELL,
        protocol=PROTOCOL,
        book=RuleBook.compile(PROTOCOL, FOODS),
        rules=rules,
        on=ON,
        left_out=(),
        system=system,
    )
    return plain(made)


def block(made: StageSheet, code: str):
    return next(block for block in made.allowances if block.code == code)


def test_the_five_allowances_stand_from_free_to_strict_each_with_word_and_meaning():
    made = sheet()
    assert [one.code for one in made.allowances] == [
        "freely",
        "as-prepared",
        "first-tastes",
        "flavour-only",
        "not-yet",
    ]
    assert [one.word for one in made.allowances] == [
        "Freely",
        "As prepared",
        "First tastes",
        "Flavour only",
        "Not yet",
    ]
    assert block(made, "flavour-only").meaning == "Cook it in, take it out."
    assert all(one.meaning for one in made.allowances)


def test_foods_prepared_alike_share_a_line_by_group():
    (line,) = block(sheet(), "as-prepared").lines
    assert line.how == "Boiled, peeled"
    assert [(group.group, group.foods) for group in line.groups] == [("Soft roots", "carrot, parsnip")]


def test_first_tastes_say_how_to_begin_step_up_and_stop():
    (taste,) = block(sheet(), "first-tastes").tastes
    assert taste.amounts == "from 5 ml (1 tsp), 5 ml more every 2 days, up to 45 ml (3 tbsp)."
    assert (taste.how, taste.note) == ("the live liquid alone", "Never hot.")
    (us,) = block(sheet(system=System.US), "first-tastes").tastes
    assert us.amounts == "from 1 tsp (5 ml), 1 tsp more every 2 days, up to 3 tbsp (45 ml)."


def test_not_yet_names_groups_that_are_closed_as_a_whole_and_says_that_all_else_is():
    closed = block(sheet(), "not-yet")
    assert closed.groups == ("Nightshades",)
    assert closed.meaning == "These, and every food this sheet does not name."


def test_a_condition_of_the_day_does_not_change_the_sheet():
    assert sheet(replace(RULES, conditions=frozenset({"loose-stools"}))) == sheet()


def test_bad_days_tell_only_what_concerns_open_foods():
    (line,) = sheet().when
    assert line.condition == "While stools are loose"
    assert line.advice == ("Soft roots: Pause them.",)


def test_an_open_introduction_is_named_and_closes_no_first_taste():
    tried = Introduction("turnip", PEELED, ON, ON + timedelta(days=3))
    made = sheet(replace(RULES, introductions=(tried,)))
    assert made.introductions == (
        "Turnip, boiled, peeled: from 7 December 2026, watch until 10 December 2026. Nothing else new until then.",
    )
    assert block(made, "first-tastes").tastes


def test_an_allergy_closes_the_food_on_the_sheet():
    foods = tuple(
        replace(food, families=frozenset({"celery"})) if food.key == "carrot" else food for food in FOODS
    )
    made = stage_sheet(
        standing=NELL,
        protocol=PROTOCOL,
        book=RuleBook.compile(PROTOCOL, foods),
        rules=replace(RULES, allergies=frozenset({"celery"})),
        on=ON,
        left_out=("Celery and everything that holds it: allergy",),
        system=System.METRIC,
    )
    (line,) = block(made, "as-prepared").lines
    assert line.groups[0].foods == "parsnip"
    assert made.left_out == ("Celery and everything that holds it: allergy",)


def test_signs_of_moving_on_and_spans_are_the_stages_own():
    made = sheet()
    assert made.moving_on == ("Three quiet days",)
    assert made.spans == "At least 5 days, usually 10 days. After 21 days you look at it together."


def test_every_stage_of_the_shipped_protocols_makes_a_sheet_with_all_its_first_tastes():
    for name in ("hearth-five", "three-phase"):
        protocol = shipped_protocol(name)
        book = RuleBook.compile(protocol, shipped_foods().values())
        for stage in protocol.stages:
            made = stage_sheet(
                standing=NELL,
                protocol=protocol,
                book=book,
                rules=replace(RULES, stages=((ON, stage.key),)),
                on=ON,
                left_out=(),
                system=System.US,
            )
            tasted = " ".join(taste.food.casefold() for taste in block_tastes(made))
            for key, row in book.stages[stage.key].items():
                name = shipped_foods()[key].name.partition(",")[0].casefold()
                if row.given.allowance is Allowance.FIRST_TASTES:
                    assert name in tasted


def test_first_tastes_that_go_alike_share_a_line_by_weight():
    nuts = tuple(
        Food(key, key.capitalize(), "tree nuts", "pantry", density_g_per_ml=Decimal("0.6"))
        for key in ("almonds", "pecans")
    )
    rule = Rule(
        "first",
        Allowance.FIRST_TASTES,
        group="tree nuts",
        start=(Decimal(5), "g"),
        step=(Decimal(5), "g"),
        every_days=3,
        most=(Decimal(30), "g"),
    )
    protocol = replace(PROTOCOL, rules=(*PROTOCOL.rules, rule))
    made = stage_sheet(
        standing=NELL,
        protocol=protocol,
        book=RuleBook.compile(protocol, (*FOODS, *nuts)),
        rules=RULES,
        on=ON,
        left_out=(),
        system=System.METRIC,
    )
    taste = plain(block(made, "first-tastes").tastes)[0]
    assert (taste.food, taste.amounts) == (
        "Almonds and pecans",
        "from 5 g, 5 g more every 3 days, up to 30 g (1 oz).",
    )


def block_tastes(made: StageSheet):
    return [taste for one in made.allowances for taste in one.tastes]
