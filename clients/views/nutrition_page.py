"""What the nutrition page of an eater's week shows, in words: amounts, references, and what is not known."""

from collections.abc import Iterable, Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import Any

from django.utils.formats import date_format, number_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from clients.domain.body_measures import Measures, condition_of
from clients.domain.people import MOST_APPETITE
from clients.services.nutrition import EaterNutrition
from clients.wording import nutrition as words
from clients.wording.measures import measure_words
from coaching.domain.units import System
from plans.domain.body import Condition, Sex
from plans.domain.energy import Energy
from plans.domain.energy_shares import AMDR_SOURCE, amdr, whole_shares
from plans.domain.intake_week import EnergyIntake, NutrientIntake
from plans.domain.intakes import PROTEIN, REFERENCE_SET, Above, Band, Reference
from plans.domain.nutrients import OWN, UNITS
from plans.wording import DATA_TYPE, NUTRIENT

MAIN = ("protein_g", "fat_g", "carb_g", "fibre_g")
MUST_BE_COMPUTED = ("calcium_mg", "vit_d_ug", "iron_mg", "b12_ug")
"""Nutrients of which a plan that cannot be computed is worth a word, too (common practice, no source)."""
_PLACES = ((Decimal(100), 0), (Decimal(10), 1), (Decimal(0), 2))
_MOST_PLACES = 3
_ASKED_FROM_YEARS = 10
_NEAR_PERCENT = 90


def nutrition_page(found: EaterNutrition, *, answers: Mapping[str, object], units: str) -> dict[str, Any]:
    """The context of the page. ``answers`` are the eater's screening answers."""
    blank = _without_figures(found)
    rows = [_row(intake, found, blank) for intake in found.intakes.nutrients.values()]
    main = [row for row in rows if row["key"] in MAIN]
    return {
        "counted": _counted(found),
        "follows": found.follows,
        "tables": [
            {"key": "main", "title": _("Protein, fat, carbohydrate and fibre"), "rows": main},
            {
                "key": "micro",
                "title": _("Minerals and vitamins"),
                "rows": [row for row in rows if row["key"] not in MAIN],
            },
        ],
        "groups": [words.GROUP[group] for group in found.intakes.groups],
        "no_group": "" if found.intakes.groups else words.NO_GROUP[found.body.condition],
        "not_asked": _not_asked(found, answers),
        "energy": _energy(found.intakes.energy, found, blank),
        "split": _split(found),
        "measures": _measures(found.measures, System(units)),
        "blank": [_food_line(food, found) for food in blank],
        "stand_ins": _stand_ins(found),
        "to_raise": _to_raise(found),
        "not_in_table": [words.NOT_IN_TABLE[name] for name in found.intakes.not_in_table],
        "means": [{"term": term, "value": meaning} for term, meaning in words.GOAL_MEANS],
        "sources": _sources(found),
    }


def amount_words(value: Decimal, unit: str, *, beside: Iterable[Decimal] = ()) -> str:
    """An amount a day, rounded once for show, with a digit more where it would read as none or as one beside it."""
    places = next(places for least, places in _PLACES if value >= least)
    others = [other for other in (Decimal(0), *beside) if other != value]
    while places < _MOST_PLACES and _rounded(value, places) in others:
        places += 1
    rounded = _rounded(value, places)
    if value and not rounded:
        least = Decimal(1).scaleb(-_MOST_PLACES)
        return _("less than %(amount)s") % {"amount": f"{number_format(least)} {unit}"}
    return f"{number_format(rounded)} {unit}"


def _rounded(value: Decimal, places: int) -> Decimal:
    rounded = value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    whole = rounded.to_integral_value()
    return whole if rounded == whole else rounded.normalize()


def _counted(found: EaterNutrition) -> list[str]:
    days, meals = len(found.plated.days), found.plated.meals
    said = [
        ngettext(
            "%(days)d of the week’s %(all)d days is counted, with %(meals)d planned meals.",
            "%(days)d of the week’s %(all)d days are counted, with %(meals)d planned meals.",
            days,
        )
        % {"days": days, "all": found.planned_days, "meals": meals}
    ]
    if meals < found.planned_meals:
        said.append(
            _(
                "The week has room for %(all)d meals. What is eaten at the others, between meals or drunk is not "
                "counted, so a day may hold more than stands here."
            )
            % {"all": found.planned_meals}
        )
    else:
        said.append(_("What is eaten between meals or drunk besides is not counted."))
    return said


def _without_figures(found: EaterNutrition) -> tuple[str, ...]:
    """The foods that are unknown in every nutrient and in energy, the largest amount first."""
    unknown = [
        set(found.intakes.energy.unknown_for),
        *(set(row.unknown_for) for row in found.intakes.nutrients.values()),
    ]
    everywhere = set.intersection(*unknown)
    return tuple(food for food in found.intakes.energy.unknown_for if food in everywhere)


