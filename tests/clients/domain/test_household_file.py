"""Household files: the example of the schema is read whole; every problem is named with its line."""

import json
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.domain.household_file import KnownProtocol, read_household
from clients.domain.people import WEEKDAYS, KitchenFacts, NewConsent, NewEnrolment
from clients.domain.presence import EVERY_MEAL as EVERY
from clients.domain.presence import away_record
from clients.domain.wants import wants_in_order, wants_record
from plans.domain.brief import WANTS
from plans.domain.vocabulary import Slot

SCHEMAS = Path(__file__).parents[3] / "plans" / "data" / "SCHEMAS.md"
TODAY = date(2026, 11, 25)
FOODS = ("egg", "beef-liver")
PROTOCOLS = {"hearth-five": KnownProtocol("v1", ("settle", "soften"))}


def example() -> str:
    """The household file in the description of all files."""
    text = SCHEMAS.read_text("utf-8")
    begin = text.index("schema: ladlework/household/1")
    return text[begin : text.index("```", begin)]


def read(text: str):
    return read_household(
        text,
        "reed.yaml",
        foods=FOODS,
        protocols=PROTOCOLS,
        languages=["en"],
        agreement="Coaching only.",
        today=TODAY,
    )


def problems(old: str, new: str) -> list[tuple[int, str]]:
    """The problems, as line and field, of the example with one thing changed."""
    assert old in example()
    made, found = read(example().replace(old, new))
    assert made is None
    assert all(problem.message and problem.fix for problem in found)
    return [(problem.line, problem.field) for problem in found]


def test_the_example_of_the_schema_is_read():
    made, found = read(example())
    assert found == ()
    assert (made.name, made.client.email, made.client.time_zone) == (
        "Reed",
        "dana@example.org",
        "Europe/Dublin",
    )
    assert made.kitchen.pots_l == (Decimal("7.5"),)
    assert made.kitchen.hands_on_min["sun"] == 150
    assert made.kitchen.busy == ("tue", "thu")
    assert (made.kitchen.burners, made.kitchen.jar_sizes) == (2, {"quart-wide": 4, "pint-wide": 4})
    assert (made.kitchen.shallow_l, made.kitchen.iced_water, made.kitchen.elevation_m) == (4, True, 90)
    assert (made.kitchen.at_home_min, made.kitchen.out) == ({"tue": 120, "thu": 120}, ("tue", "thu"))
    assert made.wants == ("time", "stores", "variety", "likes", "nourishment", "leaning")
    assert made.consent == NewConsent("Coaching only.", date(2026, 11, 20))
    [dana] = made.eaters
    assert dana.is_client
    assert (dana.born, dana.sex, dana.allergies, dana.excluded, dana.dislikes) == (
        date(1986, 4, 12),
        "female",
        ("milk",),
        ("egg",),
        ("beef-liver",),
    )
    assert dana.away == {("mon", Slot.MIDDAY), ("fri", Slot.MIDDAY), ("fri", Slot.EVENING)}
    assert dana.enrolment == NewEnrolment("v1", "settle", date(2026, 12, 7))
    assert dana.answers["pregnant"] is False
    assert not any(dana.answers.values())


def test_conditions_are_a_list_of_what_was_answered_yes_or_keys_with_answers():
    listed, _ = read(example().replace("conditions: []", "conditions: [warfarin]"))
    assert listed.eaters[0].answers["warfarin"] is True
    mapped, _ = read(example().replace("conditions: []", "conditions: {warfarin: no, weight-kg: 71.5}"))
    assert mapped.eaters[0].answers["warfarin"] is False
    assert mapped.eaters[0].answers["weight-kg"] == Decimal("71.5")


def test_the_first_stage_is_the_default():
    made, _ = read(example().replace("      stage: settle               # omit: the first\n", ""))
    assert made.eaters[0].enrolment.stage == "settle"


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("email: dana@example.org", "email: dana", [(2, "email of client")]),
        ("Europe/Dublin", "Europe/Dubln", [(2, "time_zone of client")]),
        ("language: en", "language: tlh", [(2, "language of client")]),
        ("name: Dana Reed, ", "", [(2, "name of client")]),
        ("1986-04-12", "yesterday", [(8, "born of eater 1 of household")]),
        ("1986-04-12", "2030-01-01", [(8, "born of eater 1 of household")]),
        ("sex: female ", "sex: f ", [(9, "sex of eater 1 of household")]),
        ("appetite: 1.0", "appetite: 9", [(10, "appetite of eater 1 of household")]),
        ("[beef-liver]", "[beef-livr]", [(12, "dislikes of eater 1 of household")]),
        ("[milk]", "[dairy]", [(13, "allergies of eater 1 of household")]),
        ("[egg]", "[eggs]", [(14, "excluded of eater 1 of household")]),
        ("conditions: []", "conditions: [warfarn]", [(16, "conditions of eater 1 of household")]),
        (
            "conditions: []",
            "conditions: {weight-kg: 9000}",
            [(16, "weight-kg of conditions of eater 1 of household")],
        ),
        ("protocol: hearth-five", "protocol: heath-five", [(17, "protocol of eater 1 of household")]),
        ("stage: settle", "stage: setle", [(18, "stage of eater 1 of household")]),
        ("2026-12-07", "soon", [(19, "start of eater 1 of household")]),
        ("scope: true", "scope: false", [(21, "scope of consent of household")]),
        ("on: 2026-11-20", "on: 2027-01-01", [(21, "on of consent of household")]),
        ("schema: ladlework/household/1", "schema: ladlework/foods/1", [(1, "schema")]),
        ("{mon: [midday]", "{mon: [lunch]", [(15, "mon of away of eater 1 of household")]),
        ("{mon: [midday]", "{monday: [midday]", [(15, "monday of away of eater 1 of household")]),
        ("{mon: [midday]", "{mon: [midday, midday]", [(15, "mon of away of eater 1 of household")]),
        ("out: [tue, thu]", "out: [tues]", [(5, "out of kitchen of household")]),
        ("{tue: 120, thu", "{tue: 2000, thu", [(5, "tue of at_home_min of kitchen of household")]),
        ("[time, stores]", "[time, speed]", [(20, "wants of household")]),
        ("leaning: none", "mood: none", [(11, "mood of eater 1 of household")]),
    ],
)
def test_what_is_wrong_is_named_with_its_line(old: str, new: str, expected: list):
    assert problems(old, new) == expected


