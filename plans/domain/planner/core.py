"""A smallest set of facts that cannot all be.

``Question`` asks the model of plates, out of the whole book and without a price on anything, whether a week exists that
keeps some facts. Three steps lead to a set. The solver names facts that suffice for the proof, in one go, out of meals,
minutes and repeats; the rest is small. Then every fact is left out in turn and stays out if the others still collide:
what remains collides, and no part of it does. Last, other orders of leaving out are tried, and the smallest set is kept.

Limits are the solver's deterministic time and a number of questions, never seconds. A question that stays open keeps
its fact, and the set says that it is not ``proven``.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from ortools.sat.python.cp_model import IntVar, LinearExpr

from plans.domain.brief import Brief
from plans.domain.planner.facts import Fact, limits, meals, without
from plans.domain.planner.goals import A_MEAL_UNPLANNED, A_MINUTE_SHORT, A_REPEAT_MORE
from plans.domain.planner.model import WeekModel, build, leave_everything_out
from plans.domain.planner.setting import Group, Setting, hundredths, lay
from plans.domain.planner.shortlist import Parties
from plans.domain.planner.solving import Answer, collide, solve
from plans.domain.vocabulary import Slot

EFFORT = 6.0
"""The solver's deterministic seconds for one question; most take a tenth of one."""
MOST_QUESTIONS = 400
OTHER_ORDERS = 3


@dataclass(frozen=True, slots=True)
class Collision:
    """Facts that cannot all be. If ``proven``, they can as soon as any one of them is given up; if ``smallest``, no
    set has fewer."""

    facts: frozenset[Fact]
    proven: bool = True
    smallest: bool = False

    def of(self, kind: str) -> list[Fact]:
        """The facts of a kind, in order."""
        return sorted(fact for fact in self.facts if fact.kind == kind)


