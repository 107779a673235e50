"""Published calendars and dose tables of challenges and stages, reproduced day by day; each check names its source."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import pytest

from plans.domain.allowance import EaterRules, Introduction, allowance
from plans.domain.book import Challenge, Protocol
from plans.domain.challenges import schedule, watch_days
from plans.domain.filing.protocols import protocol_yaml, read_protocol
from plans.domain.quantities import grams
from plans.domain.records import form_of
from plans.domain.rulebook import RuleBook
from plans.domain.tighten import permits
from plans.domain.vocabulary import Allowance, Use
from tests import shipped

DATA = Path(__file__).parent / "data"
START = date(2025, 3, 3)


def imported(name: str) -> Protocol:
    """A protocol file of this folder as the importer reads it."""
    foods = tuple(shipped.rulebook(None).foods.values())
    protocol, problems = read_protocol((DATA / name).read_text("utf-8"), name, foods)
    assert problems == ()
    assert protocol is not None
    return protocol


def groups(number: int, *, dose_days: int, washout_days: int, doses: int = 3) -> tuple[Challenge, ...]:
    """So many challenges alike, with doses that double."""
    amounts = tuple((Decimal(20 * 2**dose), "g") for dose in range(doses))
    return tuple(
        Challenge(
            f"group-{at}",
            f"Group {at}",
            "milk",
            form_of("raw"),
            "challenge",
            amounts,
            dose_days,
            washout_days,
        )
        for at in range(1, number + 1)
    )


def calendar(challenges: tuple[Challenge, ...]) -> list[tuple[str, str, str, str]]:
    """First and last dose day, first and last washout day of each challenge."""
    steps = schedule(challenges, START)
    rows = []
    for challenge in challenges:
        dosed = [step.on for step in steps if step.challenge == challenge.key and step.dose]
        rest = [step.on for step in steps if step.challenge == challenge.key and not step.dose]
        rows.append(tuple(day.isoformat() for day in (dosed[0], dosed[-1], rest[0], rest[-1])))
    return rows


THREE_AND_THREE = [
    ("2025-03-03", "2025-03-05", "2025-03-06", "2025-03-08"),
    ("2025-03-09", "2025-03-11", "2025-03-12", "2025-03-14"),
    ("2025-03-15", "2025-03-17", "2025-03-18", "2025-03-20"),
    ("2025-03-21", "2025-03-23", "2025-03-24", "2025-03-26"),
    ("2025-03-27", "2025-03-29", "2025-03-30", "2025-04-01"),
    ("2025-04-02", "2025-04-04", "2025-04-05", "2025-04-07"),
    ("2025-04-08", "2025-04-10", "2025-04-11", "2025-04-13"),
]


@pytest.mark.parametrize(
    "challenges",
    [groups(7, dose_days=3, washout_days=3), shipped.protocol("three-phase").challenges],
    ids=["seven groups", "the shipped three phases"],
)
def test_seven_groups_of_three_test_and_three_quiet_days_take_42_days(challenges: tuple[Challenge, ...]):
    """Tuck and Barrett, Journal of Gastroenterology and Hepatology, 2017: one group at a time, three test days with
    rising portions, then a washout (the three washout days from secondary pages; the dates are computed)."""
    steps = schedule(challenges, START)
    assert len(steps) == 42
    assert calendar(challenges) == THREE_AND_THREE
    for challenge in challenges:
        portions = [step.amount[0] for step in steps if step.challenge == challenge.key and step.amount]
        assert len(portions) == 3
        assert portions == sorted(set(portions))


def test_nine_groups_take_54_days():
    """Splitting the groups makes seven to nine challenges: Varney et al., and Tuck and Barrett, Journal of
    Gastroenterology and Hepatology, 2017."""
    steps = schedule(groups(9, dose_days=3, washout_days=3), START)
    assert len(steps) == 54
    assert watch_days(steps)["group-9"] == (date(2025, 4, 20), date(2025, 4, 25))


def test_portions_of_mushroom_double_from_day_to_day():
    """Mannitol: mushrooms 40 g on one day and 80 g on the next, only if the first was quiet (a patient's account of a
    dietitian-led test, 2013). The shipped challenge begins a step lower, with 20 g, and doubles alike."""
    (mannitol,) = (each for each in shipped.protocol("three-phase").challenges if each.key == "mannitol")
    assert [amount for amount, _ in mannitol.doses] == [20, 40, 80]


def test_the_classic_elimination_diet_tests_a_food_every_three_days():
    """Elimination diet patient handout, University of Wisconsin (its origin from memory): a small serving in the
    morning and two larger ones later on the first day, then two days of watching without the food. A challenge has
    one dose a day, so its dose is the day's amount."""
    foods = groups(4, dose_days=1, washout_days=2, doses=1)
    assert len(schedule(foods, START)) == 12
    assert calendar(foods) == [
        ("2025-03-03", "2025-03-03", "2025-03-04", "2025-03-05"),
        ("2025-03-06", "2025-03-06", "2025-03-07", "2025-03-08"),
        ("2025-03-09", "2025-03-09", "2025-03-10", "2025-03-11"),
        ("2025-03-12", "2025-03-12", "2025-03-13", "2025-03-14"),
    ]


