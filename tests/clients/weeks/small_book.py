"""A book just large enough for a week of one table, filed under a practice of the cast."""

from coaching.practice.models import Practice
from plans import models as book
from plans.domain.vocabulary import Slot
from tests.factories import FoodFactory

FOODS = (
    {
        "key": "chicken-thigh",
        "name": "Chicken thigh, bone in",
        "group": "poultry",
        "aisle": "meat",
        "unit_weights": {"piece": 94},
        "edible_share": 0.7,
        "packs": [600, 1000],
        "keeps": {"fridge_days": 2},
    },
    {
        "key": "carrot",
        "name": "Carrot",
        "group": "soft roots",
        "aisle": "vegetables",
        "unit_weights": {"piece": 61},
        "packs": [500],
    },
    {"key": "parsnip", "name": "Parsnip", "group": "soft roots", "aisle": "vegetables"},
    {
        "key": "onion",
        "name": "Onion",
        "group": "alliums",
        "aisle": "vegetables",
        "unit_weights": {"piece": 110},
    },
    {
        "key": "stock",
        "name": "Chicken stock",
        "group": "stocks",
        "aisle": "home-made",
        "density": 1.01,
        "home_made": True,
    },
    {"key": "bones", "name": "Chicken carcass", "group": "bones", "aisle": "meat"},
    {"key": "water", "name": "Water", "group": "drinks", "aisle": "drinks", "density": 1},
    {"key": "honey", "name": "Honey", "group": "sweeteners", "aisle": "pantry", "limits": ["honey"]},
)


def _recipe(key: str, title: str, slots: list[str], ingredients: list[dict], **fields) -> dict:
    return {
        "key": key,
        "title": title,
        "kind": "main",
        "slots": slots,
        "main": key,
        "servings": 4,
        "portion": "400 ml",
        "ingredients": ingredients,
        "steps": ["Simmer until soft."],
        "hands_on_min": 10,
        "elapsed_min": 60,
        "fridge_days": 3,
        "freezer_days": 90,
        "batch": True,
        "core_temp_f": 165,
    } | fields


CHICKEN = {"quantity": 600, "unit": "g", "food": "chicken-thigh", "form": "boiled + boned"}
CARROT = {"quantity": 4, "unit": "piece", "food": "carrot", "form": "boiled + peeled"}
PARSNIP = {"quantity": 300, "unit": "g", "food": "parsnip", "form": "boiled + peeled"}
ONION = {"quantity": 1, "unit": "piece", "food": "onion", "form": "boiled + peeled", "use": "plate"}
MAINS = [Slot.MIDDAY.value, Slot.EVENING.value]
RECIPES = (
    _recipe("carrot-porridge", "Carrot porridge", ["breakfast"], [CARROT, CHICKEN], kind="breakfast"),
    _recipe("parsnip-porridge", "Parsnip porridge", ["breakfast"], [PARSNIP, CHICKEN], kind="breakfast"),
    _recipe("carrot-soup", "Carrot soup", MAINS, [CARROT, CHICKEN, ONION]),
    _recipe("parsnip-soup", "Parsnip soup", MAINS, [PARSNIP, CHICKEN]),
    _recipe("mixed-soup", "Soup of two roots", MAINS, [CARROT, PARSNIP, CHICKEN]),
    _recipe("carrot-stew", "Carrot stew", MAINS, [CARROT, CHICKEN], portion="350 g"),
    _recipe("parsnip-stew", "Parsnip stew", MAINS, [PARSNIP, CHICKEN], portion="350 g"),
    _recipe(
        "stock-pot",
        "Chicken stock",
        ["mug"],
        [
            {"quantity": 1000, "unit": "g", "food": "bones", "form": "broth"},
            {"quantity": 3, "unit": "l", "food": "water", "form": "broth"},
        ],
        kind="stock",
        makes="stock",
        servings=10,
        portion="250 ml",
    ),
)
OPEN_AT_FIRST = [
    {"food": food, "stage": "first", "allowance": "as prepared", "forms": ["boiled"]}
    for food in ("chicken-thigh", "carrot", "parsnip")
] + [
    {"food": "bones", "stage": "first", "allowance": "as prepared", "forms": ["broth"]},
    {"food": "stock", "stage": "first", "allowance": "freely"},
    {"food": "water", "stage": "first", "allowance": "freely"},
    {"food": "onion", "stage": "second", "allowance": "freely"},
]


def file_book(practice: Practice) -> None:
    """Put the foods and recipes into the practice's book."""
    for food in FOODS:
        FoodFactory(
            practice=practice,
            key=food["key"],
            name=food["name"],
            group=food["group"],
            aisle=food["aisle"],
            document=food,
        )
    for recipe in RECIPES:
        book.Recipe.objects.create(
            practice=practice, key=recipe["key"], title=recipe["title"], kind=recipe["kind"], document=recipe
        )


def open_foods(version: book.ProtocolVersion) -> None:
    """Let the small protocol open the small book's foods in its first stage, save the onion."""
    version.document = version.document | {"rules": OPEN_AT_FIRST}
    version.digest = f"{version.pk.hex}{version.pk.hex}"
    version.save(update_fields=["document", "digest"])