class Question:
    """Whether a brief has a week, and with which of its facts."""

    def __init__(self, brief: Brief) -> None:
        self.setting = lay(brief)
        self.eaters = tuple(tuple(eater.key for eater in group.eaters) for group in self.setting.groups)
        self.limits = tuple(limits(self.setting))
        self.meals = tuple(meals(self.setting))
        self._answers: dict[frozenset[Fact], bool | None] = {}
        self._asked = 0

    @property
    def brief(self) -> Brief:
        """What is asked."""
        return self.setting.brief

    @property
    def facts(self) -> tuple[Fact, ...]:
        """All facts, in the order in which they are left out."""
        return (*self.meals, *self.limits)

    def possible(self, kept: Iterable[Fact], brief: Brief | None = None) -> bool | None:
        """Whether there is a week that keeps some facts, of this brief or of a looser one; None when that stays open.

        Foods looked at apart (``closed``) stand for the allowances of their eaters: those not kept are open.
        """
        kept = frozenset(kept)
        if brief is not None:
            return self._ask(kept, brief)
        if kept not in self._answers:
            self._answers[kept] = self._ask(kept, self.brief)
        return self._answers[kept]

    def minutes_more(self, kept: Iterable[Fact], day: int) -> int | None:
        """The fewest more minutes on a day with which there is a week that keeps some facts; None when none do or it
        stays open."""
        kept = frozenset(kept)
        week = self._model(kept | {Fact("minutes", day)}, self.brief, day)
        week.cp.minimize(week.short_minutes[day])
        answer = self._solved(week)
        return None if answer is None else answer.of(week.short_minutes[day])

    def cheapest(self) -> tuple[dict[int, int], int, frozenset[Fact]] | None:
        """The cheapest way out by more minutes, repeats and meals left out together: the minutes by day, how often more
        a main may come, and the meals. None when none is found."""
        week = build(self.setting, self.apart(), relaxed=True)
        more = week.cp.new_int_var(0, len(Slot) * self.brief.days, "repeats more")
        for variable in week.extra_repeats.values():
            week.cp.add(variable <= more)
        unplanned = {
            Fact("meal", day, number, slot.value): variable
            for (number, (day, slot)), variable in week.unplanned.items()
        }
        prices = [A_MINUTE_SHORT * variable for variable in week.short_minutes.values()]
        prices += [
            A_MEAL_UNPLANNED * len(self.eaters[fact.group]) * variable
            for fact, variable in unplanned.items()
            if fact in self.meals
        ]
        week.cp.minimize(LinearExpr.sum([A_REPEAT_MORE * more, *prices]))
        leave_everything_out(week)
        answer = self._solved(week)
        if answer is None:
            return None
        minutes = {day: of for day, variable in week.short_minutes.items() if (of := answer.of(variable))}
        out = frozenset(fact for fact in self.meals if answer.of(unplanned[fact]))
        return minutes, answer.of(more), out

    def _ask(self, kept: frozenset[Fact], brief: Brief) -> bool | None:
        if not any(fact.kind == "meal" for fact in kept):
            return True
        if self._asked >= MOST_QUESTIONS:
            return None
        self._asked += 1
        outcome = solve(self._model(kept, brief).cp, EFFORT)
        return True if outcome.answer is not None else False if outcome.impossible else None

    def _solved(self, week: WeekModel) -> Answer | None:
        self._asked += 1
        return solve(week.cp, EFFORT).answer

    def _model(self, kept: frozenset[Fact], brief: Brief, longer: int | None = None) -> WeekModel:
        """The model in which some facts hold, and a day may be longer."""
        wanted = {fact for fact in kept if fact.kind == "meal"}
        given_up = [fact for fact in self.limits if fact not in kept and not _looked_into(fact, kept)]
        given_up += [fact for fact in self._closed(kept) if fact not in kept]
        setting = self._for(wanted, lay(without(brief, given_up, self.eaters)))
        if Fact("eve") in given_up:
            setting = replace(setting, one_pot_on_the_eve=False)
        week = build(setting, self.apart(), relaxed=True)
        for day, variable in week.short_minutes.items():
            if day != longer:
                week.cp.add(variable == 0)
        for variable in week.extra_repeats.values():
            week.cp.add(variable == 0)
        for (number, (day, slot)), variable in week.unplanned.items():
            week.cp.add(variable == (Fact("meal", day, number, slot.value) not in wanted))
        return week

    def _for(self, wanted: set[Fact], setting: Setting) -> Setting:
        """No more of a setting than some meals need; its groups are those of the brief that is asked."""
        slots = tuple(slot for slot in setting.slots if any(fact.slot == slot.value for fact in wanted))
        keys = [
            key
            for key, dish in setting.dishes.items()
            if dish.recipe.makes or not set(slots).isdisjoint(dish.recipe.slots)
        ]
        brief = replace(setting.brief, days=1 + max(fact.day for fact in wanted))
        groups = tuple(_group(setting, eaters) for eaters in self.eaters)
        return replace(setting.only(keys), brief=brief, slots=slots, groups=groups)

    def apart(self) -> Mapping[Slot, Parties]:
        """Everyone free to eat apart."""
        return dict.fromkeys(Slot, tuple((number,) for number in range(len(self.eaters))))

    def _closed(self, kept: frozenset[Fact]) -> list[Fact]:
        groups = {fact.group for fact in kept if fact.kind == "closed"}
        return [fact for group in sorted(groups) for fact in self.closed(group)]

    def closed(self, group: int) -> list[Fact]:
        """The foods that close dishes to a group, each as a fact."""
        eaters = self.setting.groups[group]
        foods = {food for fitting in eaters.fits.values() for food in fitting.blocked}
        return [Fact("closed", group=group, food=food) for food in sorted(foods)]

    def suspects(self) -> frozenset[Fact] | None:
        """Facts that collide, found in one go; None when there is a week, and all facts when it stays open."""
        week = build(self.setting, self.apart(), relaxed=True)
        literals = _literals(week, self.meals)
        named, outcome = collide(week.cp, literals, EFFORT)
        if outcome.answer is not None:
            return None
        return frozenset((*named, *(fact for fact in self.limits if fact not in literals)))


