"""What the people of a household may eat today, for the client to look up."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from clients.domain.check_in import RED_FLAGS, Urgency
from clients.models import Client, Eater
from clients.selectors.cautions import packet_blocks
from clients.selectors.protocols import foods_named
from clients.services.eater_foods import EaterFoods, eaters_foods
from clients.wording.blocks import client_block_words
from clients.wording.check_in import RED_FLAG, WHAT_TO_DO
from clients.wording.foods import AheadWords, FoodWords
from plans.domain.book import Food
from plans.domain.filing.lookup import folded
from plans.domain.opening import OF_THE_STAGE
from plans.domain.vocabulary import Allowance
from plans.printables.words import by_name
from plans.wording import ALLOWANCE, ALLOWANCE_MEANS

MOST_FOUND = 12
"""A search that finds more is too wide to read on a phone."""
OPEN = sorted((one for one in Allowance if one), reverse=True)


@dataclass(frozen=True, slots=True)
class Found:
    """A food that was looked up, and what each eater may do with it."""

    food: Food
    answers: tuple[tuple[str, FoodWords], ...]


@dataclass(frozen=True, slots=True)
class Shelf:
    """The foods of one allowance. ``names`` need no more words, ``lines`` do."""

    word: str
    means: str
    names: str
    lines: tuple[tuple[str, FoodWords], ...]
    count: int


@dataclass(frozen=True, slots=True)
class EaterShelves:
    """One eater's foods by allowance, and what opens next."""

    answers: EaterFoods
    shelves: tuple[Shelf, ...]
    ahead: tuple[AheadWords, ...]


def portal_foods_page(client: Client, *, q: str, today: date) -> dict[str, object]:
    """The client's page, in a fixed number of queries: what was looked up, or everything by allowance.

    While a caution or something else blocks weeks and packets it hands out no foods either, only what is in the way.
    """
    household = client.household
    number = household.practice.emergency_number
    blocks = tuple(dict.fromkeys(client_block_words(block, number) for block in packet_blocks(household)))
    page = {
        "household": household,
        "practice": household.practice,
        "today": today,
        "q": q,
        "blocks": blocks,
        "asked": bool(q),
        "signs": [RED_FLAG[flag.key] for flag in RED_FLAGS if flag.urgency is Urgency.EMERGENCY],
        "what_to_do": WHAT_TO_DO[Urgency.EMERGENCY] % {"number": number},
    }
    if blocks:
        return page
    eaters = Eater.objects.filter(household=household).order_by("position", "name", "pk")
    answers = eaters_foods(eaters, practice=household.practice, on=today, today=today)
    if not q:
        return page | {"eaters": [_shelves(one) for one in answers]}
    keys = _nearest_first(q, foods_named(household.practice, q=q), answers)
    return page | {
        "found": [_found(key, answers) for key in keys[:MOST_FOUND]],
        "more": max(0, len(keys) - MOST_FOUND),
    }


def _nearest_first(q: str, keys: list[str], answers: Sequence[EaterFoods]) -> list[str]:
    """Foods found, those first whose own name begins so, then those with a word that does. None without eaters."""
    if not answers:
        return []
    asked, foods = folded(q), answers[0].foods

    def distance(key: str) -> int:
        name = folded(foods[key].name)
        return 0 if name.startswith(asked) else 1 if f" {asked}" in name else 2

    return sorted(keys, key=distance)


def _found(key: str, answers: Sequence[EaterFoods]) -> Found:
    said = tuple((one.eater.name, one.words(key, to_staff=False)) for one in answers)
    return Found(answers[0].foods[key], said)


def _shelves(answers: EaterFoods) -> EaterShelves:
    """Every food that is open, and those that are closed for another reason than their stage."""
    shelves = [_shelf(answers, one) for one in OPEN if answers.stage or one is not Allowance.FREELY]
    shelves.append(_shelf(answers, Allowance.NOT_YET))
    return EaterShelves(answers, tuple(shelf for shelf in shelves if shelf.count), answers.ahead_words())


def _shelf(answers: EaterFoods, allowance: Allowance) -> Shelf:
    foods = [
        answers.foods[key]
        for key, given in answers.given.items()
        if given.allowance is allowance and (allowance or given.reasons[0].code not in OF_THE_STAGE)
    ]
    foods = by_name(foods)
    is_plain = allowance is Allowance.FREELY
    return Shelf(
        word=str(ALLOWANCE[allowance]),
        means=str(ALLOWANCE_MEANS[allowance]),
        names="; ".join(food.name for food in foods) if is_plain else "",
        lines=()
        if is_plain
        else tuple((food.name, answers.words(food.key, to_staff=False)) for food in foods),
        count=len(foods),
    )
