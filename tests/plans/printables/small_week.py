"""A week of two dishes for two eaters, small enough to see through."""

from datetime import date, timedelta
from decimal import Decimal

from plans.domain.book import Food, Ingredient, Recipe
from plans.domain.brief import Brief, BriefEater, Cook, Kitchen, Plate, Week
from plans.domain.vocabulary import Slot, Use

START = date(2026, 12, 7)
FOODS = {
    food.key: food
    for food in (
        Food("thigh", "Chicken thigh, bone in", "poultry", "meat", unit_weights_g={"piece": Decimal(94)}),
        Food("carrot", "Carrot", "soft roots", "vegetables", unit_weights_g={"piece": Decimal(61)}),
        Food("onion", "Onion", "alliums", "vegetables", unit_weights_g={"piece": Decimal(110)}),
        Food("celery", "Celery", "tender vegetables", "vegetables", unit_weights_g={"piece": Decimal(40)}),
        Food("brine", "Brine", "culture liquids", "home-made", density_g_per_ml=Decimal(1)),
        Food("lamb", "Lamb shoulder", "lamb", "meat"),
    )
}
SOUP = Recipe(
    key="soup",
    title="Chicken soup",
    kind="main",
    slots=(Slot.MIDDAY, Slot.EVENING),
    main="soup",
    servings=Decimal(4),
    portion=(Decimal(400), "ml"),
    ingredients=(
        Ingredient(Decimal(600), "g", "thigh", frozenset({"boiled", "boned"})),
        Ingredient(Decimal(2), "piece", "carrot", frozenset({"boiled", "peeled"}), size="1 cm slices"),
        Ingredient(Decimal(1), "piece", "onion", frozenset({"boiled", "peeled"}), Use.OPTIONAL),
        Ingredient(Decimal(1), "piece", "celery", frozenset({"broth"}), Use.FLAVOUR),
        Ingredient(Decimal(4), "tsp", "brine", frozenset({"culture-liquid"}), Use.PLATE),
    ),
    steps=("Simmer.", "Ladle out."),
    hands_on_min=20,
    elapsed_min=70,
    fridge_days=3,
    freezer_days=90,
    batch=True,
    core_temp_f=165,
    child_note="Mash the carrots.",
)
STEW = Recipe(
    key="stew",
    title="Lamb stew",
    kind="main",
    slots=(Slot.MIDDAY, Slot.EVENING),
    main="stew",
    servings=Decimal(2),
    portion=(Decimal(350), "g"),
    ingredients=(Ingredient(Decimal(500), "g", "lamb", frozenset({"stewed"})),),
    steps=("Stew.",),
    hands_on_min=15,
    elapsed_min=120,
    fridge_days=0,
    freezer_days=0,
    batch=False,
    core_temp_f=145,
)


def make_brief(*, ivo_born: date = date(2020, 3, 1), freezer: bool = True) -> Brief:
    """Nell and Ivo; what each may have does not matter to paper."""
    return Brief(
        start=START,
        days=2,
        eaters=(
            BriefEater("nell", "Nell", Decimal(1), date(1988, 3, 2), ({}, {})),
            BriefEater("ivo", "Ivo", Decimal("0.5"), ivo_born, ({}, {})),
        ),
        foods=FOODS,
        recipes=(SOUP, STEW),
        kitchen=Kitchen(hands_on_min=(60, 60), pots_ml=(7000,), freezer=freezer),
        slots=(Slot.MIDDAY, Slot.EVENING),
    )


def make_week(*, without: tuple[str, ...] = ("brine",)) -> Week:
    """Soup on Monday, kept for Monday evening and thawed on Tuesday; on Tuesday evening Nell has stew."""
    tuesday = START + timedelta(days=1)
    return Week(
        start=START,
        days=2,
        cooks=(Cook("c1", "soup", START, Decimal("4.5")), Cook("c2", "stew", tuesday, Decimal(1))),
        plates=(
            Plate(START, Slot.MIDDAY, "nell", "c1", Decimal(1), "fresh"),
            Plate(START, Slot.MIDDAY, "ivo", "c1", Decimal("0.5"), "fresh", without),
            Plate(START, Slot.EVENING, "nell", "c1", Decimal(1), "kept"),
            Plate(START, Slot.EVENING, "ivo", "c1", Decimal("0.5"), "kept", without),
            Plate(tuesday, Slot.MIDDAY, "nell", "c1", Decimal(1), "thawed"),
            Plate(tuesday, Slot.MIDDAY, "ivo", "c1", Decimal("0.5"), "thawed", without),
            Plate(tuesday, Slot.EVENING, "nell", "c2", Decimal(1), "fresh"),
        ),
        objective={"cooks": 200},
        bound=200.0,
        gap=0.0,
    )