def test_a_tolerated_food_stays_out_until_all_are_tested():
    """The same handout, and Tuck and Barrett, 2017: what was tolerated stays out while others are tested."""
    protocol = shipped.protocol("three-phase")
    lactose = protocol.challenges[0]
    tried = Introduction(lactose.food, lactose.form, START, START + timedelta(days=5), "tolerated")
    rules = EaterRules(born=date(1980, 1, 1), stages=((START, "challenge"),), introductions=(tried,))
    last_day = START + timedelta(days=41)
    given = allowance(shipped.rulebook("three-phase"), rules, "milk", lactose.form, last_day)
    assert given.allowance is Allowance.NOT_YET


# -- a milk ladder ---------------------------------------------------------------------------------------------------

PROTEIN_G_PER_ML = Decimal("0.035")
"""One biscuit holds 1 ml of milk and 0.035 g of its protein: the same recipes."""


LADDER = shipped.protocol("milk-ladder")


def test_the_milk_of_each_rung_is_that_of_the_published_recipes_two_days_each():
    """Venter, Brown, Meyer et al. (iMAP), Clinical and Translational Allergy 7:26 (2017), additional file 4: 1 ml in
    one biscuit and 3 ml in three; 12.5 ml in half a muffin and 25 ml in a whole one. Two days before a bigger portion:
    The Milk Ladder, Bradford Teaching Hospitals."""
    steps = schedule(LADDER.challenges, START)
    portions = [("biscuit", "1"), ("biscuit", "2"), ("biscuit", "3"), ("muffin", "12.5"), ("muffin", "25")]
    assert [(step.on, step.challenge, step.amount) for step in steps] == [
        (START + timedelta(days=2 * place + day), rung, (Decimal(amount), "ml"))
        for place, (rung, amount) in enumerate(portions)
        for day in (0, 1)
    ]


@pytest.mark.parametrize(
    ("rung", "dose", "protein_g"),
    [("biscuit", 1, "0.035"), ("biscuit", 6, "0.105"), ("muffin", 1, "0.436"), ("muffin", 4, "0.875")],
)
def test_the_protein_of_each_portion(rung: str, dose: int, protein_g: str):
    """The same table. Half a muffin is printed as 0.436 g, half of the whole one is 0.4375 g: rounding of 0.0015 g."""
    (amount,) = (
        step.amount[0]
        for step in schedule(LADDER.challenges, START)
        if step.amount and (step.challenge, step.dose) == (rung, dose)
    )
    assert amount * PROTEIN_G_PER_ML == pytest.approx(Decimal(protein_g), abs=Decimal("0.0015"))


def test_no_portion_of_the_ladder_is_smaller_than_the_one_before():
    amounts = [step.amount for step in schedule(LADDER.challenges, START)]
    assert amounts == sorted(amounts)


def test_the_rungs_stand_in_their_order():
    """The same paper; the order of the last four from memory."""
    rungs = [stage.key for stage in LADDER.stages[1:-1]]
    assert rungs == ["biscuit", "muffin", "pancake", "cheese", "yoghurt", "milk"]


