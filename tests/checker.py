"""An independent checker of planned weeks.

It shares no code with the project: it reads the shipped foods, recipes and protocols as plain YAML and works out from
the rule rows, dates and facts what each eater may have, meal by meal. A household is a plain mapping::

    {"start": date, "days": 7, "slots": [...], "most_repeats": 3,
     "kitchen": {"minutes": [...], "pot_ml": 7500, "freezer": True, "at_home_min": [...], "out": {day}},
     "eaters": {key: {"born": date, "appetite": 1.0, "flags": set, "allergies": set, "excluded": set, "forbidden": set,
                      "dislikes": set, "protocol": key or None, "stages": [(date, stage)], "conditions": set,
                      "away": {(day, slot)},
                      "introductions": [{"food", "form", "first_day", "watch_until", "outcome", "left_out_until"}]}}}

``complaints(week, household)`` takes a week as its JSON record and returns every fault as a sentence. An eater's
``away`` are the (day, slot) they are not at home for; it, ``at_home_min`` and ``out`` may be left out. ``gone``, pots
by key and the date from which nothing is taken of them, and ``since``, before which what was eaten is history, are for
weeks that were revised: see ``checker_revised``.
"""

from collections import defaultdict
from datetime import date, timedelta
from fractions import Fraction
from functools import cache
from pathlib import Path

import yaml

DATA = Path(__file__).parents[1] / "plans" / "data"
IMPLIED = {"wheat": {"gluten"}}
MASS = {"g": "1", "kg": "1000", "oz": "28.349523125", "lb": "453.59237"}
VOLUME = {
    "ml": "1",
    "l": "1000",
    "tsp": "4.92892159375",
    "tbsp": "14.78676478125",
    "fl-oz": "29.5735295625",
    "cup": "236.5882365",
    "pint": "473.176473",
    "quart": "946.352946",
    "gallon": "3785.411784",
}
MOST_FRIDGE_DAYS = 4
"""Soups, stews and cooked leftovers keep three to four days: foodsafety.gov, Cold Food Storage Chart."""
WARM = {"boiled", "steamed", "stewed", "baked", "roasted", "fried", "grilled", "broth"}
SOFT = {"boiled", "steamed", "stewed", "baked", "roasted", "pureed", "minced", "grated", "broth", "juiced"}
PLANT_WORK, MEAT_WORK = {"peeled", "deseeded", "pitted"}, {"skinned", "boned"}


@cache
def foods():
    rows = _read(DATA / "foods.yaml")["foods"]
    return {row["key"]: row for row in rows}


@cache
def recipes():
    rows = [row for path in sorted((DATA / "recipes").glob("*.yaml")) for row in _read(path)["recipes"]]
    return {row["key"]: row for row in rows}


@cache
def protocol(key):
    return _read(DATA / "protocols" / f"{key}.yaml")


def _read(path):
    return yaml.load(path.read_text("utf-8"), Loader=yaml.CSafeLoader)


def words(form):
    return {word.strip() for word in str(form).split("+")}


@cache
def exact(number):
    return Fraction(str(number))


@cache
def parts(key):
    """A food and everything in it."""
    found = {key}
    for part in foods().get(key, {}).get("contains", []):
        found |= parts(part)
    return frozenset(found)


@cache
def families(key):
    own = {family for part in parts(key) for family in foods().get(part, {}).get("families", [])}
    return frozenset(own.union(*(IMPLIED.get(family, set()) for family in own)))


@cache
def limits(key, *, inherited):
    return frozenset(
        limit
        for part in (parts(key) if inherited else {key})
        for limit in foods().get(part, {}).get("limits", [])
    )


def grams(quantity, unit, key):
    """Grams of a food; None when its record does not say."""
    row = foods()[key]
    weights = row.get("unit_weights", {})
    if unit in MASS:
        return exact(quantity) * exact(MASS[unit])
    if unit in weights:
        return exact(quantity) * exact(weights[unit])
    if unit not in VOLUME:
        return None
    millilitres = exact(quantity) * exact(VOLUME[unit])
    if "density" in row:
        return millilitres * exact(row["density"])
    known = [(exact(VOLUME[name]), exact(weight)) for name, weight in weights.items() if name in VOLUME]
    return millilitres * max(known)[1] / max(known)[0] if known else None