def _row(intake: NutrientIntake, found: EaterNutrition, blank: tuple[str, ...]) -> dict[str, Any]:
    unit = UNITS[intake.nutrient]
    notes = [words.NOTE[note] for note in intake.notes]
    if intake.nutrient == PROTEIN and intake.references and _protein_is_by_weight(found):
        notes.append(words.NOTE["by-weight"])
    return {
        "key": intake.nutrient,
        "name": NUTRIENT[intake.nutrient],
        "mean": _mean(intake.mean, unit, at_least=intake.at_least, beside=_amounts(intake.references)),
        "references": [_reference(reference, unit, intake.references) for reference in intake.references],
        "percent": _percent(intake.percent, at_least=intake.at_least),
        "band": words.BAND[intake.band],
        "sure": intake.sure and words.sure_words(intake.sure, at_least=intake.at_least),
        "upper": _upper(intake, unit),
        "upper_said": "" if intake.upper.place is Above.NOT_SET else words.upper_words(intake.upper),
        "notes": notes,
        **_known(intake.coverage, intake.unknown_for, found, blank),
    }


def _amounts(references: Iterable[Reference]) -> list[Decimal]:
    return [
        amount for reference in references for amount in (reference.goal, reference.ear) if amount is not None
    ]


def _mean(mean: Decimal | None, unit: str, *, at_least: bool, beside: Iterable[Decimal] = ()) -> str:
    if mean is None:
        return ""
    amount = amount_words(mean, unit, beside=beside)
    return _("at least %(amount)s") % {"amount": amount} if at_least else amount


def _percent(percent: int | None, *, at_least: bool) -> str:
    if percent is None:
        return ""
    return _("at least %(n)d %%") % {"n": percent} if at_least else _("%(n)d %%") % {"n": percent}


def _reference(reference: Reference, unit: str, both: tuple[Reference, ...]) -> dict[str, Any]:
    """The goal and the EAR of one group; the group is named only where there are two."""
    amounts = []
    if reference.goal is not None:
        kind = "ai" if reference.rda is None else "rda"
        amounts.append({"kind": words.GOAL[kind], "amount": amount_words(reference.goal, unit)})
    if reference.ear is not None:
        amounts.append({"kind": _("EAR"), "amount": amount_words(reference.ear, unit)})
    return {"group": words.GROUP[reference.group] if len(both) > 1 else "", "amounts": amounts}


def _upper(intake: NutrientIntake, unit: str) -> dict[str, Any] | None:
    held = intake.upper
    if held.amount is None:
        return None
    return {"kind": words.UPPER[held.kind], "amount": amount_words(held.amount, unit)}


def _known(
    coverage: Decimal, unknown_for: tuple[str, ...], found: EaterNutrition, blank: tuple[str, ...]
) -> dict[str, Any]:
    """For how much of the weight a figure is known, rounded down so that 100 % means all, and for what it is not."""
    percent = int((coverage * 100).to_integral_value(ROUND_FLOOR))
    return {
        "coverage": _("%(n)d %%") % {"n": percent},
        "unknown": [_name(food, found) for food in unknown_for if food not in blank],
    }


def _name(food: str, found: EaterNutrition) -> str:
    return found.foods[food].name if food in found.foods else food


def _food_line(food: str, found: EaterNutrition) -> str:
    if food not in found.plated.grams:
        return _("%(food)s, an amount that cannot be weighed") % {"food": _name(food, found)}
    grams = amount_words(found.plated.grams[food] / found.intakes.days, "g")
    return _("%(food)s, %(grams)s a day") % {"food": _name(food, found), "grams": grams}


def _stand_ins(found: EaterNutrition) -> list[str]:
    """The foods whose figures are those of another food."""
    return [
        _("%(food)s by %(like)s") % {"food": _name(food, found), "like": _name(row.food, found)}
        for food in found.plated.grams
        if (row := found.table.get(food)) is not None and row.food != food
    ]


def _protein_is_by_weight(found: EaterNutrition) -> bool:
    body = found.body
    return (body.weight_before_kg if body.condition is Condition.PREGNANCY else body.weight_kg) is not None


