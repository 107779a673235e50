"""A batch planned whole."""

from dataclasses import replace
from datetime import UTC, date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.domain.batch.asking import Ask, Assumed, Chilling, Need, Table
from plans.domain.batch.jars import HALF_GALLON, JarStock, Place
from plans.domain.batch.outcome import Batch, label_of
from plans.domain.batch.plan import batch_for
from plans.domain.batch.trade import BONES_G_PER_ML, Kind
from tests.plans.domain.batch_asks import HAIR, LB, MONDAY, QT, SAFETY, START, ask, asks, litres, need, needs

TINY = Decimal("1e-9")


def plan(**facts) -> Batch:
    return batch_for(ask(**facts), SAFETY)


def codes(batch: Batch) -> list[str]:
    return [remark.code for remark in batch.warnings]


def warning(batch: Batch, code: str) -> dict:
    return dict(next(remark.facts for remark in batch.warnings if remark.code == code))


def noted(batch: Batch) -> list[str]:
    return [remark.code for remark in batch.notes]


@settings(max_examples=80, deadline=None)
@given(asks)
def test_whatever_is_asked_the_batch_adds_up(asked: Ask):
    batch = batch_for(asked, SAFETY)
    for pot in batch.pots:
        filling = pot.filling
        out_ml = filling.broth_ml + filling.evaporated_ml + filling.held_back_ml
        assert abs(filling.water_ml - out_ml) < HAIR
        assert filling.full_ml <= filling.pot_ml + HAIR
        assert filling.broth_ml > 0
        assert 1 <= filling.strength <= asked.most_strength + TINY
    wanted_g = batch.needed_g if asked.bones_g is None else asked.bones_g
    assert abs(sum(pot.filling.bones_g for pot in batch.pots) - batch.bones_g) < HAIR
    assert abs(batch.bones_g + batch.bones_left_g - wanted_g) < HAIR
    assert batch.strength == 1 or "pot-too-small" in codes(batch)


@settings(max_examples=80, deadline=None)
@given(asks)
def test_no_more_burners_than_there_are_and_each_pot_alone_on_its_own(asked: Ask):
    pots = batch_for(asked, SAFETY).pots
    spans = [(pot, pot.starts_at.astimezone(UTC), pot.off_heat_at.astimezone(UTC)) for pot in pots]
    for pot, start, _ in spans:
        together = [other for other, begin, end in spans if begin <= start < end]
        assert len(together) <= asked.stove.burners
        assert (
            len({other.vessel for other in together})
            == len({other.burner for other in together})
            == len(together)
        )
        assert 1 <= pot.burner <= asked.stove.burners
        assert start >= asked.starts_at
    if asked.finish_by and "finish-too-late" not in codes(batch_for(asked, SAFETY)):
        assert all(end <= asked.finish_by for _, _, end in spans)


@settings(max_examples=80, deadline=None)
@given(asks)
def test_every_day_is_safe_or_told_and_all_that_is_left_is_in_a_jar_or_told(asked: Ask):
    batch = batch_for(asked, SAFETY)
    for serving in batch.servings:
        frozen = serving.source == "thawed"
        latest = batch.keeping.best_by if frozen else batch.keeping.use_by
        assert batch.keeping.made_on <= serving.on <= latest
        assert asked.freezer or not frozen
    told = {remark.facts["on"] for remark in batch.warnings if "on" in remark.facts}
    assert told | {serving.on for serving in batch.servings} == set(asked.need.portions)
    jarred_ml = sum(jar.holds_ml for jar in batch.jars) + batch.jarless_ml
    fresh_ml = sum(serving.jar_ml for serving in batch.servings if serving.source == "fresh")
    solids_ml = sum(
        serving.meat_g / BONES_G_PER_ML + serving.vegetables_g
        for serving in batch.servings
        if serving.source != "fresh" and asked.need.vegetables_g
    )
    assert abs(jarred_ml + fresh_ml - batch.broth_ml - solids_ml) < Decimal("1e-8")
    assert (batch.jarless_ml > TINY) == bool({"jars-short", "a-sip-over"} & set(codes(batch)))


@settings(max_examples=60, deadline=None)
@given(asks, needs, st.decimals(1, 4, places=1))
def test_a_bigger_need_never_gets_fewer_bones(asked: Ask, some: Need, times):
    asked = replace(asked, bones_g=None, need=some)
    bigger = replace(
        some,
        portions={on: count * times for on, count in some.portions.items()},
        broth_ml=some.broth_ml * times,
    )
    assert batch_for(asked, SAFETY).bones_g <= batch_for(replace(asked, need=bigger), SAFETY).bones_g


