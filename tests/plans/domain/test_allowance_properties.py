"""Any protocol, any eater, any day: what may never come out, worked out afresh from the rows of the protocol."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from plans.domain.allowance import EaterRules, Introduction, allowance, day_allowances
from plans.domain.book import Food, Form, Protocol, Rule
from plans.domain.brief import FoodAllowance
from plans.domain.quantities import grams
from plans.domain.rulebook import RuleBook
from plans.domain.tighten import permits
from plans.domain.vocabulary import CONDITIONS, LIMITS, Allowance, Use
from tests.plans.book_strategies import FOOD_KEYS, GROUPS, protocols

TODAY = date(2026, 6, 15)
FLAGS = ("pregnant", "breastfeeding", "weak-immunity", "warfarin")
FAMILIES = ("milk", "egg", "fish")
HOT = {"boiled", "steamed", "stewed", "baked", "roasted", "fried", "grilled", "broth"}
AMOUNTS = (Decimal("0.0001"), Decimal(30), Decimal(1_000_000))


@dataclass(frozen=True)
class Case:
    """An eater, the protocol followed, and the foods of both."""

    protocol: Protocol
    foods: tuple[Food, ...]
    rules: EaterRules

    @property
    def book(self) -> RuleBook:
        return RuleBook.compile(self.protocol, self.foods)

    def day(self, rules: EaterRules | None = None) -> dict[str, FoodAllowance]:
        return day_allowances(self.book, rules or self.rules, TODAY)

    def forms(self) -> set[Form]:
        """Every form that is named anywhere, and some that are not."""
        named = {form for rule in self.protocol.rules for form in rule.forms}
        named |= {tried.form for tried in self.rules.introductions}
        asked = {modifier.require for modifier in self.protocol.modifiers}
        return (
            named
            | {form | more for form in named for more in asked}
            | {frozenset({"raw"}), frozenset({"boiled"})}
        )

    def uses(self, given_: FoodAllowance) -> set[tuple[Form, Use, Decimal]]:
        return {
            (form, use, amount)
            for form in self.forms()
            for use in Use
            for amount in AMOUNTS
            if permits(given_, form, use, amount)
        }

    def row(self, food: Food) -> Rule | None:
        """The latest row for the food, or else for its group, that the eater's stage has reached."""
        number = {stage.key: stage.number for stage in self.protocol.stages}
        now = number[self.rules.stage_on(TODAY)]
        own = [rule for rule in self.protocol.rules if rule.food == food.key]
        rows = own or [rule for rule in self.protocol.rules if rule.group == food.group]
        reached = [rule for rule in rows if number[rule.stage] <= now]
        return max(reached, key=lambda rule: number[rule.stage], default=None)

    def within(self, key: str) -> set[str]:
        """A food and all it contains."""
        by_key = {food.key: food for food in self.foods}
        found = {key}
        for part in by_key[key].contains:
            found |= self.within(part)
        return found

    def tries(self, key: str) -> list[Introduction]:
        """The introductions that may have opened a food by now."""
        return [
            tried
            for tried in self.rules.introductions
            if tried.food == key
            and tried.first_day <= TODAY
            and (tried.outcome == "tolerated" or (tried.outcome == "open" and tried.watch_until >= TODAY))
        ]


