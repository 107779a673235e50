"""Why there is no week: every collision of facts, one after another, and what would help, cheapest first.

Once a collision is found, the cheapest change that undoes it is made, and the question is asked again: what collides
then is the next collision. So the changes made are together an offer. Every other change for a collision begins another
offer, with what it needs besides. An offer is given only when the model has found a week with it.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from plans.domain.brief import Brief, NoWeek, Reason
from plans.domain.planner.changes import Change, changed, changes, together, waits
from plans.domain.planner.conflicts import said
from plans.domain.planner.core import Collision, Question, collision, in_the_way
from plans.domain.planner.facts import Fact

MOST_COLLISIONS = 12
MOST_OFFERS = 6
OF_THE_DAY = ("minutes", "home", "out")
"""Limits of a single day: a meal of another day cannot collide with them for the same cause."""


@dataclass(frozen=True, slots=True)
class Found:
    """A collision of a question, the foods in its way by group, the meals with the same cause, what would undo it."""

    question: Question
    collision: Collision
    closing: Mapping[int, tuple[str, ...]]
    alike: tuple[Fact, ...]
    ways: tuple[Change, ...]


def why_no_week(question: Question) -> NoWeek | None:
    """The collisions and offers; None when there is a week after all."""
    found: list[Found] = []
    offers: list[tuple[Change, ...]] = []
    made = _through(question, found)
    if not found:
        return None
    if made is not None:
        offers = [made, *_others(found, made)]
    lowest = min((_price(offer) for offer in offers), default=None)
    if lowest is None or _least_price(question, found) < lowest:
        offers.append(together(question, lowest))
    waiting = [(change,) for change in waits(question, found[0].closing)]
    return NoWeek(tuple(_conflicts(found)), tuple(_relaxations([*offers, *waiting])))


def _through(question: Question, found: list[Found]) -> tuple[Change, ...] | None:
    """The cheapest change for every collision, one after another, until there is a week; what was found is added to the
    list. None when that comes to no end."""
    made: list[Change] = []
    while (suspects := question.suspects()) is not None:
        if len(found) == MOST_COLLISIONS or (question.patience.over and found):
            return None
        found.append(_found(question, suspects))
        if not found[-1].collision.proven:
            return None
        change = found[-1].ways[0]
        made.append(change)
        if change.whole:
            break
        question = _after(question, change)
    return tuple(made)


def _after(question: Question, change: Change) -> Question:
    return Question(changed(question.brief, (change.what,)), looser_than=question)


def _found(question: Question, suspects: frozenset[Fact]) -> Found:
    found = collision(question, suspects)
    closing = in_the_way(question, found)
    alike = _alike(question, found)
    return Found(question, found, closing, alike, tuple(changes(question, found, list(alike))))


def _alike(question: Question, found: Collision) -> tuple[Fact, ...]:
    """The meals that the same limits make impossible on other days, too; of several meals one to leave out."""
    meals = found.of("meal")
    if len(meals) > 1 or any(fact.kind in OF_THE_DAY for fact in found.facts):
        return tuple(meals[-1:])
    (meal,) = meals
    others = found.facts - {meal}
    days = (replace(meal, day=day) for day in question.setting.days)
    return tuple(fact for fact in days if fact == meal or question.possible({*others, fact}) is False)


def _others(found: list[Found], made: tuple[Change, ...]) -> Iterator[tuple[Change, ...]]:
    """Offers that begin like the cheapest and go on with another change."""
    count = 1
    for place, step in enumerate(found):
        for way in step.ways[1:]:
            if count == MOST_OFFERS or step.question.patience.over:
                return
            before = made[:place]
            rest = () if way.whole else _through(_after(step.question, way), [])
            if rest is not None:
                count += 1
                yield (*before, way, *rest)


def _conflicts(found: list[Found]) -> Iterator[Reason]:
    for number, step in enumerate(found):
        for reason in said(step.question, step.collision, step.closing, step.alike):
            yield Reason(reason.code, {**reason.facts, "set": number})
    if not all(step.collision.proven for step in found):
        yield Reason("not-proven", {})
    elif not all(step.collision.smallest for step in found):
        yield Reason("not-smallest", {})


def _relaxations(offers: list[tuple[Change, ...]]) -> Iterator[Reason]:
    """What to change, offer by offer, the cheapest first; what an offer asks of one day twice is one change. An offer
    that asks all of another, and more, is none."""
    listed: list[list[Change]] = []
    for offer in sorted((_together(offer) for offer in offers if offer), key=_price):
        if not any(_within(other, offer) for other in listed):
            listed.append(offer)
    for number, offer in enumerate(listed[:MOST_OFFERS]):
        for change in offer:
            yield Reason(change.what.code, {**change.what.facts, "offer": number, "price": _price(offer)})


def _within(other: list[Change], offer: list[Change]) -> bool:
    """Whether an offer asks all of another: the same changes, none smaller."""
    asked = {_aim(change): change.price for change in offer}
    return all(asked.get(_aim(change), -1) >= change.price for change in other)


def _aim(change: Change) -> tuple[str, str]:
    """What a change is about, however much it asks."""
    facts = change.what.facts
    if change.what.code == "leave-meal-out":
        return change.what.code, f"{facts['who']} {facts['slot']} {facts['dates']}"
    return change.what.code, str(facts.get("on", ""))


def _least_price(question: Question, found: list[Found]) -> int:
    """What minutes, repeats and meals must cost at least: collisions without a fact in common add up."""
    least, counted = 0, set()
    for step in found:
        if counted.isdisjoint(step.collision.facts):
            way = question.cheapest(step.collision.facts)
            least += 0 if way is None else way.bound
            counted |= step.collision.facts
    return least


def _price(offer: Iterable[Change]) -> int:
    return sum(change.price for change in offer)


def _together(offer: tuple[Change, ...]) -> list[Change]:
    """The changes of an offer, with one for all the minutes of a day and the last word on repeats and pots."""
    merged: dict[tuple[str, str], Change] = {}
    for change in offer:
        code, facts, key = change.what.code, change.what.facts, _aim(change)
        before = merged.get(key)
        if before is not None:
            more = facts
            if code == "more-minutes":
                more = {**facts, "minutes": int(facts["minutes"]) + int(before.what.facts["minutes"])}
            price = change.price if code == "larger-pot" else change.price + before.price
            change = Change(Reason(code, more), price)
        merged[key] = change
    return list(merged.values())


def offered(brief: Brief, answer: NoWeek, offer: int) -> Brief:
    """The brief with an offer taken. Raises KeyError for an offer that changes no brief, such as a wait."""
    return changed(brief, (reason for reason in answer.relaxations if reason.facts.get("offer") == offer))