def test_a_portion_in_quarters_takes_eight_days():
    """The Milk Ladder, Bradford Teaching Hospitals: a quarter, a half, three quarters, then all of a portion, 48 hours
    before a bigger one or another food."""
    assert [stage.least_days for stage in LADDER.stages[3:-1]] == [8, 8, 8, 8]
    quarters = tuple((Decimal(25 * quarter), "g") for quarter in (1, 1, 2, 2, 3, 3, 4, 4))
    rungs = tuple(
        Challenge(key, key, "hard-cheese", form_of("raw"), "cheese", quarters, dose_days=8, washout_days=0)
        for key in ("first", "second")
    )
    steps = schedule(rungs, START)
    bigger = [one.on for before, one in pairwise(steps) if one.amount != before.amount]
    assert bigger == [START + timedelta(days=day) for day in (2, 4, 6, 8, 10, 12, 14)]
    assert watch_days(steps)["second"][0] == START + timedelta(days=8)


def on_the_ladder(rung: str, *tried: Introduction) -> EaterRules:
    return EaterRules(born=date(2022, 1, 1), stages=((START, rung),), introductions=tried)


def test_the_ladder_gives_the_dose_of_the_day_and_only_baked():
    book = shipped.rulebook("milk-ladder")
    tried = Introduction("milk", form_of("baked"), START, START + timedelta(days=3))
    half, whole = (
        allowance(
            book, on_the_ladder("muffin", tried), "milk", form_of("baked"), START + timedelta(days=day)
        ).most_g
        for day in (1, 2)
    )
    assert (half, whole) == tuple(grams(Decimal(ml), "ml", book.foods["milk"]) for ml in ("12.5", "25"))
    raw = allowance(book, on_the_ladder("muffin", tried), "milk", form_of("raw"), START)
    assert raw.allowance is Allowance.NOT_YET


def test_a_rung_that_went_well_is_eaten_on_in_its_amount():
    """The same leaflet: what is tolerated is kept in the diet."""
    book = shipped.rulebook("milk-ladder")
    week_ago = START - timedelta(days=7)
    tried = Introduction("milk", form_of("baked"), week_ago, week_ago + timedelta(days=5), "tolerated")
    for rung, ml in (("muffin", 3), ("pancake", 25), ("yoghurt", 25)):
        given = allowance(book, on_the_ladder(rung, tried), "milk", form_of("baked"), START)
        assert (given.most_g, given.untried) == (grams(Decimal(ml), "ml", book.foods["milk"]), False)


def test_without_an_introduction_no_rung_gives_milk():
    book = shipped.rulebook("milk-ladder")
    for stage in LADDER.stages[:-1]:
        given = allowance(book, on_the_ladder(stage.key), "milk", form_of("baked"), START)
        assert not permits(given, form_of("baked"), Use.BASE, Decimal("0.1"))


def test_a_recorded_milk_allergy_closes_every_rung():
    book = shipped.rulebook("milk-ladder")
    tried = Introduction("milk", form_of("baked"), START, START + timedelta(days=5))
    rules = replace(on_the_ladder("biscuit", tried), allergies=frozenset({"milk"}))
    assert allowance(book, rules, "milk", form_of("baked"), START).allowance is Allowance.NOT_YET


def test_the_ladder_says_who_it_is_for():
    """British Society for Allergy and Clinical Immunology, diagnostic diets: home only without an immediate or severe
    reaction. Canadian ladders: 3.8 % of children needed adrenaline (Allergy, Asthma and Clinical Immunology, 2023)."""
    assert LADDER.dietitian
    for words in (
        "allergy clinician",
        "Never at home after an immediate or severe reaction",
        "emergency number",
    ):
        assert words in LADDER.caution


# -- an egg ladder ---------------------------------------------------------------------------------------------------


def test_the_nine_rungs_stand_in_three_classes():
    """Leech et al., BSACI guideline on egg allergy, Clinical and Experimental Allergy (2021): rungs 1 to 4 baked, 5 to
    7 well cooked, 8 and 9 loosely cooked or raw."""
    ladder = imported("egg-ladder.yaml")
    rungs = [(stage.key.partition("-")[0], stage.title) for stage in ladder.stages[1:-1]]
    assert [kind for kind, _ in rungs] == ["baked"] * 4 + ["cooked"] * 3 + ["loose"] * 2
    assert len({title for _, title in rungs}) == 9


