"""Every problem is found at once, at its line, with the way out."""

from dataclasses import replace
from decimal import Decimal

import pytest

from plans.domain.book import Food
from plans.domain.filing.findings import Findings
from plans.domain.filing.foods import read_foods
from plans.domain.filing.opening import decoded
from plans.domain.filing.protocols import read_protocol
from plans.domain.filing.recipes import read_recipes


def food(key: str, **fields) -> Food:
    return replace(
        Food(
            key=key,
            name=key.capitalize(),
            group="soft roots",
            aisle="vegetables",
            density_g_per_ml=Decimal(1),
        ),
        **fields,
    )


BOOK = (
    food("carrot", names=("carrots",), unit_weights_g={"piece": Decimal(61)}),
    food("potato", group="starchy roots", density_g_per_ml=None),
    food("butter", group="butterfat", aisle="eggs-dairy"),
    food("chicken-thigh", group="poultry", aisle="meat"),
    food("beef-mince", group="beef", aisle="meat"),
    food("salmon", group="oily fish", aisle="fish"),
    food("egg", group="eggs", aisle="eggs-dairy", families=frozenset({"egg"})),
    food("chicken-stock", group="stocks", home_made=True),
)

FOODS = """\
schema: ladlework/foods/1
foods:
  - key: carrot
    name: Carrot
    group: soft roots
    aisle: vegetables
"""
RECIPES = """\
schema: ladlework/recipes/1
recipes:
  - key: soup
    title: Soup
    kind: main
    slots: [midday]
    main: soup
    servings: 4
    portion: 400 ml
    ingredients:
      - {quantity: 500, unit: g, food: carrot, form: boiled + peeled}
    steps: [Boil.]
    hands_on_min: 10
    elapsed_min: 30
    fridge_days: 3
    freezer_days: 90
"""
PROTOCOL = """\
schema: ladlework/protocol/1
key: small
title: Small
summary: A small one.
source: own invention
stages:
  - {key: first, title: First, aim: Settle., least_days: 5, usual_days: 10}
  - {key: second, title: Second, aim: Widen., least_days: 5, usual_days: 10}
rules:
  - {food: carrot, stage: first, allowance: as prepared, forms: [boiled]}
"""
READERS = {
    "foods": (FOODS, lambda text: read_foods(text, "", BOOK)),
    "recipes": (RECIPES, lambda text: read_recipes(text, "", BOOK)),
    "protocol": (PROTOCOL, lambda text: read_protocol(text, "", BOOK)),
}


@pytest.mark.parametrize("kind", READERS)
def test_the_plain_file_has_no_problem(kind: str) -> None:
    text, read = READERS[kind]
    found, problems = read(text)
    assert found
    assert problems == ()


