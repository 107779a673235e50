"""Amounts, forms, dates and lists as they stand on paper."""

from datetime import date
from decimal import Decimal

import pytest

from coaching.domain.units import System
from plans.domain.book import Food
from plans.printables import words
from tests.plans.printables.plain import plain

CARROT = Food("carrot", "Carrot", "soft roots", "vegetables")
STOCK = Food("stock", "Stock", "stocks", "home-made", density_g_per_ml=Decimal("1.01"))


@pytest.mark.parametrize(
    ("quantity", "unit", "food", "metric", "us"),
    [
        # 600 g / 28.349523125 = 21.2 oz (the ounce of NIST Handbook 44, Appendix C).
        ("600", "g", CARROT, "600 g (1 lb 5 oz)", "1 lb 5 oz (600 g)"),
        ("0.5", "tbsp", CARROT, "½ tbsp", "½ tbsp"),
        ("3", "piece", CARROT, "3", "3"),
        ("2.5", "clove", CARROT, "2 ½ cloves", "2 ½ cloves"),
        ("1", "clove", CARROT, "1 clove", "1 clove"),
        # 1000 ml / 236.5882365 ml = 4.23 cups (the US cup of NIST Handbook 44, Appendix C).
        ("1", "l", STOCK, "1 l (4 ¼ cups)", "4 ¼ cups (1 l)"),
        ("5", "g", CARROT, "5 g", "5 g"),
    ],
)
def test_amounts_stand_in_both_systems_the_practices_own_first(quantity, unit, food, metric, us):
    assert plain(words.amount_words(Decimal(quantity), unit, food, System.METRIC)) == metric
    assert plain(words.amount_words(Decimal(quantity), unit, food, System.US)) == us


@pytest.mark.parametrize(
    ("forms", "said"),
    [
        ((), ""),
        (({"boiled", "peeled"},), "boiled, peeled"),
        (({"boiled", "peeled"}, {"pureed", "peeled"}), "boiled or puréed, peeled"),
        (({"boiled"}, {"stewed"}, {"broth"}), "boiled, stewed or in broth"),
        (({"culture-liquid"},), "the live liquid alone"),
        (
            ({"boiled", "peeled"}, {"stewed", "peeled"}, {"raw", "peeled", "grated"}, {"juiced"}),
            "boiled or stewed, peeled; raw, peeled, grated; as juice",
        ),
        (
            tuple(
                {way}
                for way in ("broth", "boiled", "steamed", "stewed", "baked", "roasted", "fried", "grilled")
            ),
            "cooked any way or in broth",
        ),
        (
            ({"boiled", "peeled", "deseeded"}, {"stewed", "peeled", "deseeded"}),
            "boiled or stewed, peeled, seeds out",
        ),
    ],
)
def test_forms_say_what_they_share_once(forms, said):
    assert words.forms_words(tuple(frozenset(form) for form in forms)) == said


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (date(2026, 12, 7), date(2026, 12, 13), "7 to 13 December 2026"),
        (date(2026, 11, 30), date(2026, 12, 6), "30 November to 6 December 2026"),
        (date(2026, 12, 28), date(2027, 1, 3), "28 December 2026 to 3 January 2027"),
    ],
)
def test_a_period_names_month_and_year_once_where_it_can(first, last, said):
    assert words.period_words(first, last) == said


@pytest.mark.parametrize(("minutes", "said"), [(40, "40 min"), (120, "2 h"), (80, "1 h 20 min")])
def test_spans(minutes, said):
    assert words.span_words(minutes) == said


@pytest.mark.parametrize(
    ("portions", "said"),
    [
        ("1", "1 portion"),
        ("0.6", "½ portion"),
        ("1.3", "1 ¼ portions"),
        ("8.7", "8 ½ portions"),
        ("3.75", "4 portions"),
    ],
)
def test_portions_can_be_counted(portions, said):
    assert plain(words.portions_words(Decimal(portions))) == said


def test_short_names_drop_what_follows_a_comma_unless_two_foods_would_be_called_the_same():
    foods = [
        Food("thigh", "Chicken thigh, bone in", "poultry", "meat"),
        Food("spinach", "Spinach", "greens", "vegetables"),
        Food("frozen", "Spinach, frozen", "greens", "vegetables"),
    ]
    assert words.short_names(foods) == {
        "thigh": "chicken thigh",
        "spinach": "spinach",
        "frozen": "spinach (frozen)",
    }
