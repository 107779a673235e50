"""What a plan's nutrients mean against the reference intakes, in words that judge food and never a person."""

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plans.domain import energy
from plans.domain.body import Condition
from plans.domain.energy_shares import Place
from plans.domain.intake_confidence import Confidence
from plans.domain.intakes import REFERENCE_SET, Above, Band, Upper

_MOST_SURE = 98
"""The highest figure table B-1 prints, and 2 the lowest (Applications in Dietary Assessment, 2000)."""
SET = {
    REFERENCE_SET: gettext_lazy(
        "Dietary Reference Intakes of the United States and Canada, for healthy people. Other countries publish other "
        "amounts."
    )
}
BAND = {
    Band.BELOW_EAR: gettext_lazy(
        "Below the average requirement in this plan: at best an even chance that it is enough."
    ),
    Band.UNKNOWN: gettext_lazy("Not known: too little of the food has a figure."),
    Band.UNKNOWN_LOW: gettext_lazy("What is known lies below the reference amount; not all is known."),
    Band.BELOW_RDA: gettext_lazy("Below the recommended amount in this plan."),
    Band.BELOW_AI: gettext_lazy(
        "Below the adequate intake in this plan, which by itself says nothing: only from it on is it likely enough."
    ),
    Band.EAR_TO_RDA: gettext_lazy(
        "Between the average requirement and the recommended amount: perhaps enough."
    ),
    Band.AT_LEAST_EAR: gettext_lazy("What is known reaches the average requirement; not all is known."),
    Band.AT_OR_ABOVE_RDA: gettext_lazy(
        "Reaches the recommended amount: little chance that it is not enough."
    ),
    Band.AT_OR_ABOVE_AI: gettext_lazy("Reaches the adequate intake: little chance that it is not enough."),
    Band.NO_REFERENCE: gettext_lazy("No reference amount is published."),
}
GOAL = {"rda": gettext_lazy("RDA"), "ai": gettext_lazy("AI")}
GOAL_MEANS = (
    (
        gettext_lazy("EAR"),
        gettext_lazy(
            "Estimated average requirement: enough for half of the healthy people of an age and sex."
        ),
    ),
    (gettext_lazy("RDA"), gettext_lazy("Recommended dietary allowance: enough for nearly all of them.")),
    (
        gettext_lazy("AI"),
        gettext_lazy("Adequate intake: what healthy people have, where too little is known for an RDA."),
    ),
    (
        gettext_lazy("Upper level"),
        gettext_lazy(
            "The most that is likely to harm nobody. For some nutrients it counts supplements only."
        ),
    ),
    (
        gettext_lazy("Better under"),
        gettext_lazy(
            "For sodium: over this amount, less of it is expected to lower the risk of chronic disease."
        ),
    ),
    (
        gettext_lazy("How sure"),
        gettext_lazy(
            "The confidence that so many recorded days give, by the method of the Institute of Medicine (Applications "
            "in Dietary Assessment, 2000), as if the plan were what was eaten. It stands only where the spread between "
            "a person’s days is published, and is never the chance that somebody lacks anything."
        ),
    ),
)
UPPER = {"ul": gettext_lazy("Upper level"), "cdrr": gettext_lazy("Better under")}
ABOVE = {
    Above.NOT_SET: gettext_lazy("No upper amount is published."),
    Above.NOT_COMPARED: gettext_lazy("The upper level is not held against food: %(why)s."),
    Above.UNKNOWN: gettext_lazy("Not above the upper amount by what is known."),
    Above.NOT_ABOVE: gettext_lazy("Not above the upper amount."),
    Above.ABOVE: gettext_lazy(
        "Above the upper amount in this plan: worth raising with a clinician or dietitian."
    ),
}
WHY = {
    "supplements-only": gettext_lazy("it counts supplements only"),
    "synthetic-only": gettext_lazy("it counts only what is added to foods or taken as a supplement"),
    "preformed-only": gettext_lazy(
        "it counts only retinol, as in liver and cod liver oil, and this plan has none of those"
    ),
}
NOTE = {
    "preformed-niacin": gettext_lazy(
        "The reference also counts what the body makes from protein; the food table does not."
    ),
    "total-folate": gettext_lazy(
        "Folate as it is in food. Fortified food would count for more in the reference."
    ),
    "little-sun-assumed": gettext_lazy("The reference assumes little sun on the skin."),
    "by-weight": gettext_lazy("Reckoned by the weight that was given."),
}
NOT_IN_TABLE = {
    "iodine": gettext_lazy("iodine"),
    "phosphorus": gettext_lazy("phosphorus"),
    "copper": gettext_lazy("copper"),
    "manganese": gettext_lazy("manganese"),
    "biotin": gettext_lazy("biotin"),
    "pantothenic-acid": gettext_lazy("pantothenic acid"),
}
SURE = {
    "ear": gettext_lazy("If eaten like this: %(share)s sure that the usual intake is above the EAR."),
    "ai": gettext_lazy("If eaten like this: %(share)s sure that the usual intake is above the AI."),
}
LARGER = gettext_lazy(
    "The plan was made with an appetite share of %(appetite)s; the same dishes would hold the reference at about "
    "%(share)s."
)
LARGER_AT_MOST = gettext_lazy(
    "The plan was made with an appetite share of %(appetite)s; the same dishes would hold the reference at %(share)s "
    "at the most, since not all is known."
)
PLACE = {
    Place.BELOW: gettext_lazy("below the published range"),
    Place.INSIDE: gettext_lazy("within the published range"),
    Place.ABOVE: gettext_lazy("above the published range"),
}
EQUATION = {
    "mifflin-st-jeor": gettext_lazy("Resting energy of adults by Mifflin and St Jeor, 1990"),
    "eer-2023-under-3": gettext_lazy("Estimated energy requirement 2023, under three years"),
    "eer-2023-child": gettext_lazy("Estimated energy requirement 2023, children and adolescents"),
    "eer-2023-adult": gettext_lazy("Estimated energy requirement 2023, adults"),
    "eer-2023-pregnancy": gettext_lazy("Estimated energy requirement 2023, second and third trimester"),
    "eer-2023-lactation": gettext_lazy("Estimated energy requirement 2023, breast-feeding"),
}
FLAG = {
    energy.OLDER_THAN_STUDIED: gettext_lazy("The equation was made from people up to 78 years of age."),
    energy.PRESENT_WEIGHT: gettext_lazy(
        "The present weight goes into it; published programs differ over whether it should be the weight before."
    ),
    energy.SEX_NOT_STATED: gettext_lazy("The sex is not stated, so both are shown."),
}
NO_EQUATION = {
    energy.NOT_KNOWN: gettext_lazy("Not computed. Missing: %(missing)s."),
    energy.TOO_YOUNG: gettext_lazy("The equation is for adults."),
    energy.NOT_FOR_CONDITION: gettext_lazy("The equation is not for pregnancy or breast-feeding."),
    energy.NO_GROUP: gettext_lazy("No equation is published for this age and condition."),
}
MEASURE = {
    "weight_kg": gettext_lazy("weight"),
    "height_cm": gettext_lazy("height"),
    "activity": gettext_lazy("how active"),
    "pregnancy_week": gettext_lazy("week of the pregnancy"),
    "weight_before_kg": gettext_lazy("weight before the pregnancy"),
    "feeding": gettext_lazy("what the child gets"),
}
NO_GROUP = {
    Condition.NONE: gettext_lazy("No reference amounts are published for this age."),
    Condition.PREGNANCY: gettext_lazy(
        "No reference amounts are published for a pregnancy at this age and sex, and none are taken from another group."
    ),
    Condition.LACTATION: gettext_lazy(
        "No reference amounts are published for breast-feeding at this age and sex, and none are taken from another "
        "group."
    ),
    Condition.BOTH: gettext_lazy(
        "The screening says pregnant and breast-feeding. No reference amounts are published for both at once: ask a "
        "clinician or dietitian."
    ),
}
GROUP = {
    "infants-0-6mo": gettext_lazy("infants under 6 months"),
    "infants-7-12mo": gettext_lazy("infants of 6 to 11 months"),
    "children-1-3": gettext_lazy("children of 1 to 3 years"),
    "children-4-8": gettext_lazy("children of 4 to 8 years"),
    "females-9-13": gettext_lazy("girls of 9 to 13 years"),
    "females-14-18": gettext_lazy("girls of 14 to 18 years"),
    "females-19-30": gettext_lazy("women of 19 to 30 years"),
    "females-31-50": gettext_lazy("women of 31 to 50 years"),
    "females-51-70": gettext_lazy("women of 51 to 70 years"),
    "females-over-70": gettext_lazy("women over 70 years"),
    "males-9-13": gettext_lazy("boys of 9 to 13 years"),
    "males-14-18": gettext_lazy("boys of 14 to 18 years"),
    "males-19-30": gettext_lazy("men of 19 to 30 years"),
    "males-31-50": gettext_lazy("men of 31 to 50 years"),
    "males-51-70": gettext_lazy("men of 51 to 70 years"),
    "males-over-70": gettext_lazy("men over 70 years"),
    "pregnancy-14-18": gettext_lazy("pregnancy at 14 to 18 years"),
    "pregnancy-19-30": gettext_lazy("pregnancy at 19 to 30 years"),
    "pregnancy-31-50": gettext_lazy("pregnancy at 31 to 50 years"),
    "lactation-14-18": gettext_lazy("breast-feeding at 14 to 18 years"),
    "lactation-19-30": gettext_lazy("breast-feeding at 19 to 30 years"),
    "lactation-31-50": gettext_lazy("breast-feeding at 31 to 50 years"),
}