CASES = [
    # kind, old text, new text, line, field, part of the message, part of the fix
    ("foods", "ladlework/foods/1", "ladlework/food/1", 1, "schema", "not the kind", "ladlework/foods/1"),
    ("foods", "ladlework/foods/1", "ladlework/foods/9", 1, "schema", "version", "ladlework/foods/1"),
    ("foods", "schema: ladlework/foods/1\n", "source: me\n", 1, "schema", "what it is", "ladlework/foods/1"),
    ("foods", "aisle: vegetables", "aisle: vegetable", 6, "aisle of food 1", "vegetable", "“vegetables”"),
    ("foods", "    aisle: vegetables\n", "", 3, "aisle of food 1", "missing", "pantry"),
    ("foods", "    aisle", "    ailse", 6, "ailse of food 1", "no such field", "“aisle”"),
    ("foods", "key: carrot", "key: Baby Carrot", 3, "key of food 1", "Baby Carrot", "Write baby-carrot."),
    ("foods", "key: carrot", 'key: ""', 3, "key of food 1", "missing", "hyphens"),
    (
        "foods",
        "vegetables\n",
        "vegetables\n    edible_share: 1.2\n",
        7,
        "edible_share of food 1",
        "range",
        "to 1",
    ),
    (
        "foods",
        "vegetables\n",
        "vegetables\n    edible_share: 0\n",
        7,
        "edible_share of food 1",
        "range",
        "above 0",
    ),
    (
        "foods",
        "vegetables\n",
        'vegetables\n    density: "1,03"\n',
        7,
        "density of food 1",
        "not a number",
        "1.03",
    ),
    ("foods", "vegetables\n", "vegetables\n    density: 1.00001\n", 7, "density of food 1", "number", "four"),
    (
        "foods",
        "vegetables\n",
        "vegetables\n    packs: [1000, 500]\n",
        7,
        "packs of food 1",
        "smallest",
        "500, 1000",
    ),
    (
        "foods",
        "vegetables\n",
        "vegetables\n    contains: [carot]\n",
        7,
        "contains of food 1",
        "carot",
        "“carrot”",
    ),
    (
        "foods",
        "vegetables\n",
        "vegetables\n    contains: [carrot]\n",
        7,
        "contains of food 1",
        "itself",
        "own list",
    ),
    (
        "foods",
        "vegetables\n",
        "vegetables\n    families: [wheet]\n",
        7,
        "families of food 1",
        "wheet",
        "“wheat”",
    ),
    (
        "foods",
        "vegetables\n",
        "vegetables\n    families: [milk, milk]\n",
        7,
        "families of food 1",
        "twice",
        "Delete",
    ),
    (
        "foods",
        "vegetables\n",
        "vegetables\n    home_made: maybe\n",
        7,
        "home_made of food 1",
        "maybe",
        "true",
    ),
    (
        "foods",
        "vegetables\n",
        "vegetables\n    keeps: {fridge_days: 1.5}\n",
        7,
        "fridge_days of keeps of food 1",
        "whole",
        "Write",
    ),
    (
        "foods",
        "vegetables\n",
        "vegetables\n    unit_weights: {kg: 3}\n",
        7,
        "unit_weights of food 1",
        "mass",
        "pieces",
    ),
    ("foods", "vegetables\n", "vegetables\n    names: {a: b}\n", 7, "names of food 1", "list", "[one, two]"),
    ("foods", "name: Carrot", "name: [Carrot]", 4, "name of food 1", "single value", "brackets"),
    ("foods", "name: Carrot", "name: &c Carrot", 4, "file", "Anchors", "quotes"),
    ("foods", "name: Carrot", "name: !!str Carrot", 4, "file", "Tags", "quotes"),
    ("foods", "name: Carrot", 'name: "Carrot', 4, "file", "quotation", "Close"),
    ("foods", "name: Carrot", "name: Carrot: orange", 4, "file", "colon", "quotes"),
    ("foods", "    name: Carrot", "\tname: Carrot", 4, "file", "tab", "spaces"),
    ("foods", "name: Carrot", "name: Carrot\n    name: Again", 5, "name", "twice", "Delete"),
    ("foods", "name: Carrot", f"name: {'x' * 121}", 4, "name of food 1", "121 characters", "120"),
    ("foods", "name: Carrot", "name: Car\x07rot", 4, "file", "U+0007", "Delete"),
    (
        "foods",
        FOODS,
        FOODS + FOODS[FOODS.index("  -") :],
        7,
        "key of food 2",
        "food 1 as well (line 3)",
        "another",
    ),
    ("foods", FOODS, FOODS + "---\na: b\n", 7, "file", "second document", "one document"),
    ("recipes", "food: carrot", "food: carot", 11, "food of ingredient 1 of recipe 1", "carot", "“carrot”"),
    (
        "recipes",
        "food: carrot",
        "food: Carrots",
        11,
        "food of ingredient 1 of recipe 1",
        "Carrots",
        "Write carrot.",
    ),
    (
        "recipes",
        "form: boiled + peeled",
        "form: boilt + peeled",
        11,
        "form of ingredient 1 of recipe 1",
        "boilt",
        "“boiled”",
    ),
    ("recipes", "unit: g", "unit: stalk", 11, "unit of ingredient 1 of recipe 1", "weighs", "unit_weights"),
    (
        "recipes",
        "unit: g, food: carrot",
        "unit: cup, food: potato",
        11,
        "unit of ingredient 1 of recipe 1",
        "weighs",
        "density",
    ),
    ("recipes", "portion: 400 ml", "portion: 400", 9, "portion of recipe 1", "amount with a unit", "400 ml"),
    (
        "recipes",
        "portion: 400 ml",
        "portion: lots",
        9,
        "portion of recipe 1",
        "“lots” is not an amount",
        "400 ml",
    ),
    (
        "recipes",
        "portion: 400 ml",
        "portion: 2 bowl",
        9,
        "portion of recipe 1",
        "mass nor a volume",
        "Use one of",
    ),
    ("recipes", "portion: 400 ml", "portion: 0 ml", 9, "portion of recipe 1", "range", "above 0"),
    (
        "recipes",
        "elapsed_min: 30",
        "elapsed_min: 5",
        14,
        "elapsed_min of recipe 1",
        "minutes of work",
        "10",
    ),
    ("recipes", "slots: [midday]", "slots: [lunch]", 6, "slots of recipe 1", "lunch", "midday"),
    ("recipes", "food: carrot", "food: chicken-thigh", 3, "core_temp_f of recipe 1", "core", "165"),
    ("recipes", "food: carrot", "food: beef-mince", 3, "core_temp_f of recipe 1", "core", "160"),
    ("recipes", "food: carrot", "food: salmon", 3, "core_temp_f of recipe 1", "core", "145"),
    ("recipes", "food: carrot", "food: egg", 3, "core_temp_f of recipe 1", "core", "160"),
    ("recipes", "kind: main", "kind: stock", 3, "makes of recipe 1", "names the food", "makes"),
    (
        "recipes",
        "kind: main",
        "kind: main\n    makes: chicken-stock",
        6,
        "makes of recipe 1",
        "Only a stock",
        "kind",
    ),
    (
        "recipes",
        "kind: main",
        "kind: stock\n    makes: carrot",
        6,
        "makes of recipe 1",
        "made at home",
        "home_made",
    ),
    ("recipes", "steps: [Boil.]", "steps: []", 12, "steps of recipe 1", "missing", "plain text"),
    ("protocol", "stage: first, allow", "stage: frist, allow", 10, "stage of rule 1", "frist", "“first”"),
    (
        "protocol",
        "food: carrot",
        "food: carrot, group: soft roots",
        10,
        "group of rule 1",
        "food and group",
        "one",
    ),
    ("protocol", "food: carrot, ", "", 10, "group of rule 1", "nothing", "exactly one"),
    ("protocol", "food: carrot", "group: soft rots", 10, "group of rule 1", "soft rots", "“soft roots”"),
    ("protocol", "forms: [boiled]", "forms: []", 10, "forms of rule 1", "needs the forms", "boiled"),
    ("protocol", "forms: [boiled]", "forms: ", 10, "forms of rule 1", "needs the forms", "boiled"),
    ("protocol", ", forms: [boiled]", "", 10, "forms of rule 1", "needs the forms", "boiled"),
    ("protocol", "as prepared", "as prepard", 10, "allowance of rule 1", "as prepard", "“as prepared”"),
    (
        "protocol",
        "forms: [boiled]",
        "forms: [boiled], start: 5 g",
        10,
        "start of rule 1",
        "first tastes",
        "Delete",
    ),
    ("protocol", "as prepared", "first tastes", 10, "start of rule 1", "start with", "5 g"),
    (
        "protocol",
        "as prepared",
        "first tastes, start: 5 g, step: 5 g",
        10,
        "every_days of rule 1",
        "together",
        "every_days",
    ),
    (
        "protocol",
        "as prepared",
        "first tastes, start: 5 g, most: 2 g",
        10,
        "most of rule 1",
        "less than",
        "5 g",
    ),
    (
        "protocol",
        "as prepared",
        "first tastes, start: 5 sprig",
        10,
        "start of rule 1",
        "weighs",
        "Give grams",
    ),
    ("protocol", "key: second", "key: first", 8, "key of stage 2", "stage 1 as well", "another"),
    (
        "protocol",
        "least_days: 5, usual_days: 10}",
        "least_days: 11, usual_days: 10}",
        7,
        "usual_days",
        "fewer",
        "11",
    ),
    (
        "protocol",
        "usual_days: 10}\n  - {key: second",
        "usual_days: 10, most_days: 9}\n  - {key: second",
        7,
        "most_days of stage 1",
        "fewer",
        "10",
    ),
    (
        "protocol",
        PROTOCOL,
        PROTOCOL + "  - {food: carrot, stage: second, allowance: not yet}\n",
        11,
        "allowance of rule 2",
        "stricter here",
        "modifier",
    ),
    (
        "protocol",
        PROTOCOL,
        PROTOCOL + "  - {food: carrot, stage: first, allowance: freely}\n",
        11,
        "stage of rule 2",
        "in line 10",
        "one of the two",
    ),
    (
        "protocol",
        PROTOCOL,
        PROTOCOL + "modifiers:\n  - {when: reflux, food: carrot}\n",
        12,
        "require of modifier 1",
        "demands",
        "peeled",
    ),
    (
        "protocol",
        PROTOCOL,
        PROTOCOL + "modifiers:\n  - {when: hiccups, all: true, require: peeled}\n",
        12,
        "when of modifier 1",
        "hiccups",
        "reflux",
    ),
    (
        "protocol",
        PROTOCOL,
        PROTOCOL + "lead_in:\n  - {key: a, title: A, kind: cook, days_before: 2, at_least_days: 5}\n",
        12,
        "days_before of lead-in task 1",
        "later than",
        "5 or more",
    ),
    (
        "protocol",
        PROTOCOL,
        PROTOCOL
        + "challenges:\n  - {key: a, title: A, food: leek, form: raw, stage: first, doses: [1 g],\n"
        + "     dose_days: 1, washout_days: 1}\n",
        12,
        "food of challenge 1",
        "leek",
        "Add the food",
    ),
]