def amount(text):
    number, _, unit = text.partition(" ")
    return number, unit.strip()


def months_old(born, on):
    """Completed months; where a month lacks the day of birth, the month is completed on the first of the next."""
    return (on.year - born.year) * 12 + on.month - born.month - (on.day < born.day)


def at_risk(eater, on):
    months = months_old(eater["born"], on)
    return months < 60 or months >= 65 * 12 or bool({"pregnant", "weak-immunity"} & eater["flags"])


def forbidden_by_age_or_condition(eater, key, form, use, on):
    """The published limits; sources stand beside them. What chokes is a piece, and a flavour is taken out again; germs
    stay in the pot."""
    months = months_old(eater["born"], on)
    of, own, flags = limits(key, inherited=True), limits(key, inherited=False), eater["flags"]
    if months < 4:
        return "solid food before four months (AAP, CDC)"
    if "honey" in of and months < 12:
        return "honey before twelve months, baked or not (CDC; INSPQ)"
    eaten = use != "flavour"
    if eaten and "whole-nuts" in own and months < 60 and not form & {"pureed", "minced"}:
        return "whole nuts before five years (UK NHS)"
    if eaten and "choking" in own and months < 48 and not form & SOFT:
        return "a choking hazard before four years (USDA MyPlate)"
    if "raw-milk" in of and at_risk(eater, on):
        return "raw milk for somebody at risk (CDC)"
    if {"raw-egg", "raw-sprouts"} & of and at_risk(eater, on) and not form & WARM:
        return "raw egg or sprouts for somebody at risk (foodsafety.gov; FDA)"
    if "liver" in of and "pregnant" in flags:
        return "liver in pregnancy (UK NHS)"
    if "high-mercury" in of and (months < 144 or flags & {"pregnant", "breastfeeding"}):
        return "fish high in mercury (FDA and EPA)"
    if "alcohol" in of and (months < 216 or flags & {"pregnant", "breastfeeding"}):
        return "alcohol (CDC)"
    return None


def stage_of(eater, on):
    reached = [stage for begun, stage in eater["stages"] if begun <= on]
    return reached[-1] if reached and eater["protocol"] else ""


def row_for(eater, key, stage):
    """The rule row that holds for a food at a stage, if any."""
    return _row(eater["protocol"], key, stage)


@cache
def _row(followed, key, stage):
    plan = protocol(followed)
    number = {row["key"]: place for place, row in enumerate(plan["stages"])}
    own = [row for row in plan["rules"] if row.get("food") == key]
    rows = own or [row for row in plan["rules"] if row.get("group") == foods()[key]["group"]]
    held = [row for row in rows if number[row["stage"]] <= number[stage]]
    return max(held, key=lambda row: number[row["stage"]]) if held else None


def since_a_reaction(eater, key, on):
    """The introductions that bear on a food, begun after the last reaction to it or to anything in it."""
    told = [
        tried
        for tried in sorted(eater["introductions"], key=lambda tried: tried["first_day"])
        if tried["first_day"] <= on and tried["food"] in parts(key)
    ]
    reactions = [place for place, tried in enumerate(told) if tried["outcome"] == "reacted"]
    return [tried for tried in told[reactions[-1] + 1 if reactions else 0 :] if tried["food"] == key]


def being_tried(tried, on):
    return tried["outcome"] == "open" and tried["first_day"] <= on <= tried["watch_until"]


def begun_and_well(eater, key, on):
    """The first days of a food's introductions that are open or went well."""
    return [
        tried["first_day"]
        for tried in since_a_reaction(eater, key, on)
        if tried["outcome"] == "tolerated" or being_tried(tried, on)
    ]