def upper_words(upper: Upper) -> str:
    """Where an amount lies against the upper one, or why food is not held against that."""
    return str(ABOVE[upper.place] % {"why": WHY.get(upper.why, "")})


def no_equation_words(answer: energy.NoEquation) -> str:
    """Why there is no figure for the energy needed, and what is missing for one."""
    missing = _(", ").join(str(MEASURE[name]) for name in answer.missing)
    return str(NO_EQUATION[answer.code] % {"missing": missing})


def sure_words(sure: Confidence, *, at_least: bool) -> str:
    """How sure days like these make one of the usual intake, in whole percent and no surer than the method is."""
    percent = min(max(round(sure.share * 100), 100 - _MOST_SURE), _MOST_SURE)
    amount = _("at least %(n)d %%") if at_least or percent == _MOST_SURE else _("about %(n)d %%")
    return str(SURE[sure.against] % {"share": amount % {"n": percent}})


def energy_words(held: tuple[int, bool] | None, reference: float | None) -> str:
    """The energy of a plan at a glance, to tens of kcal, beside the reference where there is one."""
    if held is None:
        return ""
    kcal, is_whole = held
    said = _("about %(kcal)s kcal a day") if is_whole else _("at least %(kcal)s kcal a day")
    said %= {"kcal": number_format(round(kcal, -1))}
    if reference is None:
        return said
    return _("%(plan)s, where the reference is about %(kcal)s") % {
        "plan": said,
        "kcal": number_format(round(reference / 10) * 10),
    }