def test_every_rung_of_egg_takes_three_days_at_least():
    """A guide to the home introduction of egg for children (a hospital's leaflet): at least three days a stage. That a
    stage entered on 1 May may be left on 4 May is our reading."""
    ladder = imported("egg-ladder.yaml")
    begun, may_leave = date(2025, 5, 1), []
    for stage in ladder.stages[1:-1]:
        begun += timedelta(days=stage.least_days)
        may_leave.append(begun)
    assert may_leave[0] == date(2025, 5, 4)
    assert may_leave == [date(2025, 5, 1) + timedelta(days=3 * rung) for rung in range(1, 10)]


def test_no_rung_of_egg_opens_a_dish_by_itself():
    """The form *baked* cannot tell a cake from a frittata, so only an introduction opens egg: the clinic sizes it."""
    book = RuleBook.compile(imported("egg-ladder.yaml"), shipped.foods())
    for stage, table in book.stages.items():
        if stage != "table":
            assert {table[key].given.allowance for key in ("egg", "egg-yolk", "mayonnaise")} == {0}


# -- textures after stomach surgery ----------------------------------------------------------------------------------

TEXTURES = [
    ("clear-liquid", 1, 2),
    ("full-liquid", 1, 1),
    ("pureed", 3 * 7, 4 * 7),
    ("mechanical-soft", 4 * 7, 4 * 7),
    ("soft", 4 * 7, 4 * 7),
]
"""Fewest and most days: McMahon et al., as tabulated in J Metab Bariatr Surg 5 (2016), 4-10, table 2."""


def test_the_texture_stages_keep_their_order_and_days():
    """The same table: clear liquid 1-2 days, full liquid 1 day, pureed 3-4 weeks, mechanical soft and soft 4 weeks
    each, regular from three months."""
    stages = imported("texture-stages.yaml").stages
    assert [(stage.key, stage.least_days, stage.most_days) for stage in stages[:-1]] == TEXTURES
    assert (stages[-1].key, stages[-1].most_days) == ("regular", None)
    assert [stage.number for stage in stages] == sorted(stage.number for stage in stages)


def test_regular_food_begins_after_about_three_months():
    """The same table says so, and its own stages before that add up to 79 to 87 days: around twelve weeks."""
    stages = imported("texture-stages.yaml").stages[:-1]
    least, most = sum(stage.least_days for stage in stages), sum(stage.most_days or 0 for stage in stages)
    assert (least, most) == (79, 87)
    assert least <= 12 * 7 <= most


@pytest.mark.parametrize(
    ("stage", "meals", "least_ml", "most_ml"),
    [
        ("pureed", "Six", 60, 90),
        ("mechanical-soft", "Five", 80, 120),
        ("soft", "Four", 120, 180),
        ("regular", "three", 240, 360),
    ],
)
def test_every_texture_says_how_much_a_meal_is(stage: str, meals: str, least_ml: int, most_ml: int):
    """The same table."""
    aim = imported("texture-stages.yaml").stage(stage).aim
    assert f"{meals} meals a day of {least_ml} to {most_ml} ml" in aim


@pytest.mark.parametrize(
    ("stage", "form", "open_"),
    [
        ("full-liquid", "boiled + pureed + peeled", False),
        ("pureed", "boiled + pureed + peeled", True),
        ("pureed", "boiled + minced + peeled", False),
        ("mechanical-soft", "boiled + minced + peeled", True),
        ("mechanical-soft", "boiled + peeled", False),
        ("soft", "boiled + peeled", True),
        ("soft", "raw", False),
        ("regular", "raw", True),
    ],
)
def test_a_carrot_opens_texture_by_texture(stage: str, form: str, open_: bool):
    book = RuleBook.compile(imported("texture-stages.yaml"), shipped.foods())
    rules = EaterRules(born=date(1980, 1, 1), stages=((START, stage),))
    given = allowance(book, rules, "carrot", form_of(form), START)
    assert (given.allowance is not Allowance.NOT_YET) is open_


@pytest.mark.parametrize("name", ["texture-stages.yaml", "egg-ladder.yaml"])
def test_the_files_are_written_as_they_were_read(name: str):
    protocol = imported(name)
    foods = tuple(shipped.rulebook(None).foods.values())
    assert read_protocol(protocol_yaml(protocol), name, foods) == (protocol, ())
    assert protocol.dietitian
    assert protocol.caution
