"""The calendar of challenges: its order, what a reaction does to it, and what a challenge showed."""

from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.allowance import EaterRules, Introduction, allowance
from plans.domain.book import Challenge
from plans.domain.challenges import Result, Step, Verdict, after_reaction, result, schedule, watch_days
from plans.domain.quantities import grams
from plans.domain.vocabulary import Allowance
from tests import shipped

MONDAY = date(2025, 3, 3)


def challenge(key: str, *grams_: int, dose_days: int = 3, washout_days: int = 3) -> Challenge:
    doses = tuple((Decimal(each), "g") for each in grams_ or (20, 40, 80))
    return Challenge(key, key.title(), key, frozenset(("raw",)), "test", doses, dose_days, washout_days)


def on(day: int) -> date:
    return MONDAY + timedelta(days=day)


def g(amount: int) -> tuple[Decimal, str]:
    return Decimal(amount), "g"


TWO = schedule((challenge("milk"), challenge("honey")), MONDAY)


class TestSchedule:
    def test_doses_rise_then_the_food_is_left_out_then_the_next_begins(self):
        assert TWO[:7] == (
            Step(on(0), "milk", 1, g(20)),
            Step(on(1), "milk", 2, g(40)),
            Step(on(2), "milk", 3, g(80)),
            Step(on(3), "milk"),
            Step(on(4), "milk"),
            Step(on(5), "milk"),
            Step(on(6), "honey", 1, g(20)),
        )

    def test_the_last_dose_repeats_and_what_does_not_fit_is_not_given(self):
        longer = schedule([challenge("milk", 5, 10, dose_days=4, washout_days=0)], MONDAY)
        assert [step.dose for step in longer] == [1, 2, 2, 2]
        assert [step.dose for step in schedule([challenge("milk", dose_days=1)], MONDAY)] == [1, 0, 0, 0]

    def test_no_challenges_make_no_calendar(self):
        assert schedule((), MONDAY) == ()

    @pytest.mark.parametrize(
        "key", ["lactose", "fructose", "sorbitol", "mannitol", "fructans-wheat", "fructans-onion"]
    )
    def test_the_dose_of_the_day_is_what_the_eater_may_have(self, key: str):
        """The calendar and the allowances read a challenge alike, for every food that is otherwise closed."""
        (planned,) = (each for each in shipped.protocol("three-phase").challenges if each.key == key)
        book = shipped.rulebook("three-phase")
        steps = schedule([planned], MONDAY)
        tried = Introduction(planned.food, planned.form, MONDAY, steps[-1].on)
        rules = EaterRules(born=date(1980, 1, 1), stages=((MONDAY, planned.stage),), introductions=(tried,))
        for step in steps:
            given_ = allowance(book, rules, planned.food, planned.form, step.on)
            if step.amount:
                assert given_.most_g == grams(*step.amount, book.foods[planned.food])
            else:
                assert given_.allowance is Allowance.NOT_YET


class TestReaction:
    def test_the_doses_left_are_cancelled_and_the_washout_begins(self):
        """Reaction on test day 2: day 3 is cancelled, the washout starts (Tuck and Barrett, 2017)."""
        after = after_reaction(TWO, on(1), on(2))
        assert [(step.on, step.dose) for step in after if step.challenge == "milk"] == [
            (on(0), 1),
            (on(1), 2),
            (on(2), 0),
            (on(3), 0),
            (on(4), 0),
        ]
        assert watch_days(after)["honey"] == (on(5), on(10))

    def test_symptoms_that_last_hold_the_next_challenge(self):
        """Symptoms until washout day 3: the next begins after three clear days, not on the fourth day."""
        after = after_reaction(TWO, on(1), on(5))
        assert watch_days(after) == {"milk": (on(0), on(7)), "honey": (on(8), on(13))}

    def test_a_late_reaction_begins_the_washout_anew(self):
        assert watch_days(after_reaction(TWO, on(4), on(5)))["honey"] == (on(8), on(13))

    def test_until_symptoms_are_clear_nothing_more_is_dated(self):
        after = after_reaction(TWO, on(1), None)
        assert watch_days(after) == {"milk": (on(0), on(4))}
        assert after_reaction(TWO, on(1), on(9))[-1].on == on(17)

    def test_a_reaction_to_the_last_challenge_leaves_a_washout(self):
        assert watch_days(after_reaction(TWO, on(7), on(8)))["honey"] == (on(6), on(10))

    def test_days_that_cannot_be_are_errors(self):
        with pytest.raises(ValueError, match="no challenge is watched on 2025-03-15"):
            after_reaction(TWO, on(12), None)
        with pytest.raises(ValueError, match="before the reaction"):
            after_reaction(TWO, on(2), on(1))