def challenges_of(eater, key, on):
    """The planned challenges of a food at an eater's stage."""
    stage = stage_of(eater, on)
    planned = protocol(eater["protocol"]).get("challenges", []) if stage else []
    return [row for row in planned if row["stage"] == stage and row["food"] == key]


def dose_g(eater, key, on):
    """The grams of a planned challenge for a day: None when none is on, zero on the days without the food."""
    dose = None
    for tried in since_a_reaction(eater, key, on):
        for row in challenges_of(eater, key, on):
            if being_tried(tried, on) and words(row["form"]) == words(tried["form"]):
                day = (on - tried["first_day"]).days
                given = row["doses"][min(day, len(row["doses"]) - 1)] if day < row["dose_days"] else "0 g"
                dose = grams(*amount(given), key)
    return dose


def most_g(eater, key, on):
    """The most grams of a food on a day, as a challenge or a first taste has it; None when neither caps it."""
    dose = dose_g(eater, key, on)
    if dose is not None:
        return dose
    stage = stage_of(eater, on)
    row = row_for(eater, key, stage) if stage else None
    return first_taste_g(eater, key, row, on) if row and row["allowance"] == "first tastes" else None


def first_taste_g(eater, key, row, on):
    """The most of a first taste on a day, in grams."""
    days = (on - max(begun_and_well(eater, key, on), default=on)).days
    sizes = {name: grams(*amount(row.get(name, "0 g")), key) for name in ("start", "step", "most")}
    most = sizes["start"] + days // row.get("every_days", 1) * sizes["step"]
    return min(most, sizes["most"] or sizes["start"])


def asked_by_conditions(eater, key):
    """(word, needed form words) of every modifier that meets a food."""
    return [
        (word, needed)
        for when, word, needed in _modifiers(eater["protocol"], key)
        if when in eater["conditions"]
    ]


@cache
def _modifiers(followed, key):
    return tuple(_modifiers_that_meet(protocol(followed), key))


def forget_rows():
    """Have every row looked up afresh, for those who measure how long that takes."""
    _row.cache_clear()
    _modifiers.cache_clear()


def _modifiers_that_meet(plan, key):
    row = foods()[key]
    for modifier in plan.get("modifiers", []):
        needed = words(modifier["require"]) if "require" in modifier else set()
        if modifier.get("all"):
            plant, meat = row["aisle"] in ("vegetables", "fruit"), row["aisle"] in ("meat", "fish")
            if needed and not (
                plant if needed & PLANT_WORK else meat if needed & MEAT_WORK else plant or meat
            ):
                continue
        elif modifier.get("food") != key and modifier.get("group") != row["group"]:
            continue
        yield modifier["when"], modifier.get("allowance", "freely"), needed


def opened_by_introduction(eater, key, form, on):
    """Whether the food is being introduced, or was tolerated, in this form. While challenges are planned with it, what
    was tolerated stays out until all are tested."""
    waits = bool(challenges_of(eater, key, on))
    return any(
        words(tried["form"]) <= form
        and (being_tried(tried, on) or (tried["outcome"] == "tolerated" and not waits))
        for tried in since_a_reaction(eater, key, on)
    )


def kept_out(eater, key, on):
    """Whether a reaction keeps a food out."""
    return any(
        tried["outcome"] == "reacted"
        and tried["first_day"] <= on
        and tried["food"] in parts(key)
        and (tried["left_out_until"] is None or on < tried["left_out_until"])
        for tried in eater["introductions"]
    )


