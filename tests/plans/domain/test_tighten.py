"""Combining allowances: the stricter of two never permits what one of them forbids."""

from dataclasses import replace
from decimal import Decimal
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from plans.domain.brief import FoodAllowance, Reason
from plans.domain.tighten import barred, meets, noted, permits, tightened
from plans.domain.vocabulary import Allowance, Use
from tests.plans.domain.hand_made import form

WORDS = ("boiled", "raw", "peeled", "deseeded")
ALL_FORMS = tuple(frozenset(words) for size in range(5) for words in combinations(WORDS, size))
AMOUNTS = tuple(Decimal(amount) for amount in (0, 5, 10, 20))

forms = st.lists(st.sampled_from(ALL_FORMS[1:]), max_size=3, unique=True).map(tuple)
allowances = st.builds(
    FoodAllowance,
    allowance=st.sampled_from(Allowance),
    forms=forms,
    most_g=st.none() | st.sampled_from(AMOUNTS),
    reasons=st.just((Reason("given", {}),)),
    flavour_forms=forms,
).filter(lambda given: given.most_g is None or given.allowance is Allowance.FIRST_TASTES)


def all_uses(given: FoodAllowance) -> set[tuple[frozenset[str], Use, Decimal]]:
    return {
        (asked, use, amount)
        for asked in ALL_FORMS
        for use in Use
        for amount in AMOUNTS
        if permits(given, asked, use, amount)
    }


def eaten(uses: set[tuple[frozenset[str], Use, Decimal]]) -> set[tuple[frozenset[str], Use, Decimal]]:
    return {use for use in uses if use[1] is not Use.FLAVOUR}


@given(allowances, allowances)
def test_the_stricter_of_two_lets_eat_what_both_let_eat_and_flavours_no_more(
    one: FoodAllowance, other: FoodAllowance
):
    both = all_uses(one) & all_uses(other)
    assert eaten(all_uses(tightened(one, other))) == eaten(both)
    assert all_uses(tightened(one, other)) <= both


@given(allowances, allowances)
def test_the_order_does_not_matter(one: FoodAllowance, other: FoodAllowance):
    first, second = tightened(one, other), tightened(other, one)
    assert replace(first, reasons=()) == replace(second, reasons=())


@given(allowances)
def test_tightening_by_itself_changes_no_use(given_: FoodAllowance):
    assert all_uses(tightened(given_, given_)) == all_uses(given_)


def test_more_care_than_asked_is_fine():
    assert meets(form("boiled + peeled + deseeded"), (form("boiled + peeled"),))
    assert not meets(form("boiled"), (form("boiled + peeled"),))


def test_a_reason_that_changes_nothing_is_not_given():
    strict = FoodAllowance(Allowance.NOT_YET, reasons=(Reason("first", {}),))
    assert (
        tightened(strict, FoodAllowance(Allowance.FREELY, reasons=(Reason("later", {}),))).reasons
        == strict.reasons
    )


def test_the_reason_that_decides_stands_first():
    given_ = FoodAllowance(Allowance.FREELY, reasons=(Reason("first", {}),))
    assert [reason.code for reason in barred(given_, Reason("later", {})).reasons] == ["later", "first"]
    assert [reason.code for reason in noted(given_, Reason("notice", {})).reasons] == ["first", "notice"]


def test_what_may_be_eaten_may_flavour_a_pot_in_any_form():
    given_ = FoodAllowance(Allowance.AS_PREPARED, (form("boiled + peeled"),))
    assert permits(given_, form("broth"), Use.FLAVOUR)
    assert not permits(given_, form("broth"))
    bound = FoodAllowance(Allowance.FLAVOUR_ONLY, (form("broth"),))
    assert permits(bound, form("broth"), Use.FLAVOUR)
    assert not permits(bound, form("raw"), Use.FLAVOUR)


def test_some_forms_bind_every_flavour():
    firm = (form("boiled"), form("baked"))
    limited = FoodAllowance(Allowance.FREELY, firm, flavour_forms=firm)
    for given_ in (FoodAllowance(Allowance.FREELY), FoodAllowance(Allowance.FLAVOUR_ONLY)):
        both = tightened(given_, limited)
        assert permits(both, form("baked"), Use.FLAVOUR)
        assert not permits(both, form("raw"), Use.FLAVOUR)
