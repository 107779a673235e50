"""What an amount of several foods holds, and what is not known of it."""

from collections.abc import Mapping
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.book import Food
from plans.domain.nutrients import UNITS, NutrientRow, nutrients_from_rows, portion_totals, total
from plans.domain.records import recipe_from_record


def _row(food: str, description: str, data_type: str, *figures: str) -> dict[str, str]:
    """A row of text; the figures stand in the order of ``UNITS``, a dash is a blank."""
    texts = ["" if text == "-" else text for line in figures for text in line.split()]
    row = {"food": food, "fdc_description": description, "data_type": data_type}
    return row | dict(zip(UNITS, texts, strict=True))


# Figures per 100 g of the rows named, USDA FoodData Central (SR Legacy and Foundation Foods).
USDA = nutrients_from_rows(
    [
        _row(
            "hen-stewed",
            "Chicken, stewing, meat only, cooked, stewed",
            "sr_legacy_food",
            "237 30.42 11.89 0 0 13 1.43 22 202 78 2.06",
            "34 0 - 0.3 3.1 0.112 0.277 6.408 0.31 6 0.26 - 25.2",
        ),
        _row(
            "chicken-thigh",
            "Chicken, thigh, meat and skin, raw",
            "foundation_food",
            "187.9 17.1062 13.35 -0.1726 - 5.726 0.5861 18.51 246 63.55 1.2",
            "- - - - - - - - - - - - -",
        ),
        _row(
            "carrot",
            "Carrots, raw",
            "sr_legacy_food",
            "41 0.93 0.24 9.58 2.8 33 0.3 12 320 69 0.24",
            "835 5.9 0 0.66 13.2 0.066 0.058 0.983 0.138 19 0 8.8 0.1",
        ),
        _row(
            "courgette",
            "Squash, summer, zucchini, includes skin, raw",
            "sr_legacy_food",
            "17 1.21 0.32 3.11 1 16 0.37 18 261 8 0.32",
            "10 17.9 0 0.12 4.3 0.045 0.094 0.451 0.163 24 0 9.5 0.2",
        ),
        _row(
            "onion",
            "Onions, raw",
            "sr_legacy_food",
            "39.7 1.1 0.1 9.34 1.7 23 0.21 10 146 4 0.17",
            "0 7.4 0 0.02 0.4 0.046 0.027 0.116 0.12 19 0 6.1 0.5",
        ),
        _row(
            "ghee",
            "Butter oil, anhydrous",
            "sr_legacy_food",
            "876 0.28 99.48 0 0 4 0 0 5 2 0.01",
            "840 0 0 2.8 8.6 0.001 0.005 0.003 0.001 0 0.01 22.3 0",
        ),
        _row(
            "salt",
            "Salt, table",
            "sr_legacy_food",
            "0 0 0 0 0 24 0.33 1 8 38758 0.1",
            "0 0 0 0 0 0 0 0 0 0 0 0 0.1",
        ),
        _row(
            "chicken-stock",
            "Soup, stock, chicken, home-prepared",
            "sr_legacy_food",
            "36 2.52 1.2 3.53 0 3 0.21 4 105 143 0.14",
            "1 0.2 0 0.03 0.2 0.035 0.085 1.584 0.061 5 0 9.2 2.2",
        ),
    ]
)
SOUP = {
    "hen-stewed": 150,
    "carrot": 100,
    "courgette": 80,
    "onion": 50,
    "ghee": 10,
    "salt": 3,
    "chicken-stock": 400,
}
THIGHS = {"chicken-thigh": 200, "carrot": 100, "ghee": 10}


def _grams(amounts: Mapping[str, int]) -> dict[str, Decimal]:
    return {food: Decimal(grams) for food, grams in amounts.items()}