@settings(max_examples=30, deadline=None)
@given(asks)
def test_the_same_ask_gets_the_same_batch(asked: Ask):
    assert batch_for(asked, SAFETY) == batch_for(asked, SAFETY)


def test_a_need_becomes_bones_water_and_just_enough_broth():
    batch = plan(need=need("4", "4", "4"))
    assert abs(batch.broth_ml - 3000) < HAIR
    assert abs(batch.water_ml / QT - batch.bones_g / LB) < HAIR
    assert batch.strength == 1
    assert batch.spare_ml < TINY
    assert (batch.simmer_min, batch.core_temp_f) == (105, 165)


def test_bones_at_hand_are_cooked_whole_and_what_they_lack_is_said():
    batch = plan(need=need("9", "9", "9"), bones_g=Decimal("2.5") * LB)
    assert batch.water_ml == Decimal("2.5") * QT
    assert batch.salt_ml == Decimal("14.78676478125")
    assert warning(batch, "bones-short")["needed_g"] == batch.needed_g
    assert "broth-short" in codes(batch)


def test_one_pot_is_used_where_one_is_enough_and_the_smallest():
    batch = plan(stove=litres("12", "6", "9", burners=4))
    assert [pot.vessel for pot in batch.pots] == [1]


def test_pots_stand_side_by_side_where_one_is_too_small():
    batch = plan(bones_g=8 * LB, stove=litres("7", "5", burners=2))
    assert sorted(pot.vessel for pot in batch.pots) == [0, 1]
    assert [pot.burner for pot in batch.pots] == [1, 2]
    assert [f"{pot.starts_at:%H:%M}" for pot in batch.pots] == ["08:00", "08:20"]


def test_one_small_pot_makes_a_strong_batch_and_says_how_strong():
    batch = plan(bones_g=8 * LB, stove=litres("6.624470622"))
    facts = warning(batch, "pot-too-small")
    assert round(facts["strength"], 2) == Decimal("2.39")
    assert facts["asked_ml"] == 8 * QT
    assert len(batch.pots) == 1
    assert facts["let_down_ml"] == batch.let_down_ml > 0


def test_who_wants_it_no_stronger_fills_the_pot_again():
    batch = plan(bones_g=8 * LB, stove=litres("6.624470622"), most_strength=Decimal(1))
    assert [pot.vessel for pot in batch.pots] == [0, 0]
    assert batch.strength == 1
    assert [f"{pot.off_heat_at:%H:%M}" for pot in batch.pots] == ["10:15", "12:30"]


def test_bones_that_find_no_pot_in_time_are_left_over():
    batch = plan(bones_g=8 * LB, stove=litres("2"), finish_by=START + timedelta(hours=3))
    assert "bones-left" in codes(batch)
    assert "finish-too-late" not in codes(batch)
    assert round(batch.strength, 6) == 3


def test_a_pot_that_cannot_be_done_in_time_is_said_to_be_late():
    batch = plan(kind=Kind.BEEF, finish_by=START + timedelta(hours=3))
    facts = warning(batch, "finish-too-late")
    assert f"{facts['off_heat_at']:%H:%M}" == "13:30"


def test_a_batch_across_the_change_of_the_clocks_takes_its_hours():
    """New York, 1 November 2026: six hours later the clock has gone on by five (IANA time zones)."""
    batch = plan(kind=Kind.BEEF, starts_at=START.replace(month=11, day=1, hour=4), need=need("1"))
    assert f"{batch.pots[0].starts_at:%d %H:%M %Z}" == "01 00:00 EDT"
    assert f"{batch.off_heat_at:%d %H:%M %Z}" == "01 04:30 EST"
    assert f"{batch.pots[0].cooling.cold_by:%H:%M}" == "10:30"


def test_a_deep_pot_cools_too_slowly_unless_it_is_spread_or_iced():
    assert "cooling-too-slow-split-shallow" in codes(plan())
    assert "cooling-too-slow-split-shallow" not in codes(plan(chilling=Chilling(iced_water=True)))
    assert "cooling-too-slow-split-shallow" not in codes(plan(chilling=Chilling(Decimal(3001))))


