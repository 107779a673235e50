"""Made-up foods, recipes and protocols for property tests: everything a file may say, and nothing it may not."""

from hypothesis import strategies as st

from plans.domain.book import (
    Challenge,
    Food,
    Ingredient,
    LeadInTask,
    Modifier,
    Protocol,
    Recipe,
    Rule,
    Stage,
)
from plans.domain.nutrients import UNITS as NUTRIENTS
from plans.domain.records import implied
from plans.domain.vocabulary import (
    AISLES,
    CONDITIONS,
    FAMILIES,
    FORM_WORDS,
    LEAD_IN_KINDS,
    LIMITS,
    RECIPE_KINDS,
    Allowance,
    Slot,
    Use,
)

FOOD_KEYS = ("carrot", "onion", "chicken-thigh", "butter", "sauerkraut", "egg", "plum-12")
GROUPS = ("soft roots", "leafy greens", "poultry")
UNITS = ("g", "kg", "oz", "lb", "ml", "l", "tsp", "tbsp", "cup")

keys = st.from_regex(r"[a-z][a-z0-9]{0,8}(-[a-z0-9]{1,6}){0,2}", fullmatch=True)
texts = st.text(st.characters(exclude_categories=("C", "Z"), include_characters=" "), min_size=1, max_size=40)
"""Any printable characters, kept as a person would leave them: no space at either end, never empty."""
lines = texts.map(lambda text: " ".join(text.split())).filter(bool)
list_items = lines.filter(lambda text: ";" not in text and "|" not in text)
"""Text that may stand in a list of the CSV form, where ``;`` and ``|`` part the items."""
amounts = st.decimals(min_value="0.001", max_value=9999, places=3)
days = st.integers(0, 3650)
quantities = st.tuples(amounts, st.sampled_from(UNITS))
forms = st.frozensets(st.sampled_from(sorted(FORM_WORDS)), min_size=1, max_size=4)


_figures = st.one_of(
    st.just({}),
    st.fixed_dictionaries(
        {
            "nutrients": st.dictionaries(st.sampled_from(tuple(NUTRIENTS)), amounts, min_size=1),
            "nutrients_source": lines,
        }
    ),
    st.fixed_dictionaries({"nutrients_like": keys}),
)
"""No nutrients, figures of its own with their source, or those of another food."""


def foods(key: st.SearchStrategy[str] = keys) -> st.SearchStrategy[Food]:
    """Any food a file may hold."""
    return st.builds(
        lambda figures, **fields: Food(**fields, **figures),
        figures=_figures,
        key=key,
        name=lines,
        group=lines,
        aisle=st.sampled_from(AISLES),
        names=st.lists(list_items, max_size=3, unique_by=str.casefold).map(tuple),
        families=st.frozensets(st.sampled_from(FAMILIES)).map(implied),
        contains=st.just(()),
        unit_weights_g=st.dictionaries(st.sampled_from(("piece", "cup", "clove", "stalk")), amounts),
        density_g_per_ml=st.none() | st.decimals("0.1", "3", places=3),
        edible_share=st.decimals("0.01", "1", places=2),
        packs_g=st.lists(amounts, max_size=3, unique=True).map(sorted).map(tuple),
        fridge_days=st.none() | days,
        freezer_days=st.none() | days,
        home_made=st.booleans(),
        limits=st.frozensets(st.sampled_from(LIMITS)),
    )


def food_lists() -> st.SearchStrategy[tuple[Food, ...]]:
    """Foods of one file: keys differ."""
    return st.lists(foods(), min_size=1, max_size=4, unique_by=lambda food: food.key).map(tuple)


ingredients = st.builds(
    Ingredient,
    quantity=amounts,
    unit=st.sampled_from(UNITS),
    food=st.sampled_from(FOOD_KEYS),
    form=forms,
    use=st.sampled_from(Use),
    size=st.just("") | lines,
)


@st.composite
def recipes(draw: st.DrawFn) -> Recipe:
    """Any recipe a file may hold."""
    kind = draw(st.sampled_from(RECIPE_KINDS))
    hands_on = draw(st.integers(0, 200))
    return Recipe(
        key=draw(keys),
        title=draw(lines),
        kind=kind,
        slots=tuple(draw(st.lists(st.sampled_from(Slot), min_size=1, unique=True))),
        main=draw(keys),
        servings=draw(st.decimals("0.5", "40", places=1)),
        portion=draw(quantities),
        ingredients=tuple(draw(st.lists(ingredients, min_size=1, max_size=4))),
        steps=tuple(draw(st.lists(list_items, min_size=1, max_size=4))),
        hands_on_min=hands_on,
        elapsed_min=draw(st.integers(max(1, hands_on), 2000)),
        fridge_days=draw(st.integers(0, 30)),
        freezer_days=draw(st.integers(0, 400)),
        batch=draw(st.booleans()),
        core_temp_f=draw(st.none() | st.sampled_from((145, 160, 165))),
        makes=draw(st.sampled_from(FOOD_KEYS)) if kind == "stock" else "",
        child_note=draw(st.just("") | lines),
    )


