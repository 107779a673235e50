"""Every code a batch can say has words in both unit systems, and figures are rounded to the safe side."""

import ast
import re
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import plans.domain.batch as rooms
from clients.domain.people import JAR_SIZES
from clients.wording import batch as words
from clients.wording.jars import JAR, JAR_COUNTED
from coaching.domain.units import System
from plans.domain.batch.asking import Table
from plans.domain.batch.plan import batch_for
from plans.domain.batch.remarks import Remark
from plans.domain.batch.trade import FIRMEST, Kind
from tests.plans.domain.batch_asks import SAFETY, asks

HYPHENED = re.compile(r"[a-z]+(-[a-z]+)+")
WORDED = {code.partition(" ")[0] for code in words.WARNING | words.NOTE}


def texts_of(*modules: str) -> set[str]:
    """Every text a module holds."""
    found = set()
    for module in modules:
        tree = ast.parse((Path(rooms.__path__[0]) / f"{module}.py").read_text("utf-8"))
        found |= {
            node.value
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant) and isinstance(node.value, str)
        }
    return found


def test_every_code_has_words_and_all_words_have_a_code():
    said = texts_of("saying", "servings")
    assert {text for text in said if HYPHENED.fullmatch(text)} <= WORDED
    assert said >= WORDED


@settings(max_examples=30)
@given(
    asks,
    st.builds(Table, st.booleans(), st.booleans(), st.booleans()),
    st.sampled_from(System),
)
def test_whatever_a_batch_says_has_words(ask, table, system):
    batch = batch_for(ask, SAFETY)
    pots = [f"pot {n}" for n in range(len(ask.stove.pots_ml))]
    for remark in (*batch.warnings, *batch.notes):
        said = words.remark_words(remark, system=system, pots=pots)
        assert not said.words[0].islower()
        assert "%(" not in said.words and said.words.endswith(".")


def test_every_closed_word_has_words():
    assert set(words.STOCK) == set(words.SOUP) == set(words.BONES) == set(words.KIND) == set(Kind)
    assert set(JAR) == set(JAR_COUNTED) == set(JAR_SIZES)
    cuts = words.remark_words(Remark("sets-firmest", {"cuts": " ".join(FIRMEST)}), system=System.US, pots=[])
    assert cuts.words == "A stock sets firmest with feet, tails, hocks or necks among the bones."


def test_a_code_without_words_is_told():
    with pytest.raises(KeyError):
        words.remark_words(Remark("unheard-of"), system=System.US, pots=[])


@pytest.mark.parametrize(
    ("inches", "least", "most"),
    [
        # 1 in is 2.54 cm exactly (NIST Handbook 44, Appendix C).
        ("0.5", "½ in (1.5 cm)", "½ in (1 cm)"),
        ("0.75", "¾ in (2 cm)", "¾ in (1.5 cm)"),
        ("1", "1 in (3 cm)", "1 in (2.5 cm)"),
        ("1.5", "1 ½ in (4 cm)", "1 ½ in (3.5 cm)"),
        ("2", "2 in (5.5 cm)", "2 in (5 cm)"),
    ],
)
def test_depths_are_rounded_to_the_safe_side(inches: str, least: str, most: str):
    assert words.at_least_words(Decimal(inches), System.US).replace("\u00a0", " ") == least
    assert words.at_most_words(Decimal(inches), System.US).replace("\u00a0", " ") == most


def test_the_practices_own_units_come_first():
    assert words.at_least_words(Decimal(1), System.METRIC).startswith("3")
    assert words.height_words(Decimal(5280), System.US) == "5,280 feet (1,609 m)"
    assert words.height_words(Decimal(5280), System.METRIC) == "1,609 m (5,280 feet)"


@pytest.mark.parametrize(
    ("strength", "said"),
    [
        (Decimal(1), "Of the usual strength."),
        (Decimal("1.02"), "1.1 times as strong as usual, which is fine:"),
        (Decimal("1.84"), "1.8 times as strong as usual, which is fine:"),
    ],
)
def test_strength_in_plain_words(strength: Decimal, said: str):
    assert words.strength_words(strength, strength - 1, System.METRIC).startswith(said)


def test_what_brings_a_jar_back_to_the_usual_strength():
    assert words.let_down_words(Decimal(0), System.US) == ""
    metric = words.let_down_words(Decimal("0.5"), System.METRIC).replace("\u00a0", " ")
    assert metric.startswith("to each 100 ml from the jar add 50 ml")
    us = words.let_down_words(Decimal("0.5"), System.US).replace("\u00a0", " ")
    assert us.startswith("to each cup from the jar add ½ cup")
