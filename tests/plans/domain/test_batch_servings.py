"""Which day eats what: in its keeping days, or from the freezer."""

from datetime import timedelta
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from plans.domain.batch.safety import keeping_of
from plans.domain.batch.servings import Served, serve
from tests.plans.domain.batch_asks import HAIR, MONDAY, SAFETY, grams, need, needs

KEEPING = keeping_of(MONDAY, SAFETY)


def served(asked, broth_ml="10000", let_down_ml="0", meat_g="1000", freezer=True) -> Served:
    return serve(
        asked,
        broth_ml=Decimal(broth_ml),
        let_down_ml=Decimal(let_down_ml),
        meat_g=Decimal(meat_g),
        keeping=KEEPING,
        freezer=freezer,
    )


def test_fresh_then_from_the_refrigerator_then_thawed_the_day_before():
    found = served(need("2", "2", "2", "2", "2", "2"))
    assert [each.source for each in found.servings] == ["fresh", "kept", "kept", "kept", "thawed", "thawed"]
    assert [each.thaw_on for each in found.servings[3:]] == [
        None,
        MONDAY + timedelta(days=3),
        MONDAY + timedelta(days=4),
    ]
    assert found.remarks == ()


def test_without_a_freezer_a_late_day_gets_nothing_and_is_named():
    found = served(need("2", "2", "2", "2", "3"), freezer=False)
    assert len(found.servings) == 4
    assert [(each.code, each.facts["on"], each.facts["portions"]) for each in found.remarks] == [
        ("day-out-of-reach", MONDAY + timedelta(days=4), 3)
    ]


def test_what_is_short_is_short_on_the_last_days():
    found = served(need("2", "2", broth_ml="400", meat_g="100"), broth_ml="1000", meat_g="350")
    assert [each.broth_ml for each in found.servings] == [800, 200]
    assert [each.meat_g for each in found.servings] == [200, 150]
    assert {each.code: dict(each.facts) for each in found.remarks} == {
        "broth-short": {"broth_ml": 600},
        "meat-short": {"meat_g": 50},
    }


def test_a_strong_broth_is_let_down_in_the_bowl():
    found = served(need("4"), broth_ml="1000", let_down_ml="1000")
    assert (found.servings[0].broth_ml, found.servings[0].jar_ml) == (1000, 500)
    assert found.left_ml == 500


@given(needs, grams(20000), st.integers(0, 5000), grams(3000), st.booleans())
def test_every_portion_is_in_its_days_and_nothing_is_eaten_twice(
    asked, broth_ml, let_down_ml, meat_g, freezer
):
    found = served(asked, broth_ml, let_down_ml, meat_g, freezer)
    for each in found.servings:
        if each.source == "thawed":
            assert freezer and KEEPING.use_by < each.on <= KEEPING.best_by
            assert each.thaw_on == each.on - timedelta(days=1)
        else:
            assert KEEPING.made_on <= each.on <= KEEPING.use_by
        assert each.vegetables_g == each.portions * asked.vegetables_g
    assert abs(sum(each.jar_ml for each in found.servings) + found.left_ml - broth_ml) < HAIR
    assert sum(each.meat_g for each in found.servings) + found.left_meat_g == meat_g
    told = {each.facts["on"] for each in found.remarks if "on" in each.facts}
    assert told | {each.on for each in found.servings} == set(asked.portions)
