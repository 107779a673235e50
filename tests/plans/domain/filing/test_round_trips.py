"""What is written is read back the same, as YAML and as CSV, and mangled files only ever give problems."""

import csv
import io
import random
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coaching.domain.errors import Problem
from plans.domain.book import Food
from plans.domain.filing.foods import FoodsFile, foods_csv, foods_yaml, read_foods
from plans.domain.filing.protocols import protocol_csv, protocol_yaml, read_protocol
from plans.domain.filing.recipes import read_recipes, recipes_csv, recipes_yaml
from tests.plans.book_strategies import (
    FOOD_KEYS,
    GROUPS,
    food_lists,
    lines,
    protocols,
    recipe_lists,
)

BOOK = tuple(
    Food(
        key=key,
        name=key,
        group=GROUPS[place % len(GROUPS)],
        aisle="vegetables",
        density_g_per_ml=Decimal(1),
        home_made=True,
    )
    for place, key in enumerate(FOOD_KEYS)
)


@given(food_lists(), st.just("") | lines)
def test_foods_survive_both_kinds_of_file(foods, source: str) -> None:
    file = FoodsFile(foods, source)
    assert read_foods(foods_yaml(file)) == (file, ())
    assert read_foods(foods_csv(file)) == (file, ())


@given(recipe_lists())
def test_recipes_survive_both_kinds_of_file(recipes) -> None:
    assert read_recipes(recipes_yaml(recipes), "", BOOK) == (recipes, ())
    assert read_recipes(recipes_csv(recipes), "", BOOK) == (recipes, ())


@given(protocols())
def test_a_protocol_survives_both_kinds_of_file(protocol) -> None:
    assert read_protocol(protocol_yaml(protocol), "", BOOK) == (protocol, ())
    assert read_protocol(protocol_csv(protocol), "", BOOK) == (protocol, ())


def as_spreadsheet(text: str, delimiter: str) -> str:
    """The same cells as a spreadsheet of another country saves them: byte-order mark, delimiter, blank row, spaces."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter)
    for row in csv.reader(io.StringIO(text, newline="")):
        writer.writerow([f"  {cell} " for cell in row])
        writer.writerow(["" for _ in row])
    return f"\ufeff{out.getvalue()}"


@settings(max_examples=30)
@given(food_lists(), recipe_lists(), st.sampled_from((",", ";", "\t")))
def test_a_spreadsheet_of_any_country_reads_the_same(foods, recipes, delimiter: str) -> None:
    file = FoodsFile(foods)
    assert read_foods(as_spreadsheet(foods_csv(file), delimiter), "foods.csv") == (file, ())
    text = as_spreadsheet(recipes_csv(recipes), delimiter)
    assert read_recipes(text, "recipes.csv", BOOK) == (recipes, ())


def mangled(text: str, dice: random.Random) -> str:
    """The text with pieces cut, doubled, swapped or replaced by signs that mean something to a reader."""
    signs = "\t{}[]&*!|>%@`'\",;:#-\\\x00\x1b\ud800é\u2028\r\n=~0"
    for _ in range(dice.randint(1, 12)):
        start = dice.randrange(len(text) + 1)
        stop = min(len(text), start + dice.choice((0, 1, 1, 3, 40, 400)))
        piece = "".join(dice.choice(signs) for _ in range(dice.choice((0, 1, 1, 2, 8))))
        text = text[:start] + dice.choice((piece, text[start:stop] * 2, piece * 30)) + text[stop:]
    return text


written = st.one_of(
    food_lists().map(FoodsFile).map(lambda file: (read_foods, foods_yaml(file), foods_csv(file))),
    recipe_lists().map(lambda recipes: (read_recipes, recipes_yaml(recipes), recipes_csv(recipes))),
    protocols().map(lambda protocol: (read_protocol, protocol_yaml(protocol), protocol_csv(protocol))),
)


@settings(max_examples=200)
@given(written, st.integers(0, 2**32))
def test_mangled_files_give_problems_and_never_raise(texts, seed: int) -> None:
    dice = random.Random(seed)
    read, *kinds = texts
    found, problems = read(mangled(dice.choice(kinds), dice), "", BOOK)
    assert bool(found) != bool(problems)
    assert all(isinstance(problem, Problem) and problem.message for problem in problems)


@given(st.text())
def test_any_text_gives_problems_and_never_raises(text: str) -> None:
    for filename in ("", "a.csv", "a.yaml"):
        assert read_foods(text, filename)[1]
        assert read_recipes(text, filename, BOOK)[1]
        assert read_protocol(text, filename, BOOK)[1]


@pytest.mark.parametrize("sign", ["[", "{", "- ", "? ", "{a: "])
def test_deep_nesting_is_refused_quickly(sign: str) -> None:
    file, problems = read_foods("schema: ladlework/foods/1\nfoods: " + sign * 100_000, "a.yaml")
    assert file is None
    assert problems
