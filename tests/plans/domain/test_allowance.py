"""What an eater may have on a day: the steps, their order and their reasons."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.allowance import EaterRules, Introduction, allowance, day_allowances
from plans.domain.book import Challenge, Modifier, Rule
from plans.domain.brief import FoodAllowance
from plans.domain.rulebook import RuleBook
from plans.domain.tighten import permits
from plans.domain.vocabulary import Allowance, Use
from tests.plans.domain.hand_made import GROWN_UP, MONDAY, food, form, on_stage, protocol, rule

G = (Decimal(5), "g")
FOODS = (
    food("carrot", "roots"),
    food("beetroot", "roots"),
    food("egg", "eggs", families=frozenset({"egg"})),
    food("egg-yolk", "eggs", families=frozenset({"egg"})),
    food("mayonnaise", "sauces", contains=("egg-yolk",)),
    food("butter", "butterfat", families=frozenset({"milk"})),
    food("ghee", "butterfat", contains=("butter",)),
    food("milk", "dairy", families=frozenset({"milk"})),
    food("celery", "stalks", families=frozenset({"celery"})),
    food("cabbage", "ferments"),
    food("nuts", "nuts"),
)
DOSES = ((Decimal(60), "ml"), (Decimal(125), "ml"))
TASTES = {"start": G, "step": G, "every_days": 2, "most": (Decimal(15), "g")}
BOOK = RuleBook.compile(
    protocol(
        rule("one", "as prepared", "carrot", "boiled + peeled", "pureed + peeled", note="Soft."),
        rule("one", "as prepared", "roots", "boiled", group=True),
        rule("three", "freely", "roots", group=True),
        rule("one", "flavour only", "celery", "broth"),
        rule("two", "as prepared", "celery", "boiled"),
        rule("two", "first tastes", "butter", **TASTES),
        rule("two", "first tastes", "cabbage", **TASTES),
        rule("three", "freely", "butter"),
        rule("three", "freely", "egg"),
        rule("three", "freely", "mayonnaise"),
        modifiers=(
            Modifier("loose-stools", group="roots", require=form("peeled + deseeded"), note="Peel."),
            Modifier("flare", food="cabbage", allowance=Allowance.NOT_YET),
            Modifier("reflux", food="celery", allowance=Allowance.FLAVOUR_ONLY),
            Modifier("nausea", all=True, require=form("peeled")),
            Modifier("constipation", food="butter", allowance=Allowance.FLAVOUR_ONLY),
        ),
        challenges=(
            Challenge("lactose", "Lactose", "milk", form("raw"), "two", DOSES, dose_days=2, washout_days=3),
        ),
    ),
    FOODS,
)
PLAIN = RuleBook.compile(None, FOODS)


def on(days: int = 0) -> date:
    return MONDAY + timedelta(days=days)


def of(key: str, rules: EaterRules, day: int = 0) -> FoodAllowance:
    return allowance(BOOK, rules, key, None, on(day))


def code(key: str, rules: EaterRules, day: int = 0) -> str:
    return of(key, rules, day).reasons[0].code


def trying(
    key: str,
    *,
    first: int = 0,
    watch: int = 3,
    outcome: str = "open",
    how: str = "raw",
    until: int | None = None,
) -> Introduction:
    left_out = None if until is None else on(until)
    return Introduction(key, form(how), on(first), on(first + watch), outcome, left_out)


class TestStages:
    def test_a_row_for_a_food_replaces_those_of_its_group_at_every_stage(self):
        assert of("beetroot", on_stage("three")).allowance is Allowance.FREELY
        assert of("carrot", on_stage("three")).forms == (form("boiled + peeled"), form("pureed + peeled"))

    def test_a_row_stays_until_a_later_one_replaces_it(self):
        assert of("beetroot", on_stage("two")).forms == (form("boiled"),)

    def test_a_food_that_opens_later_says_at_which_stage(self):
        answer = of("egg", on_stage("one"))
        assert answer.allowance is Allowance.NOT_YET
        assert (answer.reasons[0].code, answer.reasons[0].facts) == ("opens-at", {"stage": "Three"})

    def test_a_food_without_a_row_is_not_yet(self):
        assert (of("nuts", on_stage("three")).allowance, code("nuts", on_stage("three"))) == (
            0,
            "not-in-protocol",
        )

    def test_before_the_first_stage_and_without_a_protocol_all_is_free(self):
        assert of("egg", on_stage("one", since=on(1))).allowance is Allowance.FREELY
        assert allowance(PLAIN, EaterRules(born=GROWN_UP), "egg", None, MONDAY).allowance is Allowance.FREELY
        ended = EaterRules(born=GROWN_UP, stages=((on(-7), "one"), (on(0), "")))
        assert of("egg", ended).allowance is Allowance.FREELY

    def test_the_stage_of_the_day_counts(self):
        moving = EaterRules(born=GROWN_UP, stages=((on(0), "one"), (on(3), "three"), (on(5), "one")))
        assert [of("egg", moving, day).allowance is Allowance.FREELY for day in range(7)] == [
            False,
            False,
            False,
            True,
            True,
            False,
            False,
        ]

    def test_a_form_that_is_not_open_says_which_are(self):
        answer = allowance(BOOK, on_stage("one"), "carrot", form("raw"), MONDAY)
        assert answer.allowance is Allowance.NOT_YET
        assert answer.reasons[0].facts == {"forms": "boiled + peeled; peeled + pureed"}
        assert allowance(BOOK, on_stage("one"), "carrot", form("boiled + peeled"), MONDAY).allowance == 3

    def test_a_food_or_stage_nobody_knows_is_an_error(self):
        with pytest.raises(KeyError):
            of("dragon", on_stage("one"))
        with pytest.raises(KeyError):
            of("egg", on_stage("nine"))

    def test_the_note_of_the_row_goes_with_its_reason(self):
        assert of("carrot", on_stage("one")).reasons[0].facts["note"] == "Soft."


class TestFirstTastes:
    @pytest.mark.parametrize("outcome", ["open", "tolerated"])
    @pytest.mark.parametrize(("day", "most"), [(0, 5), (1, 5), (2, 10), (3, 10), (4, 15), (9, 15)])
    def test_they_step_up_by_days_from_their_introduction_to_the_most(
        self, day: int, most: int, outcome: str
    ):
        rules = on_stage("two", since=on(-20), introductions=(trying("butter", watch=10, outcome=outcome),))
        answer = of("butter", rules, day)
        assert (answer.most_g, answer.untried) == (most, False)

    def test_a_new_introduction_starts_the_steps_anew(self):
        again = (trying("butter", outcome="tolerated"), trying("butter", first=9))
        assert of("butter", on_stage("two", introductions=again), 9).most_g == 5

    @pytest.mark.parametrize(
        "tried", [(), (trying("butter", outcome="unclear"),), (trying("butter", watch=2),)]
    )
    def test_without_an_introduction_that_is_open_or_went_well_they_are_in_no_dish(self, tried):
        answer = of("butter", on_stage("two", introductions=tried), 6)
        assert (answer.allowance, answer.most_g, answer.untried) == (Allowance.FIRST_TASTES, 5, True)
        assert not any(permits(answer, form("raw"), use) for use in Use)
        assert answer.reasons[0].code == "first-tastes-untried"

    def test_a_flavour_is_no_way_round_an_untried_first_taste(self):
        answer = of("butter", on_stage("two", conditions=frozenset({"constipation"})))
        assert (answer.allowance, answer.untried) == (Allowance.FLAVOUR_ONLY, True)

    def test_while_one_is_watched_the_others_wait(self):
        rules = on_stage("two", introductions=(trying("butter", watch=2),))
        assert (of("cabbage", rules, 2).allowance, code("cabbage", rules, 2)) == (
            Allowance.NOT_YET,
            "one-at-a-time",
        )
        assert of("cabbage", rules, 3).allowance is Allowance.FIRST_TASTES

    def test_an_amount_that_cannot_be_weighed_is_none(self):
        unknown = protocol(
            rule("one", "first tastes", "rock", start=(Decimal(1), "cup"), step=G, every_days=1, most=G)
        )
        book = RuleBook.compile(unknown, [food("rock", density_g_per_ml=None)])
        answer = allowance(book, on_stage("one"), "rock", None, MONDAY)
        assert (answer.allowance, answer.most_g) == (Allowance.FIRST_TASTES, 0)


class TestConditions:
    def test_more_care_is_asked_while_a_condition_holds(self):
        answer = of("carrot", on_stage("one", conditions=frozenset({"loose-stools"})))
        assert answer.forms == (form("boiled + peeled + deseeded"), form("pureed + peeled + deseeded"))
        assert answer.reasons[0].code == "condition-form"

    def test_a_free_food_becomes_one_as_prepared(self):
        answer = of("beetroot", on_stage("three", conditions=frozenset({"loose-stools"})))
        assert (answer.allowance, answer.forms) == (Allowance.AS_PREPARED, (form("peeled + deseeded"),))

    def test_a_condition_can_close_a_food_or_keep_it_as_a_flavour(self):
        assert code("cabbage", on_stage("two", conditions=frozenset({"flare"}))) == "condition"
        answer = of("celery", on_stage("two", conditions=frozenset({"reflux"})))
        assert (answer.allowance, answer.reasons[0].code) == (Allowance.FLAVOUR_ONLY, "condition-flavour")

    def test_peeling_is_asked_of_everything_that_has_a_peel(self):
        meat = food("beef", "beef", aisle="meat")
        book = RuleBook.compile(
            protocol(
                rule("one", "freely", "beef"),
                modifiers=(Modifier("flare", all=True, require=form("peeled")),),
            ),
            [meat],
        )
        rules = on_stage("one", conditions=frozenset({"flare"}))
        assert allowance(book, rules, "beef", None, MONDAY).allowance is Allowance.FREELY


class TestIntroductions:
    def test_an_open_one_opens_one_food_in_one_form(self):
        rules = on_stage("one", introductions=(trying("egg", how="boiled"),))
        assert allowance(BOOK, rules, "egg", form("boiled"), on(1)).allowance is Allowance.FIRST_TASTES
        for other in ("raw", "fried", "broth"):
            assert allowance(BOOK, rules, "egg", form(other), on(1)).allowance is Allowance.NOT_YET
        assert not permits(of("egg", rules, 1), form("broth"), Use.FLAVOUR)
        assert of("egg-yolk", rules, 1).allowance is Allowance.NOT_YET

    def test_it_begins_on_its_first_day_and_ends_with_its_watch_days(self):
        rules = on_stage("one", introductions=(trying("egg", first=2, watch=3),))
        assert [day for day in range(9) if of("egg", rules, day).allowance] == [2, 3, 4, 5]

    def test_what_was_tolerated_stays_open_in_its_form(self):
        rules = on_stage("one", introductions=(trying("egg", how="boiled", outcome="tolerated"),))
        answer = of("egg", rules, 30)
        assert (answer.allowance, answer.forms) == (Allowance.AS_PREPARED, (form("boiled"),))

    def test_what_was_unclear_is_as_if_never_tried(self):
        assert (
            code("egg", on_stage("one", introductions=(trying("egg", outcome="unclear"),)), 5) == "opens-at"
        )

    def test_a_reaction_leaves_the_food_and_what_contains_it_out_until_a_date(self):
        rules = on_stage("three", introductions=(trying("egg-yolk", outcome="reacted", until=30),))
        assert [code(key, rules, 29) for key in ("egg-yolk", "mayonnaise")] == ["left-out", "left-out"]
        assert of("mayonnaise", rules, 30).allowance is Allowance.FREELY

    def test_a_reaction_without_a_date_leaves_it_out_for_good(self):
        assert (
            code("butter", on_stage("three", introductions=(trying("butter", outcome="reacted"),)), 999)
            == "reacted"
        )

    def test_a_reaction_counts_without_a_protocol_too(self):
        rules = EaterRules(born=GROWN_UP, introductions=(trying("egg", outcome="reacted"),))
        assert allowance(PLAIN, rules, "egg", None, on(3)).allowance is Allowance.NOT_YET

    def test_a_later_try_opens_again_exactly_its_form(self):
        again = trying("egg", first=10, how="baked")
        rules = on_stage("three", introductions=(trying("egg", outcome="reacted", until=30), again))
        answer = of("egg", rules, 11)
        assert (answer.allowance, answer.forms) == (Allowance.FIRST_TASTES, (form("baked"),))

    def test_a_planned_challenge_gives_its_dose_for_the_day_and_none_in_the_washout(self):
        rules = on_stage("two", introductions=(trying("milk", watch=4),))
        assert [of("milk", rules, day).most_g for day in range(2)] == [60, 125]
        for day in (2, 3, 4):
            assert (of("milk", rules, day).allowance, code("milk", rules, day)) == (
                Allowance.NOT_YET,
                "washout",
            )
            assert not any(permits(of("milk", rules, day), form("raw"), use) for use in Use)

    @pytest.mark.parametrize(
        "row",
        [
            rule("two", "first tastes", "milk", "raw", start=(Decimal(3), "ml"), most=(Decimal(3), "ml")),
            rule("two", "as prepared", "milk", "baked"),
            rule("two", "flavour only", "milk"),
            rule("two", "freely", "milk"),
        ],
        ids=lambda row: row.allowance.word,
    )
    def test_a_planned_challenge_is_dosed_whatever_the_row_gives(self, row: Rule):
        planned = Challenge("rung", "Rung", "milk", form("raw"), "two", DOSES, dose_days=2, washout_days=3)
        book = RuleBook.compile(protocol(row, challenges=(planned,)), FOODS)
        rules = on_stage("two", introductions=(trying("milk", watch=4),))
        answers = [allowance(book, rules, "milk", form("raw"), on(day)) for day in range(6)]
        assert [answer.most_g for answer in answers[:2]] == [60, 125]
        assert [answer.allowance for answer in answers[2:5]] == [Allowance.NOT_YET] * 3
        assert answers[5] == allowance(book, on_stage("two"), "milk", form("raw"), on(5))

    def test_a_dose_that_cannot_be_weighed_is_none(self):
        planned = Challenge(
            "rock", "Rock", "rock", form("raw"), "one", ((Decimal(1), "cup"),), dose_days=1, washout_days=0
        )
        book = RuleBook.compile(protocol(challenges=(planned,)), [food("rock", density_g_per_ml=None)])
        answer = allowance(book, on_stage("one", introductions=(trying("rock"),)), "rock", None, MONDAY)
        assert answer.most_g == 0

    def test_what_a_challenge_showed_stays_out_until_all_are_tested(self):
        """The background diet stays as it is during challenges: Tuck and Barrett, J Gastroenterol Hepatol, 2017."""
        rules = on_stage("two", introductions=(trying("milk", outcome="tolerated"),))
        assert of("milk", rules, 9).allowance is Allowance.NOT_YET
        later = EaterRules(
            born=GROWN_UP, stages=((on(0), "two"), (on(9), "three")), introductions=rules.introductions
        )
        assert of("milk", later, 9).allowance is Allowance.AS_PREPARED

    @pytest.mark.parametrize("outcome", ["open", "tolerated"])
    @pytest.mark.parametrize("key", ["cabbage", "butter"])
    def test_a_condition_of_today_wins_over_what_an_introduction_opened(self, key: str, outcome: str):
        paused = Modifier("flare", food=key, allowance=Allowance.NOT_YET)
        book = RuleBook.compile(
            protocol(rule("one", "first tastes", "butter", **TASTES), modifiers=(paused,)), FOODS
        )
        tried = (trying(key, watch=10, outcome=outcome),)
        unwell = on_stage("one", introductions=tried, conditions=frozenset({"flare"}))
        answer = allowance(book, unwell, key, None, on(9))
        assert (answer.allowance, answer.reasons[0].code) == (Allowance.NOT_YET, "condition")
        assert allowance(book, on_stage("one", introductions=tried), key, None, on(9)).allowance

    def test_a_paused_introduction_is_watched_on(self):
        rules = on_stage("two", introductions=(trying("cabbage", watch=2),), conditions=frozenset({"flare"}))
        assert [code("butter", rules, day) for day in (2, 3)] == ["one-at-a-time", "first-tastes-untried"]

    def test_care_that_a_condition_asks_is_asked_of_what_was_tolerated(self):
        tried = (trying("beetroot", how="baked", outcome="tolerated"),)
        rules = on_stage("one", introductions=tried, conditions=frozenset({"loose-stools"}))
        assert of("beetroot", rules, 9).forms == (
            form("baked + peeled + deseeded"),
            form("boiled + peeled + deseeded"),
        )

    def test_after_a_reaction_the_cap_of_a_first_taste_holds_for_a_later_try(self):
        tried = (trying("butter", outcome="reacted", until=30), trying("butter", first=10))
        assert of("butter", on_stage("two", introductions=tried), 12).most_g == 10

    def test_a_reaction_undoes_what_was_tolerated_before_it(self):
        tried = (
            trying("butter", first=-20, outcome="tolerated"),
            trying("butter", outcome="reacted", until=30),
        )
        assert of("butter", on_stage("two", introductions=tried), 30).untried

    def test_a_tolerated_food_flavours_only_in_its_form(self):
        tried = (trying("egg", how="boiled", outcome="tolerated"),)
        answer = of("egg", on_stage("one", introductions=tried), 9)
        assert permits(answer, form("boiled"), Use.FLAVOUR)
        assert not permits(answer, form("raw"), Use.FLAVOUR)

    def test_a_form_joins_those_that_may_flavour_and_closes_none(self):
        answer = of("celery", on_stage("one", introductions=(trying("celery", how="raw"),)), 1)
        assert (answer.allowance, answer.forms) == (Allowance.AS_PREPARED, (form("raw"),))
        flavours = [how for how in ("broth", "raw", "fried") if permits(answer, form(how), Use.FLAVOUR)]
        assert flavours == ["broth", "raw"]
        open_ = of("celery", on_stage("two", introductions=(trying("celery", how="raw"),)), 1)
        assert permits(open_, form("fried"), Use.FLAVOUR)

    def test_what_is_free_in_some_forms_stays_so_beside_another(self):
        book = RuleBook.compile(protocol(rule("one", "freely", "egg", "boiled")), FOODS)
        rules = on_stage("one", introductions=(trying("egg", how="baked"),))
        assert allowance(book, rules, "egg", None, on(1)).forms == (form("boiled"), form("baked"))

    def test_another_form_joins_those_that_are_open(self):
        rules = on_stage("two", introductions=(trying("celery", how="raw"),))
        assert of("celery", rules, 1).forms == (form("boiled"), form("raw"))


class TestWhatWinsOverEverything:
    @pytest.mark.parametrize("key", ["butter", "ghee", "milk"])
    def test_an_allergy_bars_all_that_carries_it(self, key: str):
        rules = EaterRules(born=GROWN_UP, allergies=frozenset({"milk"}))
        answer = allowance(PLAIN, rules, key, None, MONDAY)
        assert (answer.allowance, answer.reasons[0].code) == (Allowance.NOT_YET, "allergy")

    def test_exclusions_and_instructions_bar_what_contains_the_food(self):
        for field, expected in (("excluded", "excluded"), ("forbidden", "clinician")):
            rules = EaterRules(born=GROWN_UP, **{field: frozenset({"egg-yolk"})})
            assert allowance(PLAIN, rules, "mayonnaise", None, MONDAY).reasons[0].code == expected

    def test_an_allergy_bars_what_is_being_introduced(self):
        rules = on_stage("one", introductions=(trying("egg"),), allergies=frozenset({"egg"}))
        assert code("egg", rules, 1) == "allergy"


# -- properties ------------------------------------------------------------------------------------------------------

KEYS = tuple(each.key for each in FOODS)
some_keys = st.frozensets(st.sampled_from(KEYS), max_size=3)
introductions = st.builds(
    lambda key, first, watch, outcome, until: trying(
        key, first=first, watch=watch, outcome=outcome, until=until
    ),
    key=st.sampled_from(KEYS),
    first=st.integers(-20, 5),
    watch=st.integers(0, 6),
    outcome=st.sampled_from(("open", "tolerated", "reacted", "unclear")),
    until=st.none() | st.integers(-5, 30),
)
rules_ = st.builds(
    EaterRules,
    born=st.dates(date(1940, 1, 1), date(2026, 5, 1)),
    flags=st.frozensets(st.sampled_from(("pregnant", "breastfeeding", "weak-immunity", "warfarin"))),
    allergies=st.frozensets(st.sampled_from(("egg", "milk", "celery")), max_size=2),
    excluded=some_keys,
    forbidden=some_keys,
    stages=st.sampled_from(("one", "two", "three")).map(lambda stage: ((on(-3), stage),)),
    conditions=st.frozensets(st.sampled_from(("loose-stools", "flare", "reflux", "nausea"))),
    introductions=st.lists(introductions, max_size=3).map(tuple),
)
FORMS = tuple(
    form(text) for text in ("raw", "boiled", "boiled + peeled", "broth", "boiled + peeled + deseeded")
)


def uses(given_: FoodAllowance) -> set[tuple[frozenset[str], Use]]:
    return {(how, use) for how in FORMS for use in Use if permits(given_, how, use, Decimal(5))}


@given(rules_, st.integers(0, 10), st.sampled_from(KEYS))
def test_one_food_and_the_whole_day_agree(rules: EaterRules, day: int, key: str):
    assert day_allowances(BOOK, rules, on(day))[key] == of(key, rules, day)


@given(rules_, st.integers(0, 10))
def test_every_answer_gives_a_reason(rules: EaterRules, day: int):
    assert all(answer.reasons for answer in day_allowances(BOOK, rules, on(day)).values())


@given(
    rules_, st.integers(0, 10), st.sampled_from(("flags", "allergies", "excluded", "forbidden", "conditions"))
)
def test_no_tightening_loosens(rules: EaterRules, day: int, field: str):
    """Taking away a flag, an allergy, an exclusion, an instruction or a condition never closes anything."""
    fields = {name: getattr(rules, name) for name in EaterRules.__slots__}
    looser = EaterRules(**(fields | {field: frozenset()}))
    strict, loose = day_allowances(BOOK, rules, on(day)), day_allowances(BOOK, looser, on(day))
    assert all(uses(strict[key]) <= uses(loose[key]) for key in KEYS)


@given(rules_, st.integers(0, 10))
def test_no_food_before_its_stage_without_an_introduction(rules: EaterRules, day: int):
    tried = {tried.food for tried in rules.introductions}
    opens_late = {
        "one": {"butter", "cabbage", "egg", "mayonnaise", "nuts"},
        "two": {"egg", "nuts"},
        "three": {"nuts"},
    }
    answers = day_allowances(BOOK, rules, on(day))
    for key in opens_late[rules.stage_on(on(day))] - tried:
        assert answers[key].allowance is Allowance.NOT_YET


@given(rules_, st.integers(0, 10))
def test_exclusions_always_win(rules: EaterRules, day: int):
    answers = day_allowances(BOOK, rules, on(day))
    for key in KEYS:
        left_out = BOOK.made_of[key] & (rules.excluded | rules.forbidden)
        if left_out or BOOK.foods[key].families & rules.allergies:
            assert answers[key].allowance is Allowance.NOT_YET