# Worked by hand from the rows above: figure × grams / 100, summed.
@pytest.mark.parametrize(
    ("nutrient", "value"),
    [
        ("energy_kcal", "661.55"),
        ("protein_g", "58.19"),
        ("fat_g", "33.13"),
        ("carb_g", "30.86"),
        ("fibre_g", "4.45"),
        ("calcium_mg", "89.92"),
        ("iron_mg", "3.70"),
        ("magnesium_mg", "80.43"),
        ("potassium_mg", "1325.54"),
        ("sodium_mg", "1929.34"),
        ("vit_a_rae_ug", "982.0"),
        ("vit_c_mg", "24.72"),
        ("folate_ug", "76.70"),
    ],
)
def test_a_soup_adds_up(nutrient: str, value: str) -> None:
    found = total(_grams(SOUP), USDA)[nutrient]
    assert found.value == pytest.approx(Decimal(value), abs=Decimal("0.005"))
    assert (found.coverage, found.unknown_for) == (1, ())


@pytest.mark.parametrize("nutrient", ["vit_d_ug", "choline_mg"])
def test_the_hen_is_unknown_in_two_nutrients(nutrient: str) -> None:
    found = total(_grams(SOUP), USDA)[nutrient]
    assert found.coverage == Decimal(643) / Decimal(793)
    assert found.unknown_for == ("hen-stewed",)


def test_salt_alone() -> None:
    found = total({"salt": Decimal(3)}, USDA)["sodium_mg"]
    assert found.value == Decimal("1162.74")


@pytest.mark.parametrize(
    ("nutrient", "value"),
    [
        ("energy_kcal", "504.4"),
        ("fat_g", "36.89"),
        ("calcium_mg", "44.85"),
        ("carb_g", "9.23"),
        ("protein_g", "35.17"),
    ],
)
def test_thighs_with_carrots_add_up(nutrient: str, value: str) -> None:
    """Carbohydrate counts the thigh's own −0.35 g: by difference, it may fall below zero."""
    found = total(_grams(THIGHS), USDA)[nutrient]
    assert found.value == pytest.approx(Decimal(value), abs=Decimal("0.006"))
    assert found.coverage == 1


@pytest.mark.parametrize(
    ("nutrient", "at_least"),
    [("fibre_g", "2.8"), ("vit_c_mg", "5.9"), ("folate_ug", "19.0"), ("b12_ug", "0.001")],
)
def test_a_blank_is_unknown_and_never_zero(nutrient: str, at_least: str) -> None:
    found = total(_grams(THIGHS), USDA)[nutrient]
    assert found.value == Decimal(at_least)
    assert found.coverage == Decimal(110) / Decimal(310)
    assert found.unknown_for == ("chicken-thigh",)


def test_known_for_no_food_is_no_value() -> None:
    found = total({"chicken-thigh": Decimal(200)}, USDA)["b12_ug"]
    assert (found.value, found.coverage, found.unknown_for) == (None, 0, ("chicken-thigh",))


def test_a_food_without_a_row_is_unknown_in_everything() -> None:
    totals = total({"oxtail": Decimal(100)}, USDA)
    assert list(totals) == list(UNITS)
    assert {found.value for found in totals.values()} == {None}


@pytest.mark.parametrize("amounts", [{}, {"chicken-thigh": Decimal(0), "oxtail": Decimal(0)}])
def test_nothing_eaten_is_a_known_zero(amounts: dict[str, Decimal]) -> None:
    for found in total(amounts, USDA).values():
        assert (found.value, found.coverage, found.unknown_for) == (0, 1, ())


def test_an_amount_below_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="below zero"):
        total({"carrot": Decimal(-1)}, USDA)


def _carrot(**changed: str) -> dict[str, str]:
    row = USDA["carrot"]
    figures = {nutrient: str(figure) for nutrient, figure in row.per_100_g.items()}
    return (
        {"food": "carrot", "fdc_description": row.fdc_description, "data_type": row.data_type}
        | figures
        | changed
    )


def test_a_row_comes_back_as_it_was_written() -> None:
    assert nutrients_from_rows([_carrot()]) == {"carrot": USDA["carrot"]}
    assert "iron_mg" not in nutrients_from_rows([_carrot(iron_mg=" ")])["carrot"].per_100_g


@pytest.mark.parametrize("text", ["trace", "NaN", "Infinity"])
def test_a_figure_that_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is not a number"):
        nutrients_from_rows([_carrot(iron_mg=text)])


