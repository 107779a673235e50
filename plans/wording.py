"""The book's closed words, and the reasons the engine gives, as people read them."""

from collections.abc import Callable, Iterable
from datetime import date

from django.utils.formats import date_format, number_format
from django.utils.translation import gettext, ngettext_lazy
from django.utils.translation import gettext_lazy as _

from plans.domain.brief import Reason
from plans.domain.ingredient_lines import Doubt
from plans.domain.vocabulary import Allowance, Slot, Use

ALLOWANCE = {
    Allowance.NOT_YET: _("Not yet"),
    Allowance.FLAVOUR_ONLY: _("Flavour only"),
    Allowance.FIRST_TASTES: _("First tastes"),
    Allowance.AS_PREPARED: _("As prepared"),
    Allowance.FREELY: _("Freely"),
}
ALLOWANCE_MEANS = {
    Allowance.NOT_YET: _("leave it out"),
    Allowance.FLAVOUR_ONLY: _("cook it in and take it out"),
    Allowance.FIRST_TASTES: _("begin small and step up while all is well"),
    Allowance.AS_PREPARED: _("only in the forms named"),
    Allowance.FREELY: _("as it comes"),
}
NUTRIENT = {
    "energy_kcal": _("Energy"),
    "protein_g": _("Protein"),
    "fat_g": _("Fat"),
    "carb_g": _("Carbohydrate"),
    "fibre_g": _("Fibre"),
    "calcium_mg": _("Calcium"),
    "iron_mg": _("Iron"),
    "magnesium_mg": _("Magnesium"),
    "potassium_mg": _("Potassium"),
    "sodium_mg": _("Sodium"),
    "zinc_mg": _("Zinc"),
    "vit_a_rae_ug": _("Vitamin A, retinol equivalents"),
    "vit_c_mg": _("Vitamin C"),
    "vit_d_ug": _("Vitamin D"),
    "vit_e_mg": _("Vitamin E"),
    "vit_k_ug": _("Vitamin K, phylloquinone"),
    "thiamin_mg": _("Thiamin"),
    "riboflavin_mg": _("Riboflavin"),
    "niacin_mg": _("Niacin"),
    "b6_mg": _("Vitamin B6"),
    "folate_ug": _("Folate"),
    "b12_ug": _("Vitamin B12"),
    "choline_mg": _("Choline"),
    "selenium_ug": _("Selenium"),
}
AISLE = {
    "vegetables": _("Vegetables"),
    "fruit": _("Fruit"),
    "herbs-spices": _("Herbs and spices"),
    "meat": _("Meat and poultry"),
    "fish": _("Fish"),
    "eggs-dairy": _("Eggs and dairy"),
    "fats": _("Fats and oils"),
    "pantry": _("Pantry"),
    "drinks": _("Drinks"),
    "frozen": _("Frozen"),
    "home-made": _("Home-made"),
}
LIMIT = {
    "honey": _("honey"),
    "whole-nuts": _("whole nuts"),
    "choking": _("can choke a small child"),
    "raw-milk": _("raw milk"),
    "raw-sprouts": _("raw sprouts"),
    "raw-egg": _("raw egg"),
    "liver": _("liver"),
    "high-vitamin-k": _("rich in vitamin K"),
    "high-mercury": _("fish high in mercury"),
    "alcohol": _("alcohol"),
}
DATA_TYPE = {
    "foundation_food": _("USDA FoodData Central, Foundation Foods"),
    "sr_legacy_food": _("USDA FoodData Central, SR Legacy"),
    "survey_fndds_food": _("USDA FoodData Central, Survey Foods"),
    "own": _("figures of your own"),
}
SLOT = {
    Slot.BREAKFAST: _("Breakfast"),
    Slot.MUG: _("Mug"),
    Slot.MIDDAY: _("Midday"),
    Slot.EVENING: _("Evening"),
}
KIND = {"main": _("Main dish"), "breakfast": _("Breakfast"), "stock": _("Stock"), "side": _("Side dish")}
USE = {
    Use.BASE: _("in the pot"),
    Use.PLATE: _("per plate; may be left off one plate"),
    Use.OPTIONAL: _("may be left out of the whole pot"),
    Use.FLAVOUR: _("cooked in and taken out"),
}
CONDITION = {
    "loose-stools": _("Loose stools"),
    "constipation": _("Constipation"),
    "reflux": _("Reflux"),
    "nausea": _("Nausea"),
    "flare": _("A flare: any symptom at 7 or more"),
}
LEAD_IN_KIND = {
    "use-up": _("Use up"),
    "shop": _("Shop"),
    "culture": _("Culture"),
    "render": _("Render"),
    "cook": _("Cook"),
    "freeze": _("Freeze"),
    "ready": _("Get ready"),
}
FAMILY = {
    "milk": _("milk"),
    "egg": _("egg"),
    "fish": _("fish"),
    "crustacean": _("crustaceans"),
    "mollusc": _("molluscs"),
    "tree-nut": _("tree nuts"),
    "peanut": _("peanut"),
    "wheat": _("wheat"),
    "gluten": _("gluten"),
    "soy": _("soy"),
    "sesame": _("sesame"),
    "celery": _("celery"),
    "mustard": _("mustard"),
    "lupin": _("lupin"),
    "sulphite": _("sulphites"),
}
DOUBT = {
    Doubt.NO_QUANTITY: _("No amount was found."),
    Doubt.RANGE: _("The line gives a range; the first amount is taken."),
    Doubt.NO_FOOD: _("No food of the book is like this one."),
    Doubt.FOOD_GUESSED: _("The food is the nearest in the book. Is it the same?"),
    Doubt.NOT_WEIGHABLE: _("The book does not say what this unit weighs. Give grams."),
    Doubt.NO_FORM: _("Say how it is cooked."),
}
FORM = {
    "raw": _("raw"),
    "broth": _("in broth"),
    "boiled": _("boiled"),
    "steamed": _("steamed"),
    "stewed": _("stewed"),
    "baked": _("baked"),
    "roasted": _("roasted"),
    "fried": _("fried"),
    "grilled": _("grilled"),
    "fermented": _("fermented"),
    "culture-liquid": _("the live liquid alone"),
    "cultured": _("cultured"),
    "dried": _("dried"),
    "juiced": _("as juice"),
    "rendered": _("rendered"),
    "infused": _("as tea"),
    "peeled": _("peeled"),
    "deseeded": _("seeds out"),
    "pureed": _("puréed"),
    "minced": _("minced"),
    "grated": _("grated"),
    "soaked": _("soaked"),
    "boned": _("bones out"),
    "skinned": _("skin off"),
    "strained": _("strained"),
    "yolk-only": _("yolk only"),
    "pitted": _("stone out"),
}