@st.composite
def foods(draw: st.DrawFn) -> tuple[Food, ...]:
    """The foods that made-up protocols name. A food may contain those before it."""
    found: list[Food] = []
    for key in FOOD_KEYS:
        found.append(
            Food(
                key=key,
                name=key.title(),
                group=draw(st.sampled_from((*GROUPS, "others"))),
                aisle=draw(st.sampled_from(("vegetables", "meat", "pantry"))),
                families=draw(st.frozensets(st.sampled_from(FAMILIES), max_size=1)),
                contains=tuple(draw(st.lists(st.sampled_from(FOOD_KEYS[: len(found)]), max_size=1)))
                if found
                else (),
                density_g_per_ml=draw(st.none() | st.just(Decimal(1))),
                limits=draw(st.frozensets(st.sampled_from(LIMITS), max_size=1)),
            )
        )
    return tuple(found)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """Any of each; some of the introductions are planned challenges."""
    protocol = draw(protocols())
    keys = st.frozensets(st.sampled_from(FOOD_KEYS), max_size=1)
    forms = [form for rule in protocol.rules for form in rule.forms] + [
        frozenset({"raw"}),
        frozenset({"baked"}),
    ]
    planned = [(challenge.food, challenge.form) for challenge in protocol.challenges]
    tried = [(key, form) for key in FOOD_KEYS for form in forms] + planned * 20
    days = st.integers(-40, 3)
    introductions = st.builds(
        lambda what, first, watch, outcome, out: Introduction(
            *what,
            TODAY + timedelta(days=first),
            TODAY + timedelta(days=first + watch),
            outcome,
            None if out is None else TODAY + timedelta(days=out),
        ),
        what=st.sampled_from(tried),
        first=days,
        watch=st.integers(0, 14),
        outcome=st.sampled_from(("open", "open", "tolerated", "reacted", "unclear")),
        out=st.none() | st.integers(-10, 30),
    )
    begun = sorted(draw(st.lists(days.filter(lambda day: day <= 0), min_size=1, max_size=3)))
    stages = tuple((TODAY + timedelta(days=day), draw(st.sampled_from(protocol.stages)).key) for day in begun)
    rules = EaterRules(
        born=draw(st.one_of(st.dates(date(1940, 1, 1), TODAY), st.dates(date(2021, 1, 1), TODAY))),
        flags=draw(st.frozensets(st.sampled_from(FLAGS), max_size=2)),
        allergies=draw(st.frozensets(st.sampled_from(FAMILIES), max_size=1)),
        excluded=draw(keys),
        forbidden=draw(keys),
        stages=stages,
        conditions=draw(st.frozensets(st.sampled_from(CONDITIONS), max_size=3)),
        introductions=tuple(draw(st.lists(introductions, max_size=3))),
    )
    return Case(protocol, draw(foods()), rules)


@given(cases())
@settings(max_examples=60)
def test_one_food_and_the_whole_day_agree_and_say_why(case: Case):
    day = case.day()
    for key in FOOD_KEYS:
        assert day[key] == allowance(case.book, case.rules, key, None, TODAY)
        assert day[key].reasons


@given(cases(), st.sampled_from(("flags", "allergies", "excluded", "forbidden", "conditions")))
@settings(max_examples=60)
def test_what_tightens_never_loosens(case: Case, what: str):
    """Taking a flag, an allergy, an exclusion, an instruction or a condition away closes nothing."""
    strict, loose = case.day(), case.day(replace(case.rules, **{what: frozenset()}))
    for key in FOOD_KEYS:
        assert case.uses(strict[key]) <= case.uses(loose[key])


@given(cases(), st.sampled_from(FOOD_KEYS), st.integers(0, 40), st.none() | st.integers(-10, 30))
@settings(max_examples=60)
def test_a_reaction_never_loosens(case: Case, key: str, ago: int, out: int | None):
    first = TODAY - timedelta(days=ago)
    until = None if out is None else TODAY + timedelta(days=out)
    reaction = Introduction(key, frozenset({"raw"}), first, first, "reacted", until)
    rules = replace(case.rules, introductions=(*case.rules.introductions, reaction))
    strict, loose = case.day(rules), case.day()
    for food in FOOD_KEYS:
        assert case.uses(strict[food]) <= case.uses(loose[food])


@given(cases())
@settings(max_examples=60)
def test_no_food_comes_before_its_stage_or_in_a_form_that_is_not_open(case: Case):
    day = case.day()
    for food in case.foods:
        row, tried = case.row(food), case.tries(food.key)
        word = Allowance.NOT_YET if row is None else row.allowance
        for form, use, _ in case.uses(day[food.key]):
            if any(one.form <= form for one in tried):
                continue
            assert word is not Allowance.NOT_YET
            bound = use is not Use.FLAVOUR or word in (Allowance.FLAVOUR_ONLY, Allowance.FIRST_TASTES)
            if bound and row.forms:
                assert any(named <= form for named in row.forms)
            if use is not Use.FLAVOUR:
                assert word is not Allowance.FLAVOUR_ONLY


@given(cases())
@settings(max_examples=60)
def test_a_condition_of_today_binds_whatever_was_opened(case: Case):
    day = case.day()
    for food in case.foods:
        for modifier in case.protocol.modifiers:
            named = modifier.food == food.key or (modifier.group and modifier.group == food.group)
            if not named or modifier.when not in case.rules.conditions:
                continue
            for form, use, _ in case.uses(day[food.key]):
                assert modifier.allowance is not Allowance.NOT_YET
                if use is not Use.FLAVOUR:
                    assert modifier.allowance is not Allowance.FLAVOUR_ONLY
                    assert modifier.require <= form