def test_two_pots_need_dishes_for_both():
    facts = {"bones_g": 8 * LB, "stove": litres("7", "5"), "chilling": Chilling(Decimal(4000))}
    batch = plan(**facts)
    assert [pot.filling.broth_ml < 4000 for pot in batch.pots] == [True, True]
    assert [remark.facts["vessel"] for remark in batch.warnings if remark.code.startswith("cooling")] == [
        batch.pots[1].vessel
    ]


def test_a_jar_says_what_is_in_it_and_until_when():
    batch = plan(need=need("4", "4", "4", "4", "4"), jars=(JarStock(HALF_GALLON, 6),))
    labels = {jar.place: label_of(batch, jar) for jar in batch.jars}
    assert labels[Place.FRIDGE].made_on == MONDAY
    assert labels[Place.FRIDGE].eat_by == date(2026, 3, 5)
    assert labels[Place.FREEZER].freeze_by == MONDAY
    assert labels[Place.FREEZER].best_by == date(2026, 5, 31)
    assert labels[Place.FREEZER].eat_by is None
    assert "headspace-of-the-quart" in codes(batch)


def test_too_few_jars_are_counted():
    facts = warning(plan(need=need("0", "8")), "jars-short")
    assert abs(facts["left_ml"] - 2000) < HAIR
    assert (facts["more"], facts["size"]) == (2, "half-gallon-wide")


def test_the_table_changes_the_work():
    plain = plan()
    assert "garlic-pressed-at-the-end" in noted(plain)
    assert not {"peel-carrots", "child-share-before-salt"} & set(noted(plain))
    careful = plan(table=Table(loose_stools=True, garlic_badly_borne=True, small_child=True))
    assert {"peel-carrots", "garlic-whole-time", "child-share-before-salt"} <= set(noted(careful))
    assert {"celery-comes-out", "skim", "brine-when-cool-enough-to-eat", "no-water-bath-canning"} <= set(
        noted(plain)
    )


def test_high_up_it_simmers_longer():
    assert plan(elevation_ft=Decimal(7000)).simmer_min == 132
    assert plan(elevation_ft=Decimal(3500)).simmer_min == 105
    assert "simmers-longer-up-here" in noted(plan(elevation_ft=Decimal(3500)))
    assert "simmers-longer-up-here" not in noted(plan(elevation_ft=Decimal(2999)))


def test_vegetables_that_find_no_room_are_cooked_beside():
    batch = plan(need=need("4", "4", broth_ml="250", vegetables_g="400"), stove=litres("4"))
    facts = warning(batch, "vegetables-beside")
    assert facts["vegetables_g"] == batch.vegetables_beside_g > 0
    assert abs(batch.broth_ml + batch.vegetables_g - batch.vegetables_beside_g - 4000) < HAIR


def test_meat_may_ask_for_more_bones_than_broth_does_and_the_rest_is_frozen():
    batch = plan(need=need("4", "4", meat_g="200"))
    assert abs(batch.meat_g - 1600) < HAIR
    assert batch.spare_ml > 0
    assert "spare-broth" in noted(batch)


def test_only_bones_asked_for_nobody_goes_to_the_freezer():
    batch = plan(bones_g=2 * LB, jars=(JarStock(HALF_GALLON, 3),))
    assert batch.servings == ()
    assert {jar.place for jar in batch.jars} == {Place.FREEZER}
    assert {"spare-broth", "spare-meat"} <= set(noted(batch))


@pytest.mark.parametrize(
    ("facts", "message"),
    [
        ({"need": None}, "neither a need nor bones"),
        ({"bones_g": Decimal(0)}, "no bones"),
        ({"stove": litres()}, "no pot"),
        ({"stove": litres("0")}, "holds nothing"),
        ({"stove": litres("1", "1", "1", "1", "1", "1", "1")}, "more pots"),
        ({"stove": litres("5", burners=0)}, "no burner"),
        ({"starts_at": START.replace(tzinfo=None)}, "without a zone"),
        ({"finish_by": START.replace(tzinfo=None)}, "without a zone"),
        ({"most_strength": Decimal(4)}, "strength out of range"),
        ({"need": need("0")}, "nothing to eat"),
        ({"need": need("2", "-1")}, "nothing to eat"),
        ({"assumed": Assumed(simmer_min=Decimal(20))}, "not between 90 and 120"),
    ],
)
def test_what_no_batch_can_be_made_of_is_refused(facts, message):
    with pytest.raises(ValueError, match=message):
        plan(**facts)
