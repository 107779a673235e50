"""The independent checker for weeks that were revised: it shares no code with the project either.

A request is a plain mapping, days and slots as numbers and words::

    {"from_day": 2, "eaten": ["breakfast"], "locked": [(4, "evening")],
     "wanted": [(5, "evening", recipe)], "unwanted": [...],
     "gone_foods": {food: day}, "gone_cooks": {cook key: day}}

``complaints(week, shown, request, household)`` takes both weeks as JSON records and returns every fault as a sentence.
"""

from datetime import timedelta

from tests import checker
from tests.checker import exact, recipes, words


def complaints(week, shown, request, household):
    """Every fault of a revised week: of the week itself from the first open day on, and of what was asked. Of that day
    the meals at the slots ``eaten`` are no more open."""
    since = _date(household, request.get("from_day", 0))
    eaten = {(since.isoformat(), slot) for slot in request.get("eaten", ())}
    gone = {key: max(since, _date(household, day)) for key, day in request.get("gone_cooks", {}).items()}
    household = household | {"since": since, "gone": gone}
    ahead = week | {
        "plates": [
            plate
            for plate in week["plates"]
            if plate["on"] >= since.isoformat() and (plate["on"], plate["slot"]) not in eaten
        ]
    }
    cooks = {cook["key"]: cook for cook in week["cooks"]}
    return [
        *checker._meals(week, household),
        *checker.what_is_eaten(ahead, household),
        *checker._pots(week, household),
        *checker._minutes(week, household),
        *checker._stock(week, cooks, household),
        *checker._repeats(week, cooks, household),
        *_past(week, shown, since),
        *_eaten_today(week, shown, eaten),
        *_locks(week, shown, request, household),
        *_wishes(week, request, household),
        *_gone_foods(week, request, household),
        *_gone_cooks(week, gone),
    ]


def _date(household, day):
    return household["start"] + timedelta(days=day)


def _past(week, shown, since):
    """What was cooked and eaten before is there to the letter, and no more."""
    for what in ("cooks", "plates"):
        before, after = (
            sorted(
                (row for row in one[what] if row["on"] < since.isoformat()), key=lambda row: str(row.items())
            )
            for one in (shown, week)
        )
        if before != after:
            yield f"the {what} before {since} are not as they were"


def _eaten_today(week, shown, eaten):
    """What was eaten of the first open day, and the pots it came from, are there to the letter."""
    before, after = (
        [plate for plate in one["plates"] if (plate["on"], plate["slot"]) in eaten] for one in (shown, week)
    )
    if sorted(map(str, before)) != sorted(map(str, after)):
        yield "the plates eaten today are not as they were"
    for cook in shown["cooks"]:
        if cook["key"] in {plate["cook"] for plate in before} and cook not in week["cooks"]:
            yield f"{cook['key']}: eaten from today, and not as it was"


def _tables(week):
    cooks = {cook["key"]: cook for cook in week["cooks"]}
    return {(plate["on"], plate["slot"], plate["eater"]): cooks[plate["cook"]] for plate in week["plates"]}


def _locks(week, shown, request, household):
    before, after = _tables(shown), _tables(week)
    for day, slot in request.get("locked", ()):
        on = _date(household, day).isoformat()
        for eater, facts in household["eaters"].items():
            place = on, slot, eater
            if (day, slot) in facts.get("away", ()) or place not in before:
                continue
            was, now = before[place], after.get(place)
            if now is None or (was["recipe"], was["on"]) != (now["recipe"], now["on"]):
                yield f"{on} {slot} {eater}: locked, and not as it was"


def _wishes(week, request, household):
    tables = _tables(week)
    for day, slot, recipe in request.get("unwanted", ()):
        on = _date(household, day).isoformat()
        if any(tables[place]["recipe"] == recipe for place in tables if place[:2] == (on, slot)):
            yield f"{on} {slot}: {recipe}, which was not wanted"
    for day, slot, recipe in request.get("wanted", ()):
        on = _date(household, day).isoformat()
        served = 0
        for eater, facts in household["eaters"].items():
            if (day, slot) in facts.get("away", ()) or not _suits(recipe, slot, facts, _date(household, day)):
                continue
            served += 1
            if tables[on, slot, eater]["recipe"] != recipe:
                yield f"{on} {slot} {eater}: not {recipe}, which was wanted"
        if not served:
            yield f"{on} {slot}: {recipe} was wanted and suits nobody"


def _suits(recipe, slot, eater, on):
    """Whether an eater may have all that a dish cannot do without."""
    record = recipes()[recipe]
    if slot not in record["slots"]:
        return False
    for row in record["ingredients"]:
        if row.get("use", "base") != "base":
            continue
        most = checker.most_g(eater, row["food"], on) if eater["protocol"] else None
        held = checker.grams(row["quantity"], row["unit"], row["food"]) or 0
        if checker.why_not(eater, row["food"], words(row["form"]), "base", on):
            return False
        if most is not None and held * exact(eater["appetite"]) / exact(record["servings"]) > most:
            return False
    return True


def _gone_foods(week, request, household):
    first = request.get("from_day", 0)
    for food, day in request.get("gone_foods", {}).items():
        since = _date(household, max(first, day)).isoformat()
        for cook in week["cooks"]:
            if _fed_today(week, request, cook["key"], _date(household, first).isoformat()):
                continue
            uses = {
                row.get("use", "base")
                for row in recipes()[cook["recipe"]]["ingredients"]
                if row["food"] == food
            }
            if cook["on"] >= since and uses - {"plate"} and (food not in cook["without"] or "base" in uses):
                yield f"{cook['key']}: {food} had gone"
            for plate in week["plates"]:
                late = plate["cook"] == cook["key"] and plate["on"] >= since
                if late and "plate" in uses and food not in plate["without"]:
                    yield f"{plate['on']} {plate['slot']} {plate['eater']}: {food} had gone"


def _fed_today(week, request, key, today):
    """Whether a meal of today that is eaten already came from a pot: what is in that has not gone."""
    return any(
        plate["cook"] == key and plate["on"] == today and plate["slot"] in request.get("eaten", ())
        for plate in week["plates"]
    )


def _gone_cooks(week, gone):
    for plate in week["plates"]:
        if plate["cook"] in gone and plate["on"] >= gone[plate["cook"]].isoformat():
            yield f"{plate['on']} {plate['slot']} {plate['eater']}: {plate['cook']} had gone"
