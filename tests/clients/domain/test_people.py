"""A kitchen survives being written and read."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from clients.domain.people import JAR_SIZES, WEEKDAYS, KitchenFacts

kitchens = st.builds(
    KitchenFacts,
    pots_l=st.lists(st.decimals("0.5", 100, places=2), max_size=6).map(tuple),
    jars=st.integers(0, 500),
    hands_on_min=st.fixed_dictionaries({day: st.integers(0, 600) for day in WEEKDAYS}),
    busy=st.sets(st.sampled_from(WEEKDAYS)).map(lambda days: tuple(d for d in WEEKDAYS if d in days)),
    freezer=st.booleans(),
    burners=st.integers(1, 8),
    jar_sizes=st.dictionaries(st.sampled_from(JAR_SIZES), st.integers(1, 40)),
    shallow_l=st.decimals(0, 20, places=2),
    iced_water=st.booleans(),
    elevation_m=st.none() | st.decimals(0, 5500, places=1),
    at_home_min=st.dictionaries(st.sampled_from(WEEKDAYS), st.integers(0, 1440)),
    out=st.sets(st.sampled_from(WEEKDAYS)).map(lambda days: tuple(d for d in WEEKDAYS if d in days)),
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
        "burners": 2,
        "jar_sizes": {},
        "shallow_l": 0.0,
        "iced_water": False,
    }
    assert KitchenFacts.from_record({}) == KitchenFacts()


def test_a_kitchen_kept_before_there_were_batches_takes_the_usual():
    kept = {"pots_l": [7.5], "jars": 8, "hands_on_min": {"mon": 60}, "busy": [], "freezer": False}
    kitchen = KitchenFacts.from_record(kept)
    assert (kitchen.burners, kitchen.jar_sizes, kitchen.shallow_l) == (2, {}, 0)
    assert (kitchen.iced_water, kitchen.elevation_m) == (False, None)
    assert KitchenFacts.from_record(kitchen.record() | kept) == kitchen
