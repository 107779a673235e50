"""Batches to ask for: the published figures as shipped, one plain ask to vary, and any ask at all."""

import csv
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from coaching.domain.units import grams_per, millilitres_per
from plans.domain.batch.asking import Ask, Need, Stove
from plans.domain.batch.jars import COMMON_JARS, JarStock
from plans.domain.batch.safety import KitchenSafety, kitchen_safety_from_rows
from plans.domain.batch.trade import Kind
from tests.shipped import DATA

LB, QT = grams_per("lb"), millilitres_per("quart")
START = datetime(2026, 3, 2, 13, 0, tzinfo=UTC)
"""Eight in the morning in New York, on a Monday."""
MONDAY = date(2026, 3, 2)
ZONE = "America/New_York"
HAIR = Decimal("1e-15")
"""What twenty-eight digits may be out by."""


def rows() -> list[dict[str, str]]:
    """The shipped file, row by row."""
    with (DATA / "kitchen_safety.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


SAFETY: KitchenSafety = kitchen_safety_from_rows(rows())


def need(*portions: str, broth_ml: str = "250", meat_g: str = "0", vegetables_g: str = "0") -> Need:
    """Portions from Monday on, day after day."""
    by_day = {MONDAY + timedelta(days=day): Decimal(count) for day, count in enumerate(portions)}
    return Need(by_day, Decimal(broth_ml), Decimal(meat_g), Decimal(vegetables_g))


def ask(**facts: Any) -> Ask:
    """Chicken from eight in the morning in one pot of 12 litres on two burners, save for what is said."""
    plain: dict[str, Any] = {
        "kind": Kind.POULTRY,
        "starts_at": START,
        "zone": ZONE,
        "stove": Stove((Decimal(12000),), 2),
    }
    if "need" not in facts and "bones_g" not in facts:
        plain["need"] = need("4", "4", "4")
    return Ask(**plain | facts)


def litres(*volumes: str, burners: int = 2) -> Stove:
    """Pots of so many litres on so many burners."""
    return Stove(tuple(Decimal(volume) * 1000 for volume in volumes), burners)


def grams(most: int) -> st.SearchStrategy[Decimal]:
    """Amounts as people type them."""
    return st.decimals(1, most, places=1)


needs = st.builds(
    Need,
    st.dictionaries(
        st.integers(-1, 120).map(lambda day: MONDAY + timedelta(days=day)),
        st.decimals("0.5", 12, places=1),
        min_size=1,
        max_size=8,
    ),
    grams(600),
    st.one_of(st.just(Decimal(0)), grams(200)),
    st.one_of(st.just(Decimal(0)), grams(300)),
)
stoves = st.builds(
    Stove,
    st.lists(grams(15000).filter(lambda ml: ml >= 500), min_size=1, max_size=3).map(tuple),
    st.integers(1, 3),
)
jar_stocks = st.lists(
    st.builds(JarStock, st.sampled_from(COMMON_JARS), st.integers(0, 6)),
    max_size=4,
    unique_by=lambda each: each.size,
).map(tuple)
asks = st.builds(
    Ask,
    kind=st.sampled_from(Kind),
    starts_at=st.just(START),
    zone=st.sampled_from((ZONE, "Europe/Berlin", "Asia/Kolkata")),
    stove=stoves,
    need=needs,
    bones_g=st.none() | grams(12000),
    jars=jar_stocks,
    freezer=st.booleans(),
    finish_by=st.none() | st.integers(1, 20).map(lambda hours: START + timedelta(hours=hours)),
    elevation_ft=st.sampled_from((Decimal(0), Decimal(3500), Decimal(7000))),
    most_strength=st.sampled_from((Decimal(1), Decimal(2), Decimal(3))),
    fridge_days=st.none() | st.integers(1, 9),
)
