"""A smallest set of facts that cannot all be.

``Question`` asks the model of plates, out of the whole book and without prices, whether a week exists that keeps some
facts. Three steps lead to a set. The solver names, in one go, meals, minutes and repeats that suffice for its proof;
what is asked from then on is small. Then every fact is left out in turn and stays out if the others still collide: what
remains collides, and no part of it does. Last, single meals that cannot be had at all and other orders of leaving out
are tried, until the set is as small as any can be or the tries are used up.

Limits are the solver's deterministic time and a price for each question, never seconds. A question that stays open
keeps its fact, and the set says that it is not ``proven``. All questions of one answer share one ``Patience``: whoever
waits wants to hear soon what collides, and only then whether fewer facts would.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from ortools.sat.python.cp_model import IntVar, LinearExpr

from plans.domain.brief import Brief
from plans.domain.planner.facts import Fact, limits, meals, without
from plans.domain.planner.goals import A_MEAL_UNPLANNED, A_MINUTE_SHORT, A_REPEAT_MORE
from plans.domain.planner.model import WeekModel, build
from plans.domain.planner.setting import EVE, PER_HALF, Group, Setting, hundredths, lay
from plans.domain.planner.shortlist import Parties
from plans.domain.planner.solving import Outcome, collide, solve
from plans.domain.vocabulary import Slot

EFFORT = 6.0
"""The solver's deterministic seconds for one question; most take a tenth of one."""
CHEAPEST_EFFORT = 2.0
OTHER_ORDERS = 3
PATIENCE, FOR_FEWER = 24.0, 10.0
"""What an answer may take, in about the seconds of one core; and after how many nothing more is tried for a smaller
set."""
A_VARIABLE = 4e-5
"""To put a question takes as long as this for each of its variables."""
IN_ALL_OF = 8
"""Of sets up to this size it is asked whether every set has their facts; each question is nearly a whole week."""


@dataclass(frozen=True, slots=True)
class Collision:
    """Facts that cannot all be. ``proven``: without any one they can. ``smallest``: no other set has fewer."""

    facts: frozenset[Fact]
    proven: bool = True
    smallest: bool = False

    def of(self, kind: str) -> list[Fact]:
        """The facts of a kind, in order."""
        return sorted(fact for fact in self.facts if fact.kind == kind)


@dataclass(frozen=True, slots=True)
class Way:
    """A way out: more minutes by day, how often more a main may come, meals left out. None is below ``bound``."""

    minutes: Mapping[int, int]
    repeats: int
    out: tuple[Fact, ...]
    bound: int


@dataclass(slots=True)
class Patience:
    """What was spent so far on all questions of one answer."""

    spent: float = 0.0

    @property
    def over(self) -> bool:
        """Whether nothing more is asked."""
        return self.spent >= PATIENCE

    @property
    def for_fewer(self) -> bool:
        """Whether a smaller set is still looked for."""
        return self.spent < FOR_FEWER


class Question:
    """Whether a brief has a week, and with which of its facts."""

    def __init__(self, brief: Brief, *, looser_than: "Question | None" = None) -> None:
        """Ask about a brief; what a stricter question was answered with a yes need not be asked again."""
        self.setting = lay(brief)
        self.eaters = tuple(tuple(eater.key for eater in group.eaters) for group in self.setting.groups)
        self.limits = tuple(limits(self.setting))
        self.meals = tuple(meals(self.setting))
        self.patience = Patience() if looser_than is None else looser_than.patience
        self._answers: dict[frozenset[Fact], bool | None] = {}
        if looser_than is not None and looser_than.eaters == self.eaters:
            self._answers = {kept: answer for kept, answer in looser_than._answers.items() if answer}

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

    def minutes_more(self, kept: Iterable[Fact], day: int, least: int = 0) -> int | None:
        """The fewest more minutes on a day, ``least`` or more, with which there is a week that keeps some facts; None
        when none do or it stays open."""
        week = self._model(frozenset({*kept, Fact("minutes", day)}), self.brief, day)
        week.cp.add(week.short_minutes[day] >= least)
        week.cp.minimize(week.short_minutes[day])
        answer = self._solve(week, EFFORT).answer
        return None if answer is None else answer.of(week.short_minutes[day])

    def cheapest(self, kept: Iterable[Fact], below: int | None = None) -> Way | None:
        """The cheapest way, below a price, to break some facts by more minutes, repeats and meals left out together;
        None when none is found."""
        kept = frozenset(kept)
        week = self._loose(kept, self.brief)
        more = week.cp.new_int_var(0, len(Slot) * self.brief.days, "repeats more")
        for variable in week.extra_repeats.values():
            week.cp.add(variable <= more)
        meals = {fact: variable for fact, variable in _unplanned(week).items() if fact in kept}
        price = LinearExpr.sum(
            [
                A_REPEAT_MORE * more,
                *(A_MINUTE_SHORT * variable for variable in week.short_minutes.values()),
                *(
                    A_MEAL_UNPLANNED * len(self.eaters[fact.group]) * variable
                    for fact, variable in meals.items()
                ),
            ]
        )
        week.cp.minimize(price)
        if below is not None:
            week.cp.add(price < below)
        answer = self._solve(week, CHEAPEST_EFFORT).answer
        if answer is None:
            return None
        return Way(
            {day: of for day, variable in week.short_minutes.items() if (of := answer.of(variable))},
            answer.of(more),
            tuple(fact for fact, variable in meals.items() if answer.of(variable)),
            answer.bound,
        )

    def _ask(self, kept: frozenset[Fact], brief: Brief) -> bool | None:
        if not any(fact.kind == "meal" for fact in kept):
            return True
        if self.patience.over:
            return None
        outcome = self._solve(self._model(kept, brief), EFFORT)
        return True if outcome.answer is not None else False if outcome.impossible else None

    def _solve(self, week: WeekModel, effort: float) -> Outcome:
        outcome = solve(week.cp, effort)
        self._spend(week, outcome)
        return outcome

    def _spend(self, week: WeekModel, outcome: Outcome) -> None:
        self.patience.spent += A_VARIABLE * len(week.cp.proto.variables) + outcome.spent

    def _loose(self, kept: frozenset[Fact], brief: Brief) -> WeekModel:
        """The model in which some facts hold, save that minutes, repeats and meals can be bought."""
        wanted = {fact for fact in kept if fact.kind == "meal"}
        given_up = [fact for fact in self.limits if fact not in kept and not _looked_into(fact, kept)]
        given_up += [fact for fact in self._closed(kept) if fact not in kept]
        setting = self._for(wanted, lay(without(brief, given_up, self.eaters)))
        if Fact("eve") in given_up:
            setting = replace(setting, one_pot_on_the_eve=False)
        week = build(setting, self.apart(), relaxed=True)
        for fact, variable in _unplanned(week).items():
            if fact not in wanted:
                week.cp.add(variable == 1)
        return week

    def _model(self, kept: frozenset[Fact], brief: Brief, longer: int | None = None) -> WeekModel:
        """The model in which some facts hold, and a day may be longer."""
        week = self._loose(kept, brief)
        for day, variable in week.short_minutes.items():
            if day != longer:
                week.cp.add(variable == 0)
        for variable in week.extra_repeats.values():
            week.cp.add(variable == 0)
        for fact, variable in _unplanned(week).items():
            if fact in kept:
                week.cp.add(variable == 0)
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
        self._spend(week, outcome)
        if outcome.answer is not None:
            return None
        return frozenset((*named, *(fact for fact in self.limits if fact not in literals)))