def _energy(intake: EnergyIntake, found: EaterNutrition, blank: tuple[str, ...]) -> dict[str, Any]:
    needed = intake.requirement
    said = {
        "mean": _mean(intake.mean, "kcal", at_least=intake.at_least),
        "percent": _percent(intake.percent, at_least=intake.at_least),
        **_known(intake.coverage, intake.unknown_for, found, blank),
    }
    if not isinstance(needed, Energy):
        return said | {"missing": words.no_equation_words(needed), "can_be_given": bool(needed.missing)}
    least, most = (amount_words(_whole(kcal), "kcal") for kcal in (needed.least, needed.most))
    return said | {
        "needed": least if least == most else _("%(least)s to %(most)s") % {"least": least, "most": most},
        "equation": words.EQUATION[needed.equation],
        "source": needed.source,
        "flags": [words.FLAG[flag] for flag in needed.flags],
        "larger": _larger(intake, found.appetite) if found.plated.meals == found.planned_meals else "",
    }


def _larger(intake: EnergyIntake, appetite: Decimal) -> str:
    """The appetite share at which the same dishes would hold the reference, where they fall well short and a share
    that can be given would do.

    It is for coaches to weigh: nobody's portions change by it, and nothing is ever said of eating less.
    """
    if intake.percent is None or intake.percent >= _NEAR_PERCENT:
        return ""
    share = (appetite * 2000 / intake.percent).to_integral_value(ROUND_CEILING) / 20
    if share > MOST_APPETITE:
        return ""
    said = words.LARGER_AT_MOST if intake.at_least else words.LARGER
    return said % {"appetite": number_format(appetite.normalize()), "share": number_format(share.normalize())}


def _whole(kcal: Decimal) -> Decimal:
    return kcal.quantize(Decimal(1), ROUND_HALF_UP)


def _split(found: EaterNutrition) -> dict[str, Any] | None:
    split = found.intakes.split
    if split is None:
        return None
    ranges = amdr(found.body.age) or {}
    shares = whole_shares(split.shares)
    return {
        "rows": [
            {
                "name": NUTRIENT[name],
                "share": _("%(n)d %%") % {"n": share},
                "range": _("%(least)s to %(most)s %%")
                % {"least": ranges[name].least, "most": ranges[name].most}
                if name in ranges
                else "",
                "place": words.PLACE[split.places[name]] if name in split.places else "",
            }
            for name, share in shares.items()
        ],
        **_known(split.coverage, (), found, ()),
    }


def _measures(measures: Measures | None, system: System) -> dict[str, Any] | None:
    if measures is None or measures.is_empty:
        return None
    return {
        "on": date_format(measures.measured_on, _("j F Y")),
        "lines": [str(pair["value"]) for pair in measure_words(measures, system)],
    }


def _not_asked(found: EaterNutrition, answers: Mapping[str, object]) -> bool:
    """Whether nobody asked about pregnancy or breast-feeding where the screening would."""
    is_asked_of = found.body.sex is not Sex.MALE and found.body.age >= _ASKED_FROM_YEARS
    return (
        is_asked_of
        and condition_of(answers) is Condition.NONE
        and not {"pregnant", "breastfeeding"} <= answers.keys()
    )


def _to_raise(found: EaterNutrition) -> list[dict[str, Any]]:
    """What is worth a word with a clinician or dietitian, as pairs of what and which."""
    nutrients = found.intakes.nutrients
    unknown = {key for key in MUST_BE_COMPUTED if nutrients[key].band in (Band.UNKNOWN, Band.UNKNOWN_LOW)}
    pairs = [
        (
            _("Below the average requirement in this plan"),
            [NUTRIENT[key] for key, intake in nutrients.items() if intake.band is Band.BELOW_EAR],
        ),
        (
            _("Above an upper amount in this plan"),
            [NUTRIENT[key] for key, intake in nutrients.items() if intake.upper.place is Above.ABOVE],
        ),
        (
            _("Too little known to say"),
            [
                *(NUTRIENT[key] for key in nutrients if key in unknown),
                capfirst(words.NOT_IN_TABLE["iodine"]),
            ],
        ),
    ]
    return [{"term": term, "value": _(", ").join(map(str, names))} for term, names in pairs if names]


def _sources(found: EaterNutrition) -> list[str]:
    """Where references, equations, ranges and the figures of the foods come from, each source once."""
    references = {
        reference.source for intake in found.intakes.nutrients.values() for reference in intake.references
    }
    rows = [found.table[food] for food in found.plated.grams if food in found.table]
    types = dict.fromkeys(DATA_TYPE.get(row.data_type, row.data_type) for row in rows if row.data_type != OWN)
    own = dict.fromkeys(row.fdc_description for row in rows if row.data_type == OWN)
    needed = found.intakes.energy.requirement
    return [
        f"{words.SET[REFERENCE_SET]} {'; '.join(sorted(references))}".strip(),
        *([needed.source] if isinstance(needed, Energy) else []),
        AMDR_SOURCE,
        *sorted(str(name) for name in types),
        *own,
    ]