def why_not(eater, key, form, use, on):
    """Why an eater may not have a food so on a day; None when they may."""
    if families(key) & eater["allergies"]:
        return "an allergy"
    if parts(key) & (eater["excluded"] | eater["forbidden"]):
        return "an exclusion"
    limit = forbidden_by_age_or_condition(eater, key, form, use, on)
    if limit:
        return limit
    stage = stage_of(eater, on)
    asked = _modified(eater, key) if stage else []
    if any(word == "not yet" for word, _ in asked):
        return "closed by a condition"
    if dose_g(eater, key, on) == 0:
        return "a day without what is tested"
    if opened_by_introduction(eater, key, form, on):
        return _less_than_asked(asked, form, use)
    if kept_out(eater, key, on):
        return "a reaction"
    if not stage:
        return None
    row = row_for(eater, key, stage)
    if row is None or row["allowance"] == "not yet":
        return f"not open at {stage}"
    if row["allowance"] == "first tastes" and not begun_and_well(eater, key, on):
        return "a first taste that no introduction has begun"
    asked = [(row["allowance"], [words(text) for text in row.get("forms", [])]), *asked]
    return _less_than_asked(asked, form, use)


def _less_than_asked(asked, form, use):
    if use == "flavour":
        bound = [forms for given, forms in asked if given in ("flavour only", "first tastes")]
        return None if all(_met(form, forms) for forms in bound) else "not in this form as a flavour"
    if any(word == "flavour only" for word, _ in asked):
        return "flavour only"
    return None if all(_met(form, forms) for _, forms in asked) else "not in this form"


def _modified(eater, key):
    return [(word, [needed] if needed else []) for word, needed in asked_by_conditions(eater, key)]


def _met(form, forms):
    return not forms or any(needed <= form for needed in forms)


def complaints(week, household):
    """Every fault of a week, as sentences."""
    cooks = {cook["key"]: cook for cook in week["cooks"]}
    found = []
    found += _meals(week, household)
    found += what_is_eaten(week, household)
    found += _pots(week, household)
    found += _minutes(week, household)
    found += _at_home(week, cooks, household)
    found += _stock(week, cooks, household)
    found += _repeats(week, cooks, household)
    return found


def what_is_eaten(week, household):
    """The faults of plates and of the pots they come from, whether or not they make up a week."""
    cooks = {cook["key"]: cook for cook in week["cooks"]}
    for plate in week["plates"]:
        yield from _plate(plate, cooks, household)
    yield from _first_tastes(week, cooks, household)
    for cook in week["cooks"]:
        yield from _shared(cook, [plate for plate in week["plates"] if plate["cook"] == cook["key"]])


def _meals(week, household):
    wanted = {
        (household["start"] + timedelta(days=day), slot, eater)
        for day in range(household["days"])
        for slot in household["slots"]
        for eater, facts in household["eaters"].items()
        if (day, slot) not in facts.get("away", ())
    }
    served = [(date.fromisoformat(plate["on"]), plate["slot"], plate["eater"]) for plate in week["plates"]]
    if len(served) != len(set(served)):
        yield "somebody has two plates at one meal"
    if set(served) != wanted:
        yield f"meals missing or too many: {sorted(set(served) ^ wanted)[:3]}"


def _plate(plate, cooks, household):
    eater, on = household["eaters"][plate["eater"]], date.fromisoformat(plate["on"])
    cook = cooks.get(plate["cook"])
    where = f"{plate['on']} {plate['slot']} {plate['eater']} {plate['cook']}"
    if cook is None:
        yield f"{where}: no such pot"
        return
    recipe = recipes()[cook["recipe"]]
    if plate["slot"] not in recipe["slots"]:
        yield f"{where}: not a dish for this meal"
    if exact(plate["portions"]) != exact(eater["appetite"]):
        yield f"{where}: {plate['portions']} portions for an appetite of {eater['appetite']}"
    if plate["source"] != _source(
        recipe, (on - date.fromisoformat(cook["on"])).days, household["kitchen"]["freezer"]
    ):
        yield f"{where}: cannot be {plate['source']}"
    leavable = {row["food"] for row in recipe["ingredients"] if row.get("use", "base") != "base"}
    if not set(plate["without"]) <= leavable:
        yield f"{where}: leaves out what cannot be left out"
    for row in recipe["ingredients"]:
        if row["food"] in plate["without"] and row.get("use", "base") != "base":
            continue
        why = why_not(eater, row["food"], words(row["form"]), row.get("use", "base"), on)
        if why:
            yield f"{where}: {row['food']} ({row['form']}): {why}"