_WHILE = {
    "loose-stools": _("while stools are loose"),
    "constipation": _("while constipated"),
    "reflux": _("while there is reflux"),
    "nausea": _("while there is nausea"),
    "flare": _("while symptoms flare"),
}
_MEAL = {
    Slot.BREAKFAST: _("breakfast"),
    Slot.MUG: _("mug of stock"),
    Slot.MIDDAY: _("midday meal"),
    Slot.EVENING: _("evening meal"),
}
_OF_A_FOOD = {
    "no-protocol": _("freely: no protocol is followed on this day"),
    "freely": _("freely since %(stage)s"),
    "as-prepared": _("since %(stage)s, as prepared: %(forms)s"),
    "flavour-only": _("since %(stage)s for flavour only: cook it in and take it out"),
    "first-tastes": _("first tastes since %(stage)s: no more than %(most_g)s g on this day"),
    "first-tastes-untried": _(
        "first tastes since %(stage)s: ready to be introduced, beginning with %(most_g)s g"
    ),
    "opens-at": _("not yet: opens at %(stage)s"),
    "not-in-protocol": _("not yet: the protocol does not open it"),
    "form-not-open": _("not yet in this form, only: %(forms)s"),
    "condition": _("not %(condition)s"),
    "condition-flavour": _("for flavour only %(condition)s"),
    "condition-form": _("%(forms)s %(condition)s"),
    "condition-tastes": _("a first taste at most %(condition)s"),
    "one-at-a-time": _("not yet: %(food)s is being watched until %(until)s, and one new food at a time"),
    "washout": _("nothing of it on this day: its doses are over, and it is watched until %(until)s"),
    "introduction": _("being introduced, %(form)s, from %(first_day)s, and watched until %(until)s"),
    "tolerated": _("tolerated, %(form)s, when it was introduced on %(first_day)s"),
    "left-out": _("left out until %(until)s: there was a reaction to %(food)s, tried on %(tried)s"),
    "reacted": _("left out: there was a reaction to %(food)s, tried on %(tried)s"),
    "allergy": _("never: allergy to %(family)s"),
    "excluded": _("left out: %(food)s is excluded"),
    "clinician": _("left out on a clinician’s instruction: %(food)s"),
    "milk-only": _("not yet: nothing but milk before %(months)d months of age"),
    "honey-under-one": _("never before twelve months of age, also baked: honey can carry infant botulism"),
    "sugar-under-two": _("added sugar is not advised before two years of age"),
    "nuts-under-five": _("before five years of age only %(forms)s: whole nuts can choke"),
    "choking-under-four": _("before four years of age only %(forms)s: it can choke"),
    "raw-milk": _("not raw milk for young children, in pregnancy, from 65 years or with weak immunity"),
    "raw-sprouts": _(
        "only cooked (%(forms)s) for young children, in pregnancy, from 65 years or with weak immunity"
    ),
    "raw-egg": _(
        "only cooked firm (%(forms)s) for young children, in pregnancy, from 65 years or with weak immunity"
    ),
    "liver-in-pregnancy": _("no liver in pregnancy: too much vitamin A"),
    "liver-for-children": _("little liver for children: much vitamin A"),
    "high-mercury": _("no fish high in mercury in pregnancy, while breast-feeding or for children"),
    "alcohol": _("no alcohol in pregnancy, while breast-feeding or before 18 years of age"),
    "vitamin-k-steady": _(
        "rich in vitamin K: with warfarin keep the amount steady and tell the clinic of changes"
    ),
}
_OF_A_POT = {
    "feeds-all": ngettext_lazy(
        "feeds everyone at %(meals)d meal", "feeds everyone at %(meals)d meals", "meals"
    ),
    "feeds-some": ngettext_lazy(
        "feeds %(eaters)s at %(meals)d meal", "feeds %(eaters)s at %(meals)d meals", "meals"
    ),
    "stock-for": _("stock: mugs %(mugs)d, dishes that draw on it %(dishes)d"),
    "lasts-until": _("the last of it is eaten on %(on)s"),
    "calm-day": _("a day with time: %(minutes)d minutes"),
    "short-day": _("needed although the day is short: %(minutes)d minutes"),
    "cooked-ahead": _("cooked the day before the week begins"),
    "uses-up": _("uses up %(grams)d g of %(food)s, good until %(on)s"),
    "uses-stored": _("uses %(grams)d g of %(food)s that is in the house"),
    "gives-much": _(
        "%(nutrient)s would run low without it: it gives %(percent)d %% of what is needed in the week"
    ),
}
_OF_NO_WEEK = {
    "no-recipe": ngettext_lazy(
        "%(eater)s, %(slot)s, %(on)s: the book has no recipe for this meal",
        "%(eater)s, %(slot)s, %(days)d days from %(on)s: the book has no recipe for this meal",
        "days",
    ),
    "every-dish-needs": ngettext_lazy(
        "%(eater)s, %(slot)s, %(on)s: every one of %(dishes)d dishes needs %(food)s, which is not open",
        "%(eater)s, %(slot)s, %(days)d days from %(on)s: every one of %(dishes)d dishes needs %(food)s, "
        "which is not open",
        "days",
    ),
    "no-dish-open": ngettext_lazy(
        "%(eater)s, %(slot)s, %(on)s: none of %(dishes)d dishes is open; %(food)s stands in the way most often",
        "%(eater)s, %(slot)s, %(days)d days from %(on)s: none of %(dishes)d dishes is open; %(food)s stands in the "
        "way most often",
        "days",
    ),
    "stock-not-for-all": ngettext_lazy(
        "%(eater)s, %(slot)s, %(on)s: no recipe for %(food)s suits everyone at the table",
        "%(eater)s, %(slot)s, %(days)d days from %(on)s: no recipe for %(food)s suits everyone at the table",
        "days",
    ),
    "stock-not-there": ngettext_lazy(
        "%(eater)s, %(slot)s, %(on)s: no pot of %(food)s, which the dishes need, can be cooked by then",
        "%(eater)s, %(slot)s, %(days)d days from %(on)s: no pot of %(food)s, which the dishes need, can be cooked "
        "by then",
        "days",
    ),
    "no-dish-left": ngettext_lazy(
        "%(eater)s, %(slot)s, %(on)s: no dish can be had",
        "%(eater)s, %(slot)s, %(days)d days from %(on)s: no dish can be had",
        "days",
    ),
    "pot-too-small": ngettext_lazy(
        "%(eater)s, %(slot)s, %(on)s: the largest pot holds %(pot_ml)s l, and %(needed_ml)s l are needed",
        "%(eater)s, %(slot)s, %(days)d days from %(on)s: the largest pot holds %(pot_ml)s l, and %(needed_ml)s l are "
        "needed",
        "days",
    ),
    "too-little-time": _(
        "%(on)s has %(minutes)d minutes, and the shortest dish for the %(slot)s takes %(shortest)d"
    ),
    "too-many-dishes-for-the-time": _(
        "%(on)s has %(minutes)d minutes, and the dishes for %(slots)s together take at least %(needed)d"
    ),
    "dish-needs-stock": _(
        "%(dish)s takes %(takes)d minutes and needs %(food)s, which has to be cooked first"
    ),
    "stock-first": _("stock has to be cooked first"),
    "few-dishes": ngettext_lazy(
        "there is only %(dishes)d dish for %(eaters)s at %(meals)d meals, and none may come more than %(most)d times",
        "there are only %(dishes)d dishes for %(eaters)s at %(meals)d meals, and none may come more than %(most)d "
        "times",
        "dishes",
    ),
    "meal-wanted": _("the %(slot)s of %(eater)s on %(on)s"),
    "meals-wanted": _("%(meals)d meals of %(eaters)s (%(slots)s) from %(on)s to %(last)s"),
    "meals-wanted-on": _("%(meals)d meals of %(eaters)s (%(slots)s) on %(on)s"),
    "minutes-given": _("%(on)s has %(minutes)d minutes"),
    "home-given": _("on %(on)s nobody is at home for more than %(minutes)d minutes in one go"),
    "out-at-midday": _("on %(on)s nobody cooks at midday"),
    "most-repeats": _("no dish may come more than %(most)d times"),
    "pot-given": _("the largest pot holds %(pot_ml)s l"),
    "no-freezer": _("there is no freezer"),
    "one-pot-ahead": _("only one pot of stock can be cooked the day before the week"),
    "tastes-given": _("the first tastes of %(eaters)s have a most for the day"),
    "closed": _("not open"),
    "none-found": _("no week was found in the time there is for looking"),
    "not-proven": _("this is the least that was found to be in the way; there may be another way"),
    "not-smallest": _(
        "each of these facts is needed to stand in the way; there may be a shorter list of others"
    ),
    "leave-meal-out": ngettext_lazy(
        "leave the %(slot)s of %(eater)s unplanned on %(on)s",
        "leave the %(slot)s of %(eater)s unplanned for %(days)d days from %(on)s",
        "days",
    ),
    "larger-pot": _("use a pot of at least %(needed_ml)s l"),
    "more-minutes": _("find %(minutes)d more minutes on %(on)s"),
    "repeat-mains": _("let dishes come up to %(times)d times"),
    "a-freezer": _("have a freezer"),
    "longer-at-home": _("have somebody at home for %(minutes)d minutes in one go on %(on)s"),
    "midday-at-home": _("cook at midday on %(on)s"),
    "wait-for-stage": _("wait until %(food)s opens for %(eaters)s at %(stage)s"),
}
_OF_A_REVISION = {
    "in-place-of": _("in place of %(dish)s"),
    "moved-from": _("moved here from %(on)s"),
    "resized": _("%(after)s portions in place of %(before)s"),
    "not-the-stock-of": _("not with the stock of %(on)s, which does not suit everyone any more"),
    "lock-food-gone": _(
        "the %(slot)s on %(on)s is to stay %(dish)s, which cannot be cooked any more without %(food)s"
    ),
    "lock-pot-gone": _("the %(slot)s on %(on)s is to stay %(dish)s, and the pot it comes from has gone"),
    "lock-dish-gone": _(
        "the %(slot)s on %(on)s is to stay %(dish)s, which the book cannot make for this table any more"
    ),
    "lock-not-open": _(
        "the %(slot)s on %(on)s is to stay %(dish)s, and %(food)s in it is not open to %(eater)s on that day"
    ),
    "lock-unwanted": _("the %(slot)s on %(on)s is to stay as it is, and yet not to be %(dish)s"),
    "lock-against-wish": _("the %(slot)s on %(on)s is to stay %(dish)s, and yet to be %(wanted)s"),
    "lock-in-the-way": _("the %(slot)s on %(on)s cannot stay as it is with the rest of the week"),
    "wish-suits-nobody": _("%(dish)s suits nobody who is at the %(slot)s on %(on)s"),
    "wish-food-gone": _(
        "%(dish)s for the %(slot)s on %(on)s cannot be cooked any more: it takes %(food)s, which has gone"
    ),
    "wishes-collide": _(
        "the %(slot)s on %(on)s cannot be %(dish)s and %(wanted)s for one and the same eater"
    ),
    "wish-in-the-way": _("%(dish)s for the %(slot)s on %(on)s does not fit in with the rest of the week"),
    "ban-in-the-way": _(
        "without %(dish)s there is nothing for the %(slot)s on %(on)s with the rest of the week"
    ),
    "food-gone-in-the-way": _("from %(on)s there is no %(food)s, and without it the week does not come out"),
    "get-food-again": _("have %(food)s in the house again on %(on)s"),
    "unlock-meal": _("let the %(slot)s on %(on)s change"),
    "drop-wish": _("have something other than %(dish)s for the %(slot)s on %(on)s"),
    "allow-dish": _("have %(dish)s for the %(slot)s on %(on)s after all"),
}
_OF_A_TIGHT_WEEK = {
    "few-minutes-left": _("%(on)s has %(minutes)d minutes, of which %(left)d are left"),
    "few-minutes-left-saves": _(
        "%(on)s has %(minutes)d minutes, of which %(left)d are left; %(more)d more could have saved about %(saves)d "
        "points"
    ),
    "repeats-at-most": _("%(dish)s comes %(most)d times, which is the most"),
    "repeats-at-most-saves": _(
        "%(dish)s comes %(most)d times, which is the most; once more could have saved about %(saves)d points"
    ),
    "one-dish-open": ngettext_lazy(
        "%(eaters)s, %(slot)s, %(on)s: only %(dish)s was open",
        "%(eaters)s, %(slot)s, %(days)d days from %(on)s: only %(dish)s was open",
        "days",
    ),
}
_SAID = _OF_A_FOOD | _OF_A_POT | _OF_NO_WEEK | _OF_A_REVISION | _OF_A_TIGHT_WEEK