class TestResult:
    """No reaction: tolerated; at dose k: keeps the dose below; at the first: avoid and try again after two months.
    From memory of Tuck and Barrett, 2017."""

    @pytest.mark.parametrize(
        ("reacted_on", "expected"),
        [
            (None, Result(Verdict.TOLERATED, g(80))),
            (on(0), Result(Verdict.AVOIDS, None, date(2025, 5, 3))),
            (on(1), Result(Verdict.KEEPS, g(20), date(2025, 5, 4))),
            (on(2), Result(Verdict.KEEPS, g(40), date(2025, 5, 5))),
            (on(5), Result(Verdict.KEEPS, g(40), date(2025, 5, 8))),
        ],
    )
    def test_it_says_what_is_kept_and_when_to_try_again(self, reacted_on: date | None, expected: Result):
        assert result(TWO, "milk", reacted_on) == expected

    def test_a_reaction_is_laid_to_doses_that_were_eaten(self):
        after = after_reaction(TWO, on(1), on(3))
        assert result(after, "milk", on(3)).amount == g(20)

    def test_a_repeated_dose_is_not_the_dose_below_itself(self):
        steps = schedule([challenge("milk", 5, 10)], MONDAY)
        assert result(steps, "milk", on(2)).amount == g(5)

    def test_the_day_of_the_next_try_is_there_in_short_months_too(self):
        steps = schedule([challenge("milk")], date(2025, 12, 31))
        assert result(steps, "milk", date(2025, 12, 31)).retest_on == date(2026, 3, 1)
        assert result(steps, "milk", date(2025, 12, 31), retest_after_months=3).retest_on == date(2026, 3, 31)

    def test_what_was_not_tested_has_no_result(self):
        with pytest.raises(ValueError, match="no challenge egg"):
            result(TWO, "egg")
        with pytest.raises(ValueError, match="honey was not watched"):
            result(TWO, "honey", on(1))


# -- properties ------------------------------------------------------------------------------------------------------

planned = st.lists(
    st.builds(
        lambda doses, dose_days, washout_days: (doses, dose_days, washout_days),
        st.lists(st.integers(1, 200), min_size=1, max_size=4),
        st.integers(1, 7),
        st.integers(0, 7),
    ),
    min_size=1,
    max_size=9,
).map(
    lambda rows: tuple(
        challenge(f"food-{at}", *doses, dose_days=dose_days, washout_days=washout_days)
        for at, (doses, dose_days, washout_days) in enumerate(rows)
    )
)
first_days = st.dates(date(2024, 1, 1), date(2030, 1, 1))


def one_at_a_time(steps: tuple[Step, ...]) -> bool:
    """Every day once and in order, no day missing, and no challenge begun twice or before another is over."""
    spans = list(watch_days(steps).values())
    return (
        all(later.on - step.on == timedelta(days=1) for step, later in pairwise(steps))
        and len(spans) == len({step.challenge for step in steps})
        and all(ended < begun for (_, ended), (begun, _) in pairwise(spans))
        and sum((ended - begun).days + 1 for begun, ended in spans) == len(steps)
    )


@given(planned, first_days)
def test_no_two_challenges_are_watched_on_one_day(challenges: tuple[Challenge, ...], first_day: date):
    steps = schedule(challenges, first_day)
    assert one_at_a_time(steps)
    assert len(steps) == sum(each.dose_days + each.washout_days for each in challenges)
    assert list(watch_days(steps)) == [each.key for each in challenges]


@given(planned, first_days, st.integers(-400, 400))
def test_another_first_day_moves_every_day_alike(
    challenges: tuple[Challenge, ...], first_day: date, days: int
):
    shift = timedelta(days=days)
    moved = [
        Step(step.on + shift, step.challenge, step.dose, step.amount)
        for step in schedule(challenges, first_day)
    ]
    assert list(schedule(challenges, first_day + shift)) == moved


@given(planned, first_days, st.data())
def test_after_a_reaction_the_next_waits_for_the_washout_and_for_quiet(
    challenges: tuple[Challenge, ...], first_day: date, data: st.DataObject
):
    steps = schedule(challenges, first_day)
    reacted = data.draw(st.sampled_from(steps))
    clear = reacted.on + timedelta(days=data.draw(st.integers(0, 20)))
    after = after_reaction(steps, reacted.on, clear)
    keys = [each.key for each in challenges]
    washout = timedelta(days=challenges[keys.index(reacted.challenge)].washout_days)
    assert one_at_a_time(after)
    assert list(watch_days(after)) == keys
    assert not any(
        step.dose for step in after if step.challenge == reacted.challenge and step.on > reacted.on
    )
    following = keys[keys.index(reacted.challenge) + 1 :]
    if following:
        begun = watch_days(after)[following[0]][0]
        assert begun > reacted.on + washout
        assert begun >= clear + washout
    for key in following:
        assert [step.dose for step in after if step.challenge == key] == [
            step.dose for step in steps if step.challenge == key
        ]
    held = after_reaction(steps, reacted.on, None)
    assert {step.challenge for step in held} == set(keys) - set(following)