def _source(recipe, age, freezer):
    if age == 0:
        return "fresh"
    if age < 0 or not recipe.get("batch"):
        return "impossible"
    if age <= min(recipe["fridge_days"], MOST_FRIDGE_DAYS):
        return "kept"
    return "thawed" if freezer and age <= recipe["freezer_days"] else "impossible"


def _first_tastes(week, cooks, household):
    eaten = defaultdict(Fraction)
    for plate in week["plates"]:
        recipe = recipes()[cooks[plate["cook"]]["recipe"]]
        for row in recipe["ingredients"]:
            use = row.get("use", "base")
            if use == "flavour" or (use != "base" and row["food"] in plate["without"]):
                continue
            weight = grams(row["quantity"], row["unit"], row["food"])
            if weight is not None:
                share = exact(plate["portions"]) / exact(recipe["servings"])
                eaten[plate["eater"], plate["on"], row["food"]] += weight * share
    for (key, on, food), total in eaten.items():
        most = most_g(household["eaters"][key], food, date.fromisoformat(on))
        if most is not None and total > most:
            yield f"{key} on {on}: {float(total):.1f} g of {food}, no more than {float(most):.1f} g"


def _pots(week, household):
    for cook in week["cooks"]:
        recipe, portions = recipes()[cook["recipe"]], exact(cook["portions"])
        if (portions * 2).denominator != 1 or portions <= 0:
            yield f"{cook['key']}: {portions} is not in half portions"
        quantity, unit = amount(recipe["portion"])
        room = exact(quantity) * exact(MASS.get(unit) or VOLUME[unit])
        if room * portions > household["kitchen"]["pot_ml"]:
            yield f"{cook['key']}: does not fit into the largest pot"
        plates = [plate for plate in week["plates"] if plate["cook"] == cook["key"]]
        if sum(exact(plate["portions"]) for plate in plates) > portions:
            yield f"{cook['key']}: more is eaten than was cooked"


def _shared(cook, plates):
    lines = recipes()[cook["recipe"]]["ingredients"]
    in_the_pot = {row["food"] for row in lines if row.get("use") in ("optional", "flavour")}
    if not set(cook["without"]) <= in_the_pot:
        yield f"{cook['key']}: the pot lacks what cannot be left out"
    if any(in_the_pot & set(plate["without"]) != set(cook["without"]) for plate in plates):
        yield f"{cook['key']}: something is in the pot for one and not for another"


def _minutes(week, household):
    work = defaultdict(list)
    for cook in week["cooks"]:
        work[date.fromisoformat(cook["on"])].append(recipes()[cook["recipe"]])
    for on, dishes in work.items():
        day = (on - household["start"]).days
        if day == -1:
            if len(dishes) > 1 or dishes[0]["kind"] != "stock":
                yield "the day before the week is for one pot of stock"
        elif not 0 <= day < household["days"]:
            yield f"cooking outside the week on {on}"
        elif sum(dish["hands_on_min"] for dish in dishes) > household["kitchen"]["minutes"][day]:
            yield f"too little time on {on}"


def _at_home(week, cooks, household):
    """No pot takes longer than somebody is at home. On days out, save the first, nobody cooks for its midday,
    nor for a mug."""
    longest = dict(enumerate(household["kitchen"].get("at_home_min", ())))
    for cook in week["cooks"]:
        takes, day = recipes()[cook["recipe"]]["elapsed_min"], _day(cook["on"], household)
        if takes > longest.get(day, takes):
            yield f"{cook['key']}: takes {takes} minutes, and nobody is at home that long"
    for plate in week["plates"]:
        cooked, dish = cooks[plate["cook"]]["on"], recipes()[cooks[plate["cook"]]["recipe"]]
        if (
            (cooked, plate["slot"]) == (plate["on"], "mug")
            and dish.get("makes")
            and dish["elapsed_min"] > 240
        ):
            yield f"{plate['on']} mug: the stock of the day takes too long for it"
        out = _day(plate["on"], household) in {*household["kitchen"].get("out", ())} - {0}
        if out and cooked == plate["on"] and plate["slot"] in ("mug", "midday"):
            yield f"{plate['on']} {plate['slot']}: cooked on a day when everybody is out"