def say(reason: Reason) -> str:
    """One reason of the engine as a person reads it: a clause without a full stop, then its note if it has one.

    Raises KeyError for a code that has no wording.
    """
    facts = {
        name: _FACT_SAID[name](fact) if name in _FACT_SAID else fact for name, fact in reason.facts.items()
    }
    said = str(_SAID[reason.code] % facts)
    return f"{said}. {facts['note']}" if facts.get("note") else said


def forms_said(forms: str) -> str:
    """The forms of a reason, ``boiled + peeled; pureed``, in words: ``boiled and peeled, or puréed``."""
    choices = [[str(FORM[word]) for word in form.split(" + ")] for form in forms.split("; ") if form]
    return gettext(", or ").join(gettext(" and ").join(words) for words in choices)


def _day(iso: str | int) -> str:
    return date_format(date.fromisoformat(str(iso)), gettext("j F"))


def _weekday(iso: str | int) -> str:
    return date_format(date.fromisoformat(str(iso)), gettext("l j F"))


def _listed(words: Iterable[str]) -> str:
    return gettext(" and ").join(words)


def _litres(millilitres: str | int) -> str:
    return number_format(round(int(millilitres) / 1000, 1))


_FACT_SAID: dict[str, Callable[[str | int], str]] = {
    "after": lambda portions: number_format(str(portions)),
    "before": lambda portions: number_format(str(portions)),
    "condition": lambda condition: str(_WHILE[str(condition)]),
    "family": lambda family: str(FAMILY[str(family)]),
    "first_day": _day,
    "form": lambda form: forms_said(str(form)),
    "forms": lambda forms: forms_said(str(forms)),
    "nutrient": lambda nutrient: str(NUTRIENT[str(nutrient)]),
    "needed_ml": _litres,
    "on": _weekday,
    "pot_ml": _litres,
    "last": _weekday,
    "slot": lambda slot: str(_MEAL[Slot(str(slot))]),
    "slots": lambda slots: _listed(
        gettext("the %(meal)s") % {"meal": _MEAL[Slot(slot)]} for slot in str(slots).split(",")
    ),
    "tried": _day,
    "until": _day,
}