def collision(question: Question, suspects: Iterable[Fact]) -> Collision:
    """A set of facts that cannot all be, of which none can be spared, within some that collide."""
    order = [fact for fact in question.facts if fact in set(suspects)]
    best = _shrunk(question, order)
    for number in range(OTHER_ORDERS):
        if len(best.facts) <= _fewest(question, best):
            break
        again = _shrunk(question, _turned(order, number))
        if (not again.proven, len(again.facts)) < (not best.proven, len(best.facts)):
            best = again
    return replace(best, smallest=best.proven and len(best.facts) <= _fewest(question, best))


def _fewest(question: Question, found: Collision) -> int:
    """No set has fewer facts: those without which there is a week are in every set, and a meal hardly ever is a set by
    itself."""
    everything = frozenset(question.facts)
    in_all = {fact for fact in found.facts if question.possible(everything - {fact})}
    if in_all and question.possible(in_all):
        return len(in_all) + 1
    slots = {fact.slot: fact for fact in question.meals}
    alone = any(question.possible({fact}) is not True for fact in slots.values())
    return max(len(in_all), 1 if alone else 2)


def _turned(order: list[Fact], number: int) -> list[Fact]:
    """Another order: the first days' meals first, then limits before meals."""
    eaten = [fact for fact in order if fact.kind == "meal"]
    others = [fact for fact in order if fact.kind != "meal"]
    return ([*reversed(eaten), *others], [*others, *eaten], [*others, *reversed(eaten)])[number]


def _shrunk(question: Question, order: list[Fact]) -> Collision:
    open_questions: list[bool] = []

    def collide(kept: list[Fact]) -> bool:
        answer = question.possible(kept)
        if answer is None:
            open_questions.append(True)
        return answer is False

    proven = collide(order)
    kept = _spared(order, collide)
    return Collision(frozenset(kept), proven and not open_questions)


def in_the_way(question: Question, found: Collision) -> dict[int, tuple[str, ...]]:
    """For each group whose allowances collide, a set of foods of which every one has to stay closed for that."""
    foods: dict[int, tuple[str, ...]] = {}
    for fact in found.of("allowed"):
        others = found.facts - {fact}
        closed = _spared(
            question.closed(fact.group),
            lambda kept, others=others: question.possible(others.union(kept)) is False,
        )
        foods[fact.group] = tuple(one.food for one in closed)
    return foods


def _spared(order: list[Fact], collide: Callable[[list[Fact]], bool]) -> list[Fact]:
    """What is left when everything is left out that can be: halves first, since most facts have no part in it."""
    kept, step = list(order), max(1, len(order) // 2)
    while True:
        place = 0
        while place < len(kept):
            rest = kept[:place] + kept[place + step :]
            if rest and collide(rest):
                kept = rest
            else:
                place += step
        if step == 1:
            return kept
        step = max(1, step // 2)


def _looked_into(fact: Fact, kept: frozenset[Fact]) -> bool:
    return fact.kind == "allowed" and any(
        other.kind == "closed" and other.group == fact.group for other in kept
    )


def _group(setting: Setting, eaters: tuple[str, ...]) -> Group:
    """A group of the brief, with what suits it now."""
    now = {eater.key: (group, eater) for group in setting.groups for eater in group.eaters}
    together = tuple(now[key][1] for key in eaters)
    share = sum(hundredths(eater.appetite) for eater in together)
    return Group(together, share, now[eaters[0]][0].fits)


def _literals(week: WeekModel, wanted: Iterable[Fact]) -> dict[Fact, IntVar]:
    """Meals, minutes and repeats of a relaxed model, each with what is true while it holds."""
    eaten = {
        Fact("meal", day, number, slot.value): variable.negated()
        for (number, (day, slot)), variable in week.unplanned.items()
    }
    literals: dict[Fact, IntVar] = {fact: eaten[fact] for fact in wanted}
    holds = week.cp.new_bool_var("repeats")
    for variable in week.extra_repeats.values():
        week.cp.add(variable == 0).only_enforce_if(holds)
    literals[Fact("repeats")] = holds
    for day, variable in week.short_minutes.items():
        holds = week.cp.new_bool_var(f"minutes {day}")
        week.cp.add(variable == 0).only_enforce_if(holds)
        literals[Fact("minutes", day)] = holds
    return literals