def _day(iso, household):
    return (date.fromisoformat(iso) - household["start"]).days


def _stock(week, cooks, household):
    """Every stock that a recipe can make is drawn from a pot fresh enough that suits whoever eats it, never short. None
    is drawn from a pot that the dish is said not to be made with."""
    makers = {recipe["makes"] for recipe in recipes().values() if recipe.get("makes")}
    gone = household.get("gone", {})
    for food in makers:
        pots = []
        for cook in sorted(week["cooks"], key=lambda cook: cook["on"]):
            recipe = recipes()[cook["recipe"]]
            if recipe.get("makes") == food:
                recipe = recipe | {"left_out": cook["without"], "gone": gone.get(cook["key"], date.max)}
                quantity, unit = amount(recipe["portion"])
                mugs = sum(
                    exact(plate["portions"]) for plate in week["plates"] if plate["cook"] == cook["key"]
                )
                spare = (exact(cook["portions"]) - mugs) * exact(quantity) * exact(VOLUME[unit])
                pots.append([date.fromisoformat(cook["on"]), recipe, spare])
        for cook in sorted(week["cooks"], key=_in_turn):
            yield from _draw(cook, food, pots, week, household)


def _in_turn(cook):
    """By day, breakfasts first: stock that is cooked on the day is not ready for them."""
    return cook["on"], "breakfast" not in recipes()[cook["recipe"]]["slots"]


def _draw(cook, food, pots, week, household):
    recipe, on = recipes()[cook["recipe"]], date.fromisoformat(cook["on"])
    lines = [row for row in recipe["ingredients"] if row["food"] == food and not recipe.get("makes")]
    wanted = sum(
        (grams(row["quantity"], row["unit"], food) / exact(foods()[food]["density"]) for row in lines),
        Fraction(0),
    )
    wanted *= exact(cook["portions"]) / exact(recipe["servings"])
    if not wanted:
        return
    barred = {why["facts"]["on"] for why in cook.get("why", ()) if why["code"] == "not-the-stock-of"}
    usable = [
        pot
        for pot in sorted(pots, key=lambda pot: pot[1]["gone"])
        if on < pot[1]["gone"]
        and pot[0].isoformat() not in barred
        and (pot[0] < on or "breakfast" not in recipe["slots"])
        and _source(pot[1], (on - pot[0]).days, household["kitchen"]["freezer"]) != "impossible"
    ]
    for pot in usable:
        taken = min(wanted, pot[2])
        pot[2] -= taken
        wanted -= taken
    if wanted > 0:
        yield f"{cook['key']}: {float(wanted):.0f} ml of {food} short"
    for plate in (plate for plate in week["plates"] if plate["cook"] == cook["key"]):
        eater, day = household["eaters"][plate["eater"]], date.fromisoformat(plate["on"])
        if day < household.get("since", date.min):
            continue
        for pot in usable:
            for row in pot[1]["ingredients"]:
                use = row.get("use", "base")
                inside = use == "base" or (use != "plate" and row["food"] not in pot[1]["left_out"])
                why = inside and why_not(eater, row["food"], words(row["form"]), use, day)
                if why:
                    yield f"{plate['eater']} on {day}: {row['food']} in the {food} of {cook['key']}: {why}"


def _repeats(week, cooks, household):
    times = defaultdict(int)
    for plate in week["plates"]:
        if plate["slot"] in ("midday", "evening"):
            times[plate["eater"], recipes()[cooks[plate["cook"]]["recipe"]]["main"]] += 1
    for (eater, main), count in times.items():
        if count > household["most_repeats"]:
            yield f"{eater} has {main} {count} times"