@pytest.mark.parametrize(("kind", "old", "new", "line", "field", "message", "fix"), CASES)
def test_a_problem_is_named(
    kind: str, old: str, new: str, line: int, field: str, message: str, fix: str
) -> None:
    text, read = READERS[kind]
    assert old in text
    found, problems = read(text.replace(old, new, 1))
    assert not found
    assert [
        problem
        for problem in problems
        if problem.line == line
        and field in problem.field
        and message in problem.message
        and fix in problem.fix
    ], "\n".join(map(str, problems))


def test_all_problems_come_at_once_in_the_order_of_the_file() -> None:
    _, problems = read_protocol(
        PROTOCOL.replace("least_days: 5", "least_days: five")
        .replace("food: carrot", "food: carot")
        .replace("key: second", "key: first")
        .replace("forms: [boiled]", "forms: [boilt]"),
        "",
        BOOK,
    )
    assert [(problem.line, problem.field) for problem in problems] == [
        (7, "least_days of stage 1"),
        (8, "least_days of stage 2"),
        (8, "key of stage 2"),
        (10, "forms of rule 1"),
        (10, "food of rule 1"),
    ]


FOODS_CSV = (
    "schema,key,name,group,aisle,unit_weights,fridge_days\n"
    "ladlework/foods/1,carrot,Carrot,soft roots,vegetables,piece=61; cup=128,14\n"
)