def collision(question: Question, suspects: Iterable[Fact]) -> Collision:
    """A set of facts that cannot all be, of which none can be spared: within some that collide, or around a single meal
    that cannot be had at all."""
    suspected, alone = set(suspects), _alone(question)
    best = _shrunk(question, [fact for fact in question.facts if fact in suspected])
    fewest = _fewest(question, alone)
    orders = [[meal, *question.limits] for meal in alone[:OTHER_ORDERS]]
    orders += [
        _turned([fact for fact in question.facts if fact in suspected], n) for n in range(OTHER_ORDERS)
    ]
    for order in orders:
        if (best.proven and len(best.facts) <= fewest) or not question.patience.for_fewer:
            break
        again = _shrunk(question, order)
        if (not again.proven, len(again.facts)) < (not best.proven, len(best.facts)):
            best = again
    return replace(
        best, smallest=best.proven and len(best.facts) <= max(fewest, _in_all(question, best, fewest))
    )


def _alone(question: Question) -> list[Fact]:
    """The meals that cannot be had although no other is wanted."""
    return [
        meal
        for meal in question.meals
        if not easily_had(question.setting, meal) and question.possible({meal, *question.limits}) is False
    ]


def easily_had(setting: Setting, fact: Fact) -> bool:
    """Whether one pot by itself makes a meal of a group, so that there is nothing to ask."""
    group, meal = setting.groups[fact.group], (fact.day, Slot(fact.slot))
    return any(
        setting.can_cook(key, day) and setting.source((key, day), meal)
        for key in setting.for_slot(meal[1])
        if not setting.dishes[key].draws_ml
        and group.suits(key, fact.day)
        and PER_HALF * setting.most_halves(key) >= group.share
        for day in range(EVE if setting.dishes[key].recipe.makes else 0, fact.day + 1)
    )


def _fewest(question: Question, alone: Sequence[Fact]) -> int:
    """No set has fewer facts. Without limits every meal can be had, if the book has a recipe for it: so two meals and a
    limit are the least where no meal is in the way by itself."""
    if any(question.possible({meal}) is False for meal in {fact.slot: fact for fact in alone}.values()):
        return 1
    if any(question.possible({meal, limit}) is False for meal in alone for limit in question.limits):
        return 2
    return 3


def _in_all(question: Question, found: Collision, fewest: int) -> int:
    """No set has fewer facts than those without which there is a week, since they are in every set."""
    if not fewest < len(found.facts) <= IN_ALL_OF or not question.patience.for_fewer:
        return fewest
    everything = frozenset(question.facts)
    in_all = {fact for fact in found.facts if question.possible(everything - {fact})}
    return len(in_all) + 1 if in_all and question.possible(in_all) else len(in_all)


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
    unplanned = _unplanned(week)
    literals: dict[Fact, IntVar] = {fact: unplanned[fact].negated() for fact in wanted}
    holds = week.cp.new_bool_var("repeats")
    for variable in week.extra_repeats.values():
        week.cp.add(variable == 0).only_enforce_if(holds)
    literals[Fact("repeats")] = holds
    for day, variable in week.short_minutes.items():
        holds = week.cp.new_bool_var(f"minutes {day}")
        week.cp.add(variable == 0).only_enforce_if(holds)
        literals[Fact("minutes", day)] = holds
    return literals


def _unplanned(week: WeekModel) -> dict[Fact, IntVar]:
    """Whether a meal is left out, by the meal."""
    return {
        Fact("meal", day, number, slot.value): variable
        for (number, (day, slot)), variable in week.unplanned.items()
    }