EVERY_MEAL = "{" + ", ".join(f"{day}: [breakfast, mug, midday, evening]" for day in WEEKDAYS) + "}"


def test_somebody_has_to_eat_something_at_home():
    [(line, where)] = problems("{mon: [midday], fri: [midday, evening]}", EVERY_MEAL)
    assert where == "eaters of household"
    assert line == 6


def test_what_a_household_never_said_takes_the_usual():
    text = example().replace("      away: {mon: [midday], fri: [midday, evening]}", "      away: {}")
    made, found = read(text.replace("  wants: [time, stores]", "  wants: []"))
    assert found == ()
    assert (made.wants, made.eaters[0].away) == ((), frozenset())


KITCHEN = next(line for line in example().splitlines() if line.startswith("  kitchen:"))


@given(
    at_home=st.dictionaries(st.sampled_from(WEEKDAYS), st.integers(0, 1440)),
    out=st.sets(st.sampled_from(WEEKDAYS)),
    away=st.sets(st.sampled_from(EVERY), max_size=27),
    wants=st.permutations(WANTS),
)
def test_what_is_stored_reads_the_same_from_a_file(at_home, out, away, wants):
    kitchen = KitchenFacts(
        pots_l=(Decimal("7.5"),), at_home_min=at_home, out=tuple(day for day in WEEKDAYS if day in out)
    )
    text = example().replace(KITCHEN, f"  kitchen: {json.dumps(kitchen.record())}")
    by_day = {}
    for day, slot in away_record(away):
        by_day.setdefault(day, []).append(slot)
    text = text.replace("{mon: [midday], fri: [midday, evening]}", json.dumps(by_day))
    text = text.replace("[time, stores]", json.dumps(wants_record(wants)))
    made, found = read(text)
    assert found == ()
    assert made.kitchen == KitchenFacts.from_record(kitchen.record())
    assert made.eaters[0].away == away
    assert wants_in_order(made.wants) == tuple(wants)


def test_all_problems_are_named_at_once():
    assert len(problems("dana@example.org, phone", "dana, mood: good, phone")) == 2


def test_someone_on_a_protocol_has_to_be_screened():
    line = "      conditions: []              # screening answers by key, see `clients/domain/screening.py`\n"
    assert problems(line, "") == [(7, "conditions of eater 1 of household")]


def test_a_day_without_a_protocol_is_a_problem():
    assert problems("      protocol: hearth-five       # omit for an eater who follows none\n", "") == [
        (17, "stage of eater 1 of household"),
        (18, "start of eater 1 of household"),
    ]


def test_what_is_no_yaml_is_refused():
    made, found = read_household(
        "record,name\nclient,Dana\n",
        "reed.csv",
        foods=FOODS,
        protocols=PROTOCOLS,
        languages=["en"],
        agreement="",
        today=TODAY,
    )
    assert made is None
    assert found


def test_a_kitchen_written_into_a_file_is_read_back_the_same():
    kitchen = KitchenFacts(
        pots_l=(Decimal("11.4"), Decimal(4)),
        jars=9,
        hands_on_min=dict.fromkeys(WEEKDAYS, 40),
        busy=("sat",),
        freezer=False,
        burners=3,
        jar_sizes={"half-gallon-wide": 1, "pint-narrow": 6},
        shallow_l=Decimal("2.5"),
        iced_water=True,
        elevation_m=Decimal(1609),
    )
    made, found = read(with_kitchen(json.dumps(kitchen.record())))
    assert found == ()
    assert made.kitchen == kitchen


def test_jars_nobody_counted_are_those_by_size():
    made, found = read(with_kitchen("{jar_sizes: {quart-wide: 4, pint-wide: 2}}"))
    assert found == ()
    assert made.kitchen.jars == 6
    assert read(with_kitchen("{}"))[0].kitchen == KitchenFacts()


@pytest.mark.parametrize(
    ("kitchen", "field"),
    [
        ("{jars: 3, jar_sizes: {quart-wide: 4}}", "jars"),
        ("{burners: 0}", "burners"),
        ("{jar_sizes: {teacup: 4}}", "teacup"),
        ("{shallow_l: much}", "shallow_l"),
        ("{elevation_m: 9000}", "elevation_m"),
    ],
)
def test_a_kitchen_that_cannot_be_is_named(kitchen: str, field: str):
    made, found = read(with_kitchen(kitchen))
    assert made is None
    [problem] = found
    assert field in problem.field and problem.message and problem.fix


def with_kitchen(written: str) -> str:
    """The example with another kitchen."""
    before, _, rest = example().partition("  kitchen:")
    return f"{before}  kitchen: {written}\n  eaters:{rest.partition('  eaters:')[2]}"