@pytest.mark.parametrize(
    ("old", "new", "line", "field", "message", "fix"),
    [
        ("aisle", "isle", 2, "isle", "no such column", "“aisle”"),
        ("ladlework/foods/1", "", 1, "schema", "what it is", "ladlework/foods/1"),
        ("piece=61", "piece", 2, "piece of unit_weights of food 1", "empty", "Fill"),
        ("fridge_days", "key", 1, "key", "twice", "Delete"),
        (",14", ',"14', 2, "file", "quotation", "twice"),
        (",14", ",14,surplus", 2, "file", "without a name", "quotes"),
        ("carrot,", "\n\ncarrot,", 4, "key", "missing", "Write"),
    ],
)
def test_a_problem_in_a_spreadsheet_is_named(
    old: str, new: str, line: int, field: str, message: str, fix: str
) -> None:
    _, problems = read_foods(FOODS_CSV.replace(old, new, 1), "foods.csv")
    assert any(
        field in problem.field and message in problem.message and fix in problem.fix for problem in problems
    ), "\n".join(map(str, problems))
    assert line in {problem.line for problem in problems}


def test_the_plain_spreadsheet_has_no_problem() -> None:
    file, problems = read_foods(FOODS_CSV, "foods.csv")
    assert problems == ()
    assert file.foods[0].unit_weights_g == {"piece": 61, "cup": 128}
    assert file.foods[0].fridge_days == 14


def test_a_protocol_spreadsheet_names_rows_and_columns_that_do_not_belong() -> None:
    text = "record,schema,key,title,stage,doses\nstage,,first,First,first,\nprotokol,,,,,\n"
    problems = read_protocol(text, "p.csv", BOOK)[1]
    told = {(problem.line, problem.field): problem for problem in problems}
    assert "has no stage" in told[2, "stage"].message
    assert "“protocol”" in told[3, "record"].fix
    assert "protocol row is missing" in told[2, "record"].message


def test_a_recipe_spreadsheet_keeps_its_own_fields_on_the_first_row() -> None:
    text = (
        "schema,key,title,quantity,unit,food,form\n"
        "ladlework/recipes/1,soup,Soup,500,g,carrot,boiled\n"
        ",,Stew,100,g,carrot,boiled\n"
    )
    problems = read_recipes(text, "", BOOK)[1]
    assert (3, "title", "This belongs on the first row only.") in {
        (problem.line, problem.field, problem.message) for problem in problems
    }


def test_bytes_that_are_no_text_are_named_by_their_line() -> None:
    findings = Findings()
    assert decoded("key\nname\ncrème".encode("cp1252"), findings) == ""
    assert [(problem.line, "UTF-8" in problem.fix) for problem in findings.problems()] == [(3, True)]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_bytes_of_the_usual_encodings_are_read(encoding: str) -> None:
    assert decoded("crème".encode(encoding), Findings()).removeprefix("\ufeff") == "crème"


def test_a_file_over_one_megabyte_is_refused() -> None:
    _, problems = read_foods(FOODS + "#" * 1_000_000, "")
    assert "larger than 1 MB" in problems[0].message
    findings = Findings()
    assert decoded(b"x" * 1_000_001, findings) == ""
    assert "larger than 1 MB" in findings.problems()[0].message


def test_more_than_five_thousand_rows_are_refused() -> None:
    rows = "".join(f"  - {{key: f{n}, name: F, group: g, aisle: meat}}\n" for n in range(5_001))
    _, problems = read_foods("schema: ladlework/foods/1\nfoods:\n" + rows, "")
    assert "5001 rows" in problems[0].message
    assert "5000" in problems[0].fix


def test_an_empty_file_says_so() -> None:
    assert "empty" in read_foods(" \n\n", "")[1][0].message
