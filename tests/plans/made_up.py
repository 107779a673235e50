"""Made-up eaters of any age, with any mix of facts that may stand against a food, drawn from a seed."""

from datetime import date, timedelta
from functools import cache
from random import Random
from typing import Any

from tests import checker, shipped

STAGES = {
    "hearth-five": ("settle", "soften", "taste", "widen", "table"),
    "three-phase": ("restriction", "challenge", "personal"),
    "milk-ladder": ("milk-free", "biscuit", "muffin", "pancake", "cheese", "yoghurt", "milk", "table"),
}
CONDITIONS = ("loose-stools", "constipation", "reflux", "nausea", "flare")
FAMILIES = (
    "milk",
    "egg",
    "fish",
    "crustacean",
    "mollusc",
    "tree-nut",
    "peanut",
    "wheat",
    "gluten",
    "soy",
    "sesame",
    "celery",
    "mustard",
    "lupin",
    "sulphite",
)
COOKING = ("raw", "broth", "boiled", "steamed", "stewed", "baked", "roasted", "fried", "cultured", "infused")
HANDLING = ("peeled", "deseeded", "pureed", "minced", "boned", "strained", "soaked")
OUTCOMES = ("open", "open", "tolerated", "reacted", "unclear")
FLAGS = ("breastfeeding", "weak-immunity", "warfarin")


def eater(random: Random, on: date) -> dict[str, Any]:
    """Somebody of any age, with any mix of facts, who may be following a protocol and trying foods."""
    facts = shipped.eater(
        born=on - timedelta(days=int(random.choice((400, 2_500, 8_000, 33_000)) * random.random()) + 60),
        allergies=set(random.sample(FAMILIES, random.choice((0, 0, 1, 2)))),
        excluded=set(random.sample(keys(), random.choice((0, 0, 1, 3)))),
        forbidden=set(random.sample(keys(), random.choice((0, 0, 0, 2)))),
        flags=flags(random),
    )
    if random.random() < 0.8:
        followed = random.choice(tuple(STAGES))
        stages = STAGES[followed]
        first = random.randrange(len(stages))
        facts["protocol"] = followed
        facts["stages"] = [
            (on + timedelta(days=7 * step - random.randrange(7, 21)), key)
            for step, key in enumerate(stages[first : first + 2])
        ]
        facts["stages"].sort(key=lambda entry: entry[0])
        facts["conditions"] = set(random.sample(CONDITIONS, random.choice((0, 0, 1, 2))))
    facts["introductions"] = introductions(random, on, facts["protocol"])
    return facts


def flags(random: Random) -> set[str]:
    found = set(random.sample(FLAGS, random.choice((0, 0, 0, 1))))
    return found | {"pregnant"} if random.random() < 0.15 else found


def introductions(random: Random, on: date, followed: str | None) -> list[dict[str, Any]]:
    """Up to three, none begun on the same day: one unknown at a time. A food may be tried again, and some are planned
    challenges of the protocol that is followed."""
    planned = checker.protocol(followed).get("challenges", []) if followed else []
    found: list[dict[str, Any]] = []
    for ago in random.sample(range(-2, 30), random.choice((0, 0, 1, 2, 3))):
        first_day, outcome = on - timedelta(days=ago), random.choice(OUTCOMES)
        left_out = outcome == "reacted" and random.random() < 0.7
        again = found and random.random() < 0.4
        tried = {
            "food": found[-1]["food"] if again else random.choice(keys()),
            "form": form(random),
            "first_day": first_day,
            "watch_until": first_day + timedelta(days=random.randrange(8)),
            "outcome": outcome,
            "left_out_until": first_day + timedelta(days=random.randrange(60)) if left_out else None,
        }
        if planned and random.random() < 0.5:
            challenge = random.choice(planned)
            days = challenge["dose_days"] + challenge["washout_days"]
            tried |= {
                "food": challenge["food"],
                "form": challenge["form"],
                "watch_until": first_day + timedelta(days=days - 1),
                "outcome": random.choice((outcome, "open")),
            }
        found.append(tried)
    return found


def form(random: Random) -> str:
    """One way of cooking, often with more work done."""
    return " + ".join((random.choice(COOKING), *random.sample(HANDLING, random.choice((0, 1, 1, 2)))))


@cache
def keys() -> tuple[str, ...]:
    return tuple(sorted(checker.foods()))


@cache
def limited() -> tuple[str, ...]:
    """The foods that some limit of age or condition names."""
    return tuple(key for key in keys() if checker.limits(key, inherited=True))


@cache
def carrying() -> dict[str, tuple[str, ...]]:
    """The foods that carry each allergen family."""
    return {family: tuple(key for key in keys() if family in checker.families(key)) for family in FAMILIES}


@cache
def made_with() -> dict[str, tuple[str, ...]]:
    """The foods that contain each food, itself among them."""
    return {key: tuple(each for each in keys() if key in checker.parts(each)) for key in keys()}
