"""Forms give back what they were given, in either unit."""

from decimal import Decimal

import pytest
from django.utils.datastructures import MultiValueDict
from hypothesis import given
from hypothesis import strategies as st

from clients.domain.people import JAR_SIZES, WEEKDAYS, KitchenFacts
from clients.domain.questions import Group, Person, asked_of
from clients.forms.kitchen import KitchenForm
from clients.forms.screening import ScreeningForm
from tests.factories import TODAY

ADULT = Person(TODAY.replace(year=1986), "female")


def as_typed(initial: dict) -> MultiValueDict:
    """Initial values as a browser would send them back."""
    typed = {}
    for name, value in initial.items():
        if isinstance(value, list):
            typed[name] = [str(item) for item in value]
        elif value is not False and value is not None:
            typed[name] = [f"{value:f}" if isinstance(value, Decimal) else str(value)]
    return MultiValueDict(typed)


@pytest.mark.parametrize("units", ["metric", "us"])
@given(weight=st.decimals(40, 160, places=1), height=st.integers(140, 210), ticked=st.booleans())
def test_a_screening_shown_and_sent_again_says_the_same(units, weight, height, ticked):
    questions = asked_of(ADULT, TODAY)
    answers = {"weight-kg": weight, "height-cm": Decimal(height), "warfarin": ticked}
    answers |= {q.key: False for q in questions if q.kind == "yes-no" and q.key != "warfarin"}
    initial = ScreeningForm.initial_from(answers, questions, units)
    form = ScreeningForm(as_typed(initial), person=ADULT, today=TODAY, units=units)
    assert form.is_valid(), form.errors
    again = form.answers()
    assert again["warfarin"] is ticked
    # Pounds and inches are shown to one decimal: half of that, in metric, is the most that can differ.
    assert abs(again["weight-kg"] - weight) <= Decimal("0.023")
    assert abs(again["height-cm"] - height) <= Decimal("0.127")


@pytest.mark.parametrize("units", ["metric", "us"])
@given(
    pots=st.lists(st.decimals(1, 40, places=1), min_size=1, max_size=4),
    minutes=st.integers(0, 600),
    busy=st.sets(st.sampled_from(WEEKDAYS)),
    freezer=st.booleans(),
    burners=st.integers(1, 8),
    jar_sizes=st.dictionaries(st.sampled_from(JAR_SIZES), st.integers(1, 7)),
    shallow=st.decimals(0, 20, places=1),
    iced_water=st.booleans(),
    elevation=st.none() | st.integers(0, 5000).map(Decimal),
    at_home=st.dictionaries(st.sampled_from(WEEKDAYS), st.integers(0, 96).map(lambda quarter: quarter * 15)),
    out=st.sets(st.sampled_from(WEEKDAYS)),
)
def test_a_kitchen_shown_and_sent_again_says_the_same(
    units, pots, minutes, busy, freezer, burners, jar_sizes, shallow, iced_water, elevation, at_home, out
):
    facts = KitchenFacts(
        pots_l=tuple(sorted(pots, reverse=True)),
        jars=50,
        hands_on_min=dict.fromkeys(WEEKDAYS, minutes),
        busy=tuple(day for day in WEEKDAYS if day in busy),
        freezer=freezer,
        burners=burners,
        jar_sizes=jar_sizes,
        shallow_l=shallow,
        iced_water=iced_water,
        elevation_m=elevation,
        at_home_min=at_home,
        out=tuple(day for day in WEEKDAYS if day in out),
    )
    form = KitchenForm(as_typed(KitchenForm.initial_from(facts, units)), units=units)
    assert form.is_valid(), form.errors
    again = form.facts()
    assert all(abs(a - b) <= Decimal("0.005") for a, b in zip(again.pots_l, facts.pots_l, strict=True))
    assert (again.burners, again.jar_sizes, again.iced_water) == (burners, jar_sizes, iced_water)
    assert abs(again.shallow_l - shallow) <= Decimal("0.005")
    # Feet are shown whole: half a foot is the most that can differ.
    assert again.elevation_m == elevation or abs(again.elevation_m - elevation) <= Decimal("0.1524")
    assert (again.at_home_min, set(again.out)) == (at_home, out)
    assert (again.jars, again.hands_on_min, set(again.busy), again.freezer) == (
        50,
        facts.hands_on_min,
        busy,
        freezer,
    )


def test_every_group_of_ticks_has_a_none_of_these():
    form = ScreeningForm(person=ADULT, today=TODAY, units="metric")
    for group in Group:
        assert group.value in form.fields
        assert f"{group.value}-none" in form.fields


def test_inches_alone_are_no_height():
    form = ScreeningForm(MultiValueDict({"height-in": ["6"]}), person=ADULT, today=TODAY, units="us")
    assert "height-ft" in form.errors


def kitchen_form(**typed: str) -> KitchenForm:
    minutes = {f"min_{day}": "60" for day in WEEKDAYS}
    return KitchenForm({"pot_1": "8", **minutes, **typed}, units="us")


def test_days_without_a_time_at_home_have_no_limit_and_a_wrong_one_is_told():
    form = kitchen_form(home_mon="2.5", home_tue="0")
    assert form.is_valid(), form.errors
    assert form.facts().at_home_min == {"mon": 150, "tue": 0}
    assert kitchen_form().is_valid()
    for typed in ("25", "-1", "an hour"):
        wrong = kitchen_form(home_mon=typed)
        assert list(wrong.errors) == ["home_mon"]
        assert wrong["home_mon"].value() == typed
    assert list(kitchen_form(out="someday").errors) == ["out"]


def test_jars_by_size_are_counted_for_whoever_gives_no_count():
    form = kitchen_form(**{"jars": "", "jars_quart-wide": "4", "jars_pint-wide": "2"})
    assert form.is_valid(), form.errors
    assert (form.facts().jars, form.facts().burners) == (6, 2)


def test_fewer_jars_than_those_by_size_are_refused():
    form = kitchen_form(**{"jars": "5", "jars_quart-wide": "6"})
    assert form.errors == {
        "jars": ["The jars by size add up to 6. Write at least so many, or leave this empty."]
    }


def test_half_a_burner_is_refused():
    assert "burners" in kitchen_form(burners="1.5").errors
