"""The rules table shows what the engine goes by, and an edit changes what it was made in and nothing else."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.book import Food, Protocol, Rule, Stage
from plans.domain.rulebook import RuleBook
from plans.domain.table import FOOD, GROUP, Source, Table, Target, cell_of
from plans.domain.vocabulary import Allowance

STAGES = tuple(Stage(key, number, key.title(), "", 1, 2) for number, key in enumerate("abcd", start=1))
FOODS = {
    food.key: food
    for food in (
        Food("carrot", "Carrot", "roots", "vegetables"),
        Food("beet", "Beet", "roots", "vegetables"),
        Food("hen", "Hen", "poultry", "meat"),
    )
}
TARGETS = (*(Target(FOOD, key) for key in FOODS), Target(GROUP, "roots"), Target(GROUP, "poultry"))
BOILED = (frozenset(("boiled",)),)

said = st.builds(
    Rule,
    stage=st.just(""),
    allowance=st.sampled_from(Allowance),
    forms=st.sampled_from(((), BOILED)),
    start=st.sampled_from((None, (Decimal(5), "g"))),
    note=st.sampled_from(("", "Soft.")),
)
places = st.tuples(st.sampled_from(TARGETS), st.sampled_from([stage.key for stage in STAGES]))


@st.composite
def tables(draw: st.DrawFn) -> Protocol:
    filled = draw(st.dictionaries(places, said, max_size=12))
    protocol = Protocol("p", "P", "", "", STAGES, ())
    rules = tuple(
        replace(
            rule,
            stage=stage,
            food=target.key if target.kind == FOOD else "",
            group=target.key if target.kind == GROUP else "",
        )
        for (target, stage), rule in filled.items()
    )
    return replace(protocol, rules=rules)


def what_holds(protocol: Protocol) -> dict[tuple[str, str], Rule | None]:
    """By food and stage what the row says that the engine goes by."""
    compiled = RuleBook.compile(protocol, FOODS.values())
    return {
        (food, stage): row.rule and replace(row.rule, stage="", food="", group="")
        for stage, rows in compiled.stages.items()
        for food, row in rows.items()
    }


@given(tables())
def test_the_table_shows_what_the_engine_goes_by(protocol: Protocol) -> None:
    held = what_holds(protocol)
    for section in Table(protocol, FOODS).sections:
        for line in section.foods:
            for cell in line.cells:
                shown = cell.holds and replace(cell.holds, stage="", food="", group="")
                assert shown == held[cell.target.key, cell.stage]
                assert (cell.source is Source.NONE) == (cell.holds is None)
                assert (cell.source is Source.OWN) == (cell.own is not None)


@given(tables(), places, said)
def test_a_changed_cell_says_so_and_no_earlier_stage_and_no_other_target_changes(
    protocol: Protocol, place: tuple[Target, str], rule: Rule
) -> None:
    target, stage = place
    changed = Table(protocol, FOODS).with_rows({place: rule})
    cell = Table(changed, FOODS).cell(*place)
    assert replace(cell.holds, stage="", food="", group="") == rule
    before, after = what_holds(protocol), what_holds(changed)
    hears = (
        {target.key} if target.kind == FOOD else {k for k, food in FOODS.items() if food.group == target.key}
    )
    first = STAGES.index(next(one for one in STAGES if one.key == stage))
    later = {one.key for one in STAGES[first:]}
    for (food, at), held in after.items():
        if food not in hears or at not in later:
            assert held == before[food, at]


@given(tables(), st.dictionaries(places, st.none() | said, min_size=1, max_size=8))
def test_edits_keep_one_row_a_target_and_stage_and_are_the_same_made_twice(protocol: Protocol, cells) -> None:
    once = Table(protocol, FOODS).with_rows(cells)
    placed = [(Target.of(rule), rule.stage) for rule in once.rules]
    assert len(placed) == len(set(placed))
    assert what_holds(Table(once, FOODS).with_rows(cells)) == what_holds(once)


@given(tables(), st.sampled_from([target for target in TARGETS if target.kind == FOOD]))
def test_a_food_with_no_rows_of_its_own_goes_by_its_group_again(protocol: Protocol, target: Target) -> None:
    cleared = Table(protocol, FOODS).with_rows({(target, stage.key): None for stage in STAGES})
    line = Table(cleared, FOODS).line(target)
    head = Table(cleared, FOODS).line(Target(GROUP, FOODS[target.key].group))
    assert not line.has_own
    assert [cell.holds for cell in line.cells] == [cell.holds for cell in head.cells]


def test_a_food_that_gets_a_row_takes_those_of_its_group_with_it() -> None:
    group = Rule("a", Allowance.AS_PREPARED, group="roots", forms=BOILED)
    protocol = Protocol("p", "P", "", "", STAGES, (group,))
    changed = Table(protocol, FOODS).with_rows({(Target(FOOD, "beet"), "c"): Rule("", Allowance.FREELY)})
    assert changed.rules == (
        group,
        Rule("a", Allowance.AS_PREPARED, food="beet", forms=BOILED),
        Rule("c", Allowance.FREELY, food="beet"),
    )
    back = Table(changed, FOODS).with_rows({(Target(FOOD, "beet"), "c"): None})
    assert back == protocol


def test_a_food_keeps_its_row_when_the_group_loses_the_row_it_repeats_in_the_same_edit() -> None:
    group = Rule("c", Allowance.FREELY, group="roots")
    protocol = Protocol("p", "P", "", "", STAGES, (group,))
    edit = {(Target(FOOD, "beet"), "c"): Rule("", Allowance.FREELY), (Target(GROUP, "roots"), "c"): None}
    assert Table(protocol, FOODS).with_rows(edit).rules == (Rule("c", Allowance.FREELY, food="beet"),)


def test_rows_for_what_the_book_lacks_come_last() -> None:
    lost = Rule("b", Allowance.FREELY, food="lost")
    sections = Table(Protocol("p", "P", "", "", STAGES, (lost,)), FOODS).sections
    assert [section.group for section in sections] == ["poultry", "roots", ""]
    assert sections[-1].head is None
    assert [line.name for line in sections[-1].foods] == ["lost"]


def test_a_cell_is_named_in_text() -> None:
    cell = Table(Protocol("p", "P", "", "", STAGES, ()), FOODS).cell(Target(GROUP, "roots"), "b")
    assert cell.id == "group:roots@b"
    assert cell_of(cell.id) == (Target(GROUP, "roots"), "b")
    for wrong in ("", "roots@b", "group:@b", "group:roots", "herb:roots@b", "group:roots@"):
        with pytest.raises(ValueError, match="names"):
            cell_of(wrong)
