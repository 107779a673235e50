"""What to change so that a week fits: the least of each kind, its price, and the brief that comes of it.

A change is a reason whose facts say in full what is to be changed, so that it can be shown and later be carried out.
Nothing here opens a food to anyone. A stage can be waited for, where nothing else is in the way, but that is no change
to a brief: ``changed`` refuses it, so that nobody is served this week what opens in another.
Prices: a minute 1, a repeat 20, a meal of an eater or a larger pot 200, midday at home 60, a freezer 400, a wait 1000.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from plans.domain.brief import Brief, BriefEater, Reason
from plans.domain.planner.core import Collision, Question
from plans.domain.planner.facts import (
    Fact,
    with_freezer,
    with_meal_out,
    with_midday_at_home,
    with_minutes,
    with_open,
    with_pot,
    with_repeats,
    with_time_at_home,
)
from plans.domain.planner.goals import A_MEAL_UNPLANNED, A_MINUTE_SHORT, A_REPEAT_MORE
from plans.domain.vocabulary import Slot

A_LARGER_POT = 200
MIDDAY_AT_HOME = 60
A_FREEZER = 400
A_WAIT = 1000
POT_STEP_ML = 500
LARGEST_POT_ML = 40_000
"""Nobody cooks in a larger one at home (common practice, no source)."""
BETWEEN = ","
"""Between several keys or dates in one fact."""


@dataclass(frozen=True, slots=True)
class Change:
    """One thing to change, and what it costs; ``whole`` if it alone is known to make the week possible."""

    what: Reason
    price: int
    whole: bool = False


def changed(brief: Brief, what: Iterable[Reason]) -> Brief:
    """The brief with changes made. Raises KeyError for a reason that changes no brief, such as a wait."""
    for reason in what:
        brief = _changed(brief, reason)
    return brief


def _changed(brief: Brief, what: Reason) -> Brief:
    facts = what.facts
    if what.code == "more-minutes":
        day = _day(brief, facts["on"])
        given = brief.kitchen.hands_on_min
        return with_minutes(brief, day, (given[day] if day < len(given) else 0) + int(facts["minutes"]))
    if what.code == "longer-at-home":
        return with_time_at_home(brief, _day(brief, facts["on"]), int(facts["minutes"]))
    if what.code == "midday-at-home":
        return with_midday_at_home(brief, _day(brief, facts["on"]))
    if what.code == "repeat-mains":
        return with_repeats(brief, int(facts["times"]))
    if what.code == "larger-pot":
        return with_pot(brief, int(facts["needed_ml"]))
    if what.code == "a-freezer":
        return with_freezer(brief)
    if what.code == "leave-meal-out":
        who = str(facts["who"]).split(BETWEEN)
        for on in str(facts["dates"]).split(BETWEEN):
            brief = with_meal_out(brief, who, _day(brief, on), Slot(str(facts["slot"])))
        return brief
    raise KeyError(what.code)


def _day(brief: Brief, on: str | int) -> int:
    return (date.fromisoformat(str(on)) - brief.start).days


def changes(question: Question, found: Collision, out: list[Fact]) -> list[Change]:
    """For each fact of a collision the least change that undoes it, cheapest first. A change that makes the whole week
    possible is as large as that takes. ``out`` are the meals to leave out for want of anything better."""
    everything = frozenset(question.facts)
    made = [_leave_out(question, out, question.possible(everything.difference(out)) is True)]
    for fact in sorted(found.facts):
        if fact.kind == "minutes":
            made += _longer_day(question, found.facts, fact.day)
        elif fact.kind != "meal":
            whole = question.possible(everything - {fact}) is True
            others = (everything if whole else found.facts) - {fact}
            made += (replace(change, whole=whole) for change in _change(question, others, fact))
    return sorted(made, key=lambda change: (change.price, change.what.code, repr(change.what.facts)))


def _longer_day(question: Question, facts: frozenset[Fact], day: int) -> Iterator[Change]:
    """The fewest minutes for the collision, if they do for the week; else the fewest for the week, if any do."""
    fact, everything = Fact("minutes", day), frozenset(question.facts)
    least = question.minutes_more(facts - {fact}, day)
    if least is None:
        return
    given = question.setting.minutes(day)
    whole = question.possible(everything, with_minutes(question.brief, day, given + least)) is True
    if not whole and question.possible(everything - {fact}):
        more = question.minutes_more(everything - {fact}, day, least)
        whole, least = more is not None, more or least
    yield replace(_more_minutes(question, day, least), whole=whole)


def together(question: Question, below: int | None) -> tuple[Change, ...]:
    """The cheapest minutes, repeats and meals that together make the whole week possible, if they cost less than a
    price; none when none are found."""
    found = question.cheapest(question.facts, below)
    if found is None:
        return ()
    made = [_more_minutes(question, day, of) for day, of in sorted(found.minutes.items())]
    if found.repeats:
        made.append(_repeats(question, question.brief.most_repeats + found.repeats))
    of_slot: dict[tuple[int, str], list[Fact]] = {}
    for fact in sorted(found.out):
        of_slot.setdefault((fact.group, fact.slot), []).append(fact)
    return (*made, *(_leave_out(question, meals, whole=False) for meals in of_slot.values()))


def _more_minutes(question: Question, day: int, more: int) -> Change:
    facts = {"on": question.setting.on(day).isoformat(), "minutes": more}
    return Change(Reason("more-minutes", facts), A_MINUTE_SHORT * more)


def _repeats(question: Question, times: int) -> Change:
    return Change(
        Reason("repeat-mains", {"times": times}), A_REPEAT_MORE * (times - question.brief.most_repeats)
    )


def _change(question: Question, others: frozenset[Fact], fact: Fact) -> Iterator[Change]:
    setting = question.setting
    if fact.kind == "home":
        yield from _longer_at_home(question, others, fact.day)
    elif fact.kind == "out":
        on = setting.on(fact.day).isoformat()
        yield Change(Reason("midday-at-home", {"on": on}), MIDDAY_AT_HOME)
    elif fact.kind == "repeats":
        most = setting.brief.most_repeats
        ways = range(most + 1, len(Slot) * setting.brief.days)
        times = _least(question, others, fact, ways, with_repeats)
        if times:
            yield _repeats(question, times)
    elif fact.kind == "pot":
        ways = range(
            setting.largest_pot_ml // POT_STEP_ML * POT_STEP_ML + POT_STEP_ML, LARGEST_POT_ML + 1, POT_STEP_ML
        )
        needed = _least(question, others, fact, ways, with_pot)
        if needed:
            yield Change(Reason("larger-pot", {"needed_ml": needed}), A_LARGER_POT)
    elif fact.kind == "freezer":
        yield Change(Reason("a-freezer", {}), A_FREEZER)


def _longer_at_home(question: Question, others: frozenset[Fact], day: int) -> Iterator[Change]:
    given = question.brief.kitchen.at_home_min[day]
    ways = sorted({recipe.elapsed_min for recipe in question.brief.recipes if recipe.elapsed_min > given})
    minutes = _least(
        question,
        others,
        Fact("home", day),
        ways,
        lambda brief, minutes: with_time_at_home(brief, day, minutes),
    )
    if minutes:
        facts = {"on": question.setting.on(day).isoformat(), "minutes": minutes}
        yield Change(Reason("longer-at-home", facts), A_MINUTE_SHORT * (minutes - given))


def _least(
    question: Question,
    others: frozenset[Fact],
    fact: Fact,
    ways: Sequence[int],
    change: Callable[[Brief, int], Brief],
) -> int | None:
    """The first of some ways to change a brief, in growing order, with which its facts no longer collide."""
    least, most = 0, len(ways)
    while least < most:
        middle = (least + most) // 2
        if question.possible({*others, fact}, change(question.brief, ways[middle])):
            most = middle
        else:
            least = middle + 1
    return ways[least] if least < len(ways) else None


def waits(question: Question, closing: Mapping[int, tuple[str, ...]]) -> Iterator[Change]:
    """The stage to wait for, by group, at which a food opens that makes the whole week possible. Only where the stage
    alone is in the way: never against a reaction, an exclusion, an age or a clinician's word."""
    made = {recipe.makes for recipe in question.brief.recipes}
    for number, foods in closing.items():
        eaters = question.setting.groups[number].eaters
        keys = [eater.key for eater in eaters]
        for food in foods:
            stages = {stage_of_opening(question.brief, eater, food) for eater in eaters}
            stage = next(iter(stages))
            if food in made or len(stages) != 1 or stage is None:
                continue
            if question.possible(question.facts, with_open(question.brief, keys, (food,))):
                facts = {
                    "eaters": ", ".join(eater.name for eater in eaters),
                    "food": question.brief.foods[food].name,
                    "stage": stage,
                }
                yield Change(Reason("wait-for-stage", facts), A_WAIT)
                break


def stage_of_opening(brief: Brief, eater: BriefEater, food: str) -> str | None:
    """The stage that opens a food to an eater, where that alone keeps it closed on every day."""
    days = eater.days[: brief.days]
    reasons = [reason for day in days for reason in (day[food].reasons if food in day else ())]
    stages = {str(reason.facts.get("stage", "")) for reason in reasons}
    if len(stages) != 1 or any(reason.code != "opens-at" for reason in reasons):
        return None
    return stages.pop() or None


def _leave_out(question: Question, out: list[Fact], whole: bool) -> Change:
    setting, first = question.setting, out[0]
    eaters = setting.groups[first.group].eaters
    days = sorted(fact.day for fact in out)
    facts: dict[str, str | int] = {
        "eater": ", ".join(eater.name for eater in eaters),
        "who": BETWEEN.join(eater.key for eater in eaters),
        "slot": first.slot,
        "on": setting.on(days[0]).isoformat(),
        "days": len(days),
        "dates": BETWEEN.join(setting.on(day).isoformat() for day in days),
    }
    return Change(Reason("leave-meal-out", facts), A_MEAL_UNPLANNED * len(eaters) * len(days), whole)
