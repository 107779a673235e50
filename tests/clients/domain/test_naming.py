"""Foods are found by the names people type."""

import pytest

from clients.domain.naming import FoodName, find_foods

FOODS = (
    FoodName("egg", "Egg", ("eggs", "hen's egg")),
    FoodName("beef-liver", "Beef liver", ("liver of beef",)),
    FoodName("beef-bones", "Beef bones, meaty", ("soup bones",)),
    FoodName("creme-fraiche", "Crème fraîche"),
    FoodName("swiss-chard", "Chard", ("Swiss chard",)),
)


@pytest.mark.parametrize(
    ("typed", "keys"),
    [
        ("egg", ["egg"]),
        ("Eggs, BEEF LIVER", ["egg", "beef-liver"]),
        ("hen's eggs", ["egg"]),
        ("Beef bones, meaty", ["beef-bones"]),
        ("egg, beef bones, meaty, beef-liver", ["egg", "beef-bones", "beef-liver"]),
        ("creme fraiche", ["creme-fraiche"]),
        ("egg\nchard; egg", ["egg", "swiss-chard"]),
        ("swiss-chard", ["swiss-chard"]),
        (" , ;\n", []),
        ("", []),
    ],
)
def test_names_are_found(typed: str, keys: list[str]):
    assert find_foods(typed, FOODS) == (tuple(keys), ())


def test_what_is_not_found_is_named_with_the_nearest_there_are():
    found, unknown = find_foods("beef livr, egg, moon dust, liver", FOODS)
    assert found == ("egg",)
    assert [(name.typed, name.nearest) for name in unknown] == [
        ("beef livr", ("Beef liver",)),
        ("moon dust", ()),
        ("liver", ("Beef liver",)),
    ]