@given(cases())
@settings(max_examples=60)
def test_a_reaction_in_force_keeps_out_all_that_contains_the_food(case: Case):
    day = case.day()
    for reaction in case.rules.introductions:
        over = reaction.left_out_until is not None and reaction.left_out_until <= TODAY
        if reaction.outcome != "reacted" or reaction.first_day > TODAY or over:
            continue
        for key in FOOD_KEYS:
            again = any(tried.first_day >= reaction.first_day for tried in case.tries(key))
            if reaction.food in case.within(key) and not again:
                assert case.uses(day[key]) == set()


@given(cases())
@settings(max_examples=60)
def test_allergies_exclusions_and_instructions_always_win(case: Case):
    day, by_key = case.day(), {food.key: food for food in case.foods}
    for key in FOOD_KEYS:
        within = case.within(key)
        carried = {family for part in within for family in by_key[part].families}
        if within & (case.rules.excluded | case.rules.forbidden) or carried & case.rules.allergies:
            assert case.uses(day[key]) == set()


@given(cases())
@settings(max_examples=60)
def test_limits_of_age_and_condition_hold_whatever_else(case: Case):
    """The sources stand beside the limits and in the published tests; here are only whom they concern and how."""
    day, by_key, flags = case.day(), {food.key: food for food in case.foods}, case.rules.flags
    days_old = (TODAY - case.rules.born).days
    years = days_old / 365.25
    at_risk = years < 4.9 or years > 65.1 or flags & {"pregnant", "weak-immunity"}
    for key in FOOD_KEYS:
        uses = case.uses(day[key])
        limits = {limit for part in case.within(key) for limit in by_key[part].limits}
        barred = (
            days_old < 110
            or ("honey" in limits and years < 0.99)
            or ("raw-milk" in limits and at_risk)
            or ("liver" in limits and "pregnant" in flags)
            or ("high-mercury" in limits and (years < 11.9 or flags & {"pregnant", "breastfeeding"}))
            or ("alcohol" in limits and (years < 17.9 or flags & {"pregnant", "breastfeeding"}))
        )
        assert not (barred and uses)
        if limits & {"raw-egg", "raw-sprouts"} and at_risk:
            assert all(form & HOT for form, _, _ in uses)


@given(cases())
@settings(max_examples=60)
def test_warfarin_closes_nothing_and_says_something(case: Case):
    with_it, without = (
        replace(case.rules, flags=flags)
        for flags in (case.rules.flags | {"warfarin"}, case.rules.flags - {"warfarin"})
    )
    strict, loose = case.day(with_it), case.day(without)
    infant = case.rules.born + timedelta(days=125) > TODAY
    for food in case.foods:
        assert case.uses(strict[food.key]) == case.uses(loose[food.key])
        if "high-vitamin-k" in food.limits and not infant:
            assert "vitamin-k-steady" in {reason.code for reason in strict[food.key].reasons}


@given(cases())
@settings(max_examples=60)
def test_a_planned_challenge_gives_its_dose_and_nothing_on_the_days_after(case: Case):
    day, by_key = case.day(), {food.key: food for food in case.foods}
    for challenge in case.protocol.challenges:
        tried = [one for one in case.tries(challenge.food) if one.outcome == "open"]
        if challenge.stage != case.rules.stage_on(TODAY) or not tried:
            continue
        alike = [
            one
            for one in case.protocol.challenges
            if (one.stage, one.food) == (challenge.stage, challenge.food)
        ]
        if len(alike) > 1 or len(tried) > 1 or tried[0].form != challenge.form:
            continue
        number = (TODAY - tried[0].first_day).days
        eaten = [amount for _, use, amount in case.uses(day[challenge.food]) if use is not Use.FLAVOUR]
        if number >= challenge.dose_days:
            assert case.uses(day[challenge.food]) == set()
        else:
            dose = challenge.doses[min(number, len(challenge.doses) - 1)]
            assert max(eaten, default=Decimal(0)) <= (grams(*dose, by_key[challenge.food]) or 0)
