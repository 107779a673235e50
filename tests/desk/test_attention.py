"""Why a client is on the board, and in which order."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.desk.domain.attention import WEIGHT, ClientFacts, StageFacts, pressing, reasons
from coaching.desk.wording import ATTENTION, ATTENTION_SHORT

TODAY = date(2026, 6, 10)


def stage(**facts) -> StageFacts:
    """An eater on day 6 of a stage who reported yesterday and is fine."""
    calm = StageFacts(
        eater="Nell",
        began_on=TODAY - timedelta(days=5),
        start_on=TODAY - timedelta(days=5),
        usual_days=10,
        most_days=21,
        last_check_in=TODAY - timedelta(days=1),
    )
    return replace(calm, **facts)


def codes(*stages: StageFacts, **facts) -> list[str]:
    return [reason.code for reason in reasons(ClientFacts(stages=stages, **facts), TODAY)]


def test_nothing_presses_when_all_is_well():
    assert codes(stage()) == []


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ({"open_red_flags": 1}, "red-flag"),
        ({"burden_now": Decimal("5"), "burden_before": Decimal("3")}, "worse"),
        ({"last_check_in": TODAY - timedelta(days=3)}, "silent"),
        ({"held_since": TODAY - timedelta(days=7)}, "long-hold"),
        ({"began_on": TODAY - timedelta(days=9)}, "ready-to-review"),
        ({"began_on": TODAY - timedelta(days=21)}, "review-overdue"),
    ],
)
def test_each_reason_shows_from_its_threshold_on(facts: dict, code: str):
    assert codes(stage(**facts)) == [code]


@pytest.mark.parametrize(
    "facts",
    [
        {"burden_now": Decimal("4.9"), "burden_before": Decimal("3")},
        {"last_check_in": TODAY - timedelta(days=2)},
        {"held_since": TODAY - timedelta(days=6)},
        {"began_on": TODAY - timedelta(days=8)},
    ],
)
def test_and_not_before(facts: dict):
    assert codes(stage(**facts)) == []


def test_two_points_are_a_change_people_notice():
    """Farrar et al., Pain 2001;94:149-58: about 2 points on the 0-10 scale."""
    assert codes(stage(burden_now=Decimal(5), burden_before=Decimal(3))) == ["worse"]


def test_before_day_one_the_packet_is_what_counts():
    ahead = stage(began_on=TODAY + timedelta(days=9), start_on=TODAY + timedelta(days=9), last_check_in=None)
    assert codes(ahead) == ["no-packet"]
    assert codes(ahead, has_packet=True) == []
    assert codes(replace(ahead, start_on=TODAY + timedelta(days=4)), has_packet=True) == ["starts-soon"]


def test_danger_comes_before_what_is_merely_due():
    found = codes(stage(open_red_flags=1, last_check_in=TODAY - timedelta(days=8)), unsigned=1)
    assert found == ["red-flag", "clinician-first", "silent"]


def test_every_reason_has_a_weight_and_words():
    assert set(WEIGHT) == set(ATTENTION) == set(ATTENTION_SHORT)


stages = st.builds(
    StageFacts,
    eater=st.just("Nell"),
    began_on=st.dates(TODAY - timedelta(days=90), TODAY + timedelta(days=30)),
    start_on=st.dates(TODAY - timedelta(days=90), TODAY + timedelta(days=30)),
    usual_days=st.integers(1, 30),
    most_days=st.none() | st.integers(1, 60),
    held_since=st.none() | st.dates(TODAY - timedelta(days=30), TODAY),
    last_check_in=st.none() | st.dates(TODAY - timedelta(days=30), TODAY),
    burden_now=st.none() | st.decimals(0, 10, places=2),
    burden_before=st.none() | st.decimals(0, 10, places=2),
    open_red_flags=st.integers(0, 3),
)
households = st.builds(
    ClientFacts,
    stages=st.lists(stages, max_size=4).map(tuple),
    unsigned=st.integers(0, 2),
    barred=st.integers(0, 2),
    has_packet=st.booleans(),
)


@given(households)
def test_reasons_stand_in_order_and_can_be_said(facts: ClientFacts):
    found = reasons(facts, TODAY)
    weights = [reason.weight for reason in found]
    assert weights == sorted(weights, reverse=True)
    assert pressing(found) == max(weights, default=0)
    assert all(str(ATTENTION[reason.code] % reason.facts) for reason in found)


@given(households, st.integers(0, 3))
def test_a_red_flag_never_makes_a_client_press_less(facts: ClientFacts, place: int):
    if not facts.stages:
        return
    flagged = list(facts.stages)
    flagged[place % len(flagged)] = replace(flagged[place % len(flagged)], open_red_flags=1)
    assert pressing(reasons(replace(facts, stages=tuple(flagged)), TODAY)) == WEIGHT["red-flag"]