def test_two_rows_for_a_food_are_refused() -> None:
    with pytest.raises(ValueError, match="two rows"):
        nutrients_from_rows([_carrot(), _carrot()])


def test_a_missing_column_is_refused() -> None:
    row = _carrot()
    del row["zinc_mg"]
    with pytest.raises(KeyError, match="zinc_mg"):
        nutrients_from_rows([row])


FIGURES = st.dictionaries(
    st.sampled_from(list(UNITS)), st.decimals("0", "40000", places=3, allow_nan=False, allow_infinity=False)
)
TABLES = st.fixed_dictionaries(dict.fromkeys("abcd", FIGURES)).map(
    lambda foods: {food: NutrientRow(food, food, "made up", figures) for food, figures in foods.items()}
)
AMOUNTS = st.dictionaries(st.sampled_from("abcd"), st.decimals("0", "5000", places=1))


@given(TABLES, AMOUNTS, st.decimals("0", "5000", places=1))
def test_an_unknown_food_never_raises_coverage_nor_moves_a_value(table, amounts, grams) -> None:
    before, after = total(amounts, table), total(amounts | {"unknown": grams}, table)
    for nutrient in UNITS:
        assert after[nutrient].coverage <= before[nutrient].coverage
        assert set(after[nutrient].unknown_for) >= set(before[nutrient].unknown_for)
        if any(amounts.values()):
            assert after[nutrient].value == before[nutrient].value


@given(TABLES, AMOUNTS, st.integers(1, 50))
def test_sums_scale_with_the_amounts(table, amounts, times) -> None:
    once = total(amounts, table)
    many = total({food: grams * times for food, grams in amounts.items()}, table)
    for nutrient in UNITS:
        assert many[nutrient].unknown_for == once[nutrient].unknown_for
        assert many[nutrient].coverage == once[nutrient].coverage
        if once[nutrient].value is None:
            assert many[nutrient].value is None
        else:
            assert many[nutrient].value == once[nutrient].value * times


@given(TABLES, AMOUNTS, AMOUNTS)
def test_what_is_known_of_two_meals_adds_up(table, one, other) -> None:
    both = {food: one.get(food, Decimal(0)) + other.get(food, Decimal(0)) for food in {*one, *other}}
    totals, ones, others = total(both, table), total(one, table), total(other, table)
    for nutrient in UNITS:
        assert (totals[nutrient].value or 0) == (ones[nutrient].value or 0) + (others[nutrient].value or 0)


def test_a_portion_counts_what_is_eaten_and_names_what_cannot_be_weighed():
    """Flavours are taken out again; a food whose unit nobody can weigh is unknown, never zero."""
    foods = {key: Food(key, key, "soft roots", "vegetables") for key in ("carrot", "celery", "nettle")}
    recipe = recipe_from_record(
        {
            "key": "pot",
            "title": "Pot",
            "kind": "main",
            "slots": ["midday"],
            "main": "pot",
            "servings": 2,
            "portion": "300 g",
            "ingredients": [
                {"quantity": 400, "unit": "g", "food": "carrot", "form": "boiled + peeled"},
                {"quantity": 100, "unit": "g", "food": "celery", "form": "broth", "use": "flavour"},
                {"quantity": 1, "unit": "piece", "food": "nettle", "form": "boiled"},
            ],
            "steps": ["Boil."],
            "hands_on_min": 5,
            "elapsed_min": 30,
            "fridge_days": 3,
            "freezer_days": 0,
            "batch": True,
        }
    )
    columns = dict.fromkeys(UNITS, "")
    rows = [
        {"food": food, "fdc_description": food, "data_type": "x", **columns, "energy_kcal": "41"}
        for food in ("carrot", "celery")
    ]
    totals = portion_totals(recipe, foods, nutrients_from_rows(rows))
    assert totals["energy_kcal"].value == Decimal(82)
    assert totals["energy_kcal"].unknown_for == ("nettle",)
    assert totals["protein_g"].value is None
