"""An order of wants: always all of them, moved one place at a time."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.domain.wants import DOWN, UP, wants_in_order, wants_moved, wants_record
from clients.wording.wants import WANT, WANT_MEANS, order_words
from plans.domain.brief import WANTS

orders = st.permutations(WANTS).map(tuple)


@given(st.lists(st.sampled_from((*WANTS, "thrift"))))
def test_an_order_holds_every_want_once_and_the_chosen_first(chosen):
    order = wants_in_order(chosen)
    assert sorted(order) == sorted(WANTS)
    known = [want for want in dict.fromkeys(chosen) if want in WANTS]
    assert list(order[: len(known)]) == known


@given(orders)
def test_an_order_survives_its_record(order):
    assert wants_in_order(wants_record(order)) == order


@given(orders, st.sampled_from(WANTS))
def test_down_takes_back_up_and_the_ends_stay(order, want):
    up = wants_moved(order, want, UP)
    assert up == order if order[0] == want else wants_moved(up, want, DOWN) == order
    down = wants_moved(order, want, DOWN)
    assert down == order if order[-1] == want else wants_moved(down, want, UP) == order


def test_the_usual_order_is_stored_as_nothing():
    assert wants_record(WANTS) == []
    assert wants_in_order(()) == WANTS
    assert wants_moved(WANTS, "time", UP)[:2] == ("time", "stores")


def test_another_want_cannot_be_moved():
    with pytest.raises(ValueError):
        wants_moved(WANTS, "thrift", UP)


def test_every_want_has_words():
    assert WANT.keys() == WANT_MEANS.keys() == set(WANTS)
    assert order_words(("time", "stores")) == "Save time at the stove; use up what is in the house"
