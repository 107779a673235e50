"""What eaters should get of nutrients in a week, in whole numbers for the solver.

Energy and protein count when they fall short of the target, energy also when it is more than a tenth over it; other
nutrients of the list only below two thirds. A hundredth of a target short costs an eater's price once.

An eater's target for a week is that of their days at the table: of a day, breakfast counts a quarter, midday and
evening 35 hundredths each and a mug five (common practice, no source). Meals away and meals that are not planned
ask for nothing. Nor does a plate of a recipe whose amount of a nutrient is not known: the target is that of the other
meals, so that it neither helps nor is blamed. A nutrient that is known of no dish is not counted at all. What an eater
leaves off a plate is not taken off.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from plans.domain.brief import Brief, BriefEater, Meal
from plans.domain.vocabulary import Slot

ENERGY, PROTEIN = "energy_kcal", "protein_g"
MICRONUTRIENTS = (
    "calcium_mg",
    "iron_mg",
    "magnesium_mg",
    "potassium_mg",
    "zinc_mg",
    "vit_a_rae_ug",
    "vit_c_mg",
    "vit_d_ug",
    "vit_e_mg",
    "vit_k_ug",
    "thiamin_mg",
    "riboflavin_mg",
    "niacin_mg",
    "b6_mg",
    "folate_ug",
    "b12_ug",
    "choline_mg",
    "selenium_ug",
)
"""Those of which less than two thirds costs. Sodium, fat and carbohydrate are not to be filled up; fibre is for the
protocol to open."""
PART_OF: Mapping[str, str] = {
    ENERGY: "energy",
    PROTEIN: "protein",
    **dict.fromkeys(MICRONUTRIENTS, "micronutrients"),
}
MEAL_COUNTS = {Slot.BREAKFAST: 25, Slot.MUG: 5, Slot.MIDDAY: 35, Slot.EVENING: 35}
"""Hundredths of a day's target that a meal is to give."""
LEAST_OF = {"energy": 100, "protein": 100, "micronutrients": 67}
MOST_OF_ENERGY = 110
"""Hundredths of the target."""
A_THOUSANDTH = 1000
"""Amounts of a portion are in thousandths of the largest target of a day."""


@dataclass(frozen=True, slots=True)
class Aim:
    """What one eater should get of one nutrient.

    An adult portion gives ``share`` hundredths of itself. For each hundredth of a day (``MEAL_COUNTS``) with known
    dishes the eater should get at least ``least``, and no more than ``most`` if there is one; a week has ``counts``
    such hundredths. ``step`` is a hundredth of the target of the week. ``tally`` is the number of what to count.
    """

    eater: str
    nutrient: str
    tally: int
    share: int
    counts: int
    least: int
    most: int | None
    step: int

    @property
    def part(self) -> str:
        """The part of the objective it belongs to."""
        return PART_OF[self.nutrient]


@dataclass(frozen=True, slots=True)
class Tally:
    """What an adult portion at every meal somebody is not away from adds up to, of one nutrient."""

    away: frozenset[Meal]
    nutrient: str


@dataclass(frozen=True, slots=True)
class Diet:
    """All aims, what is counted for them, and what a portion of each dish holds; what is not known is not there."""

    aims: tuple[Aim, ...] = ()
    tallies: tuple[Tally, ...] = ()
    held: Mapping[str, Mapping[str, int]] = field(default_factory=dict)

    def of(self, dish: str, nutrient: str) -> int | None:
        """What an adult portion of a dish holds of a nutrient, None when that is not known."""
        return self.held.get(dish, {}).get(nutrient)


NO_DIET = Diet()


def diet(brief: Brief, slots: Iterable[Slot], eaters: Sequence[BriefEater], dishes: Collection[str]) -> Diet:
    """The diet of those who have targets."""
    meals = [(day, slot) for day in range(brief.days) for slot in slots]
    units = _units(brief, eaters, dishes)
    held = {
        dish: {
            nutrient: round(amounts[nutrient] / unit)
            for nutrient, unit in units.items()
            if nutrient in amounts
        }
        for dish in dishes
        if (amounts := brief.contents.get(dish, {}))
    }
    tallies: dict[Tally, int] = {}
    aims = []
    for eater in eaters:
        for nutrient, unit in units.items():
            tally = Tally(eater.away.intersection(meals), nutrient)
            aim = _aim(eater, tally, tallies.get(tally, len(tallies)), unit, meals)
            if aim is not None:
                tallies[tally] = aim.tally
                aims.append(aim)
    return Diet(tuple(aims), tuple(tallies), held)


def _units(brief: Brief, eaters: Sequence[BriefEater], dishes: Collection[str]) -> dict[str, float]:
    """The unit of each nutrient that somebody has a target for and that some dish is known to hold."""
    known = {nutrient for dish in dishes for nutrient in brief.contents.get(dish, {})}
    largest = {
        nutrient: max((eater.targets.get(nutrient, 0.0) for eater in eaters), default=0.0)
        for nutrient in PART_OF
        if nutrient in known
    }
    return {nutrient: target / A_THOUSANDTH for nutrient, target in largest.items() if target > 0}


def _aim(eater: BriefEater, tally: Tally, number: int, unit: float, meals: list[Meal]) -> Aim | None:
    """An eater's aim; None without a target. Amounts are hundredths of a unit, as ``share`` times units are."""
    nutrient = tally.nutrient
    of_a_count = eater.targets.get(nutrient, 0.0) / unit
    counts = sum(MEAL_COUNTS[meal[1]] for meal in meals if meal not in tally.away)
    step = round(of_a_count * counts / 100)
    if step < 1:
        return None
    return Aim(
        eater=eater.key,
        nutrient=nutrient,
        tally=number,
        share=round(eater.appetite * 100),
        counts=counts,
        least=round(of_a_count * LEAST_OF[PART_OF[nutrient]] / 100),
        most=round(of_a_count * MOST_OF_ENERGY / 100) if nutrient == ENERGY else None,
        step=step,
    )
