"""A kitchen survives being written and read."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from clients.domain.people import WEEKDAYS, KitchenFacts

kitchens = st.builds(
    KitchenFacts,
    pots_l=st.lists(st.decimals("0.5", 100, places=2), max_size=6).map(tuple),
    jars=st.integers(0, 500),
    hands_on_min=st.fixed_dictionaries({day: st.integers(0, 600) for day in WEEKDAYS}),
    busy=st.sets(st.sampled_from(WEEKDAYS)).map(lambda days: tuple(d for d in WEEKDAYS if d in days)),
    freezer=st.booleans(),
)


@given(kitchens)
def test_a_kitchen_survives_its_record(kitchen: KitchenFacts):
    assert KitchenFacts.from_record(kitchen.record()) == kitchen


def test_a_record_has_every_weekday_and_plain_values():
    record = KitchenFacts(pots_l=(Decimal("7.5"),), busy=("tue",)).record()
    assert record == {
        "pots_l": [7.5],
        "jars": 0,
        "hands_on_min": dict.fromkeys(WEEKDAYS, 0),
        "busy": ["tue"],
        "freezer": True,
    }
    assert KitchenFacts.from_record({}) == KitchenFacts()