def recipe_lists() -> st.SearchStrategy[tuple[Recipe, ...]]:
    """Recipes of one file: keys differ."""
    return st.lists(recipes(), min_size=1, max_size=3, unique_by=lambda recipe: recipe.key).map(tuple)


@st.composite
def _stages(draw: st.DrawFn) -> tuple[Stage, ...]:
    names = draw(st.lists(keys, min_size=1, max_size=4, unique=True))
    stages = []
    for number, key in enumerate(names, start=1):
        least, usual, most = sorted(draw(st.lists(st.integers(1, 200), min_size=3, max_size=3)))
        stages.append(
            Stage(
                key=key,
                number=number,
                title=draw(lines),
                aim=draw(lines),
                least_days=least,
                usual_days=usual,
                most_days=draw(st.none() | st.just(most)),
                moving_on=tuple(draw(st.lists(list_items, max_size=2))),
            )
        )
    return tuple(stages)


@st.composite
def _rules(draw: st.DrawFn, stages: tuple[Stage, ...]) -> tuple[Rule, ...]:
    """For each target, allowances that never tighten from stage to stage."""
    rules = []
    targets = [{"food": key} for key in FOOD_KEYS[:4]] + [{"group": group} for group in GROUPS]
    for target in draw(st.lists(st.sampled_from(targets), min_size=1, max_size=4, unique_by=str)):
        count = draw(st.integers(1, len(stages)))
        allowances = sorted(draw(st.lists(st.sampled_from(Allowance), min_size=count, max_size=count)))
        for stage, allowance in zip(stages[-count:], allowances, strict=True):
            needs_form = 1 if allowance is Allowance.AS_PREPARED else 0
            tasted = allowance is Allowance.FIRST_TASTES
            unit = draw(st.sampled_from(("g", "ml")))
            start, step, most = sorted(draw(st.lists(amounts, min_size=3, max_size=3, unique=True)))
            taste = {"start": (start, unit), "step": (step, unit), "every_days": draw(st.integers(1, 9))}
            rules.append(
                Rule(
                    stage=stage.key,
                    allowance=allowance,
                    forms=tuple(draw(st.lists(forms, min_size=needs_form, max_size=2, unique=True))),
                    note=draw(st.just("") | lines),
                    **target,
                    **(taste | {"most": (most, unit)} if tasted else {}),
                )
            )
    return tuple(rules)


_targets = st.sampled_from([{"food": FOOD_KEYS[0]}, {"group": GROUPS[0]}, {"all": True}])
_demands = st.one_of(
    st.fixed_dictionaries({"require": forms}),
    st.fixed_dictionaries({"allowance": st.sampled_from([Allowance.NOT_YET, Allowance.FLAVOUR_ONLY])}),
)
modifiers = st.builds(
    lambda when, target, demand, note: Modifier(when=when, note=note, **target, **demand),
    when=st.sampled_from(CONDITIONS),
    target=_targets,
    demand=_demands,
    note=st.just("") | lines,
)


@st.composite
def protocols(draw: st.DrawFn) -> Protocol:
    """Any protocol a file may hold."""
    stages = draw(_stages())
    challenge_count = draw(st.integers(0, 2))
    tasks = draw(st.lists(keys, max_size=2, unique=True))
    return Protocol(
        key=draw(keys),
        title=draw(lines),
        summary=draw(lines),
        source=draw(lines),
        stages=stages,
        rules=draw(_rules(stages)),
        dietitian=draw(st.booleans()),
        caution=draw(st.just("") | lines),
        modifiers=tuple(draw(st.lists(modifiers, max_size=2))),
        challenges=tuple(
            Challenge(
                key=f"challenge-{place}",
                title=draw(lines),
                food=draw(st.sampled_from(FOOD_KEYS)),
                form=draw(forms),
                stage=draw(st.sampled_from(stages)).key,
                doses=tuple(draw(st.lists(quantities, min_size=1, max_size=3))),
                dose_days=draw(st.integers(1, 5)),
                washout_days=draw(st.integers(0, 7)),
                note=draw(st.just("") | lines),
            )
            for place in range(challenge_count)
        ),
        lead_in=tuple(
            LeadInTask(
                key=key,
                title=draw(lines),
                kind=draw(st.sampled_from(LEAD_IN_KINDS)),
                days_before=draw(st.integers(28, 60)),
                at_least_days=draw(st.integers(0, 28)),
                keeps_days=draw(st.none() | st.integers(0, 400)),
                hands_on_min=draw(st.integers(0, 200)),
                food=draw(st.sampled_from(("", *FOOD_KEYS))),
                note=draw(st.just("") | lines),
                source=draw(st.just("") | lines),
                after=tuple(tasks[:place][: draw(st.integers(0, 2))]),
                wait_least_h=(least := draw(st.integers(0, 700))),
                wait_most_h=draw(st.none() | st.integers(least, 8760)),
                freezer_days=draw(st.none() | st.integers(0, 400)),
                needs=tuple(draw(st.lists(st.sampled_from(FOOD_KEYS), max_size=2, unique=True))),
                makes=tuple(draw(st.lists(st.sampled_from(FOOD_KEYS), max_size=2, unique=True))),
                buy_instead=draw(st.just("") | lines),
            )
            for place, key in enumerate(tasks)
        ),
    )
