"""A protocol page says every rule once, at the stage where it begins."""

from hypothesis import given

from plans.domain.overview import openings
from plans.domain.vocabulary import Allowance
from tests.plans.book_strategies import protocols


@given(protocols())
def test_every_rule_is_said_once_at_its_stage(protocol) -> None:
    said = [
        (part.stage.key, opening.rule.allowance, opening.rule.forms, opening.rule.note, target)
        for part in openings(protocol, {})
        for opening in part.openings
        for target in (*opening.foods, *opening.groups)
    ]
    rules = [
        (rule.stage, rule.allowance, rule.forms, rule.note, rule.food or rule.group)
        for rule in protocol.rules
    ]
    assert sorted(said, key=str) == sorted(rules, key=str)


@given(protocols())
def test_stages_stand_in_order_and_the_widest_allowance_first(protocol) -> None:
    parts = openings(protocol, {})
    assert [part.stage for part in parts] == list(protocol.stages)
    for part in parts:
        allowances = [opening.rule.allowance for opening in part.openings]
        assert allowances == sorted(allowances, reverse=True)
        assert all(isinstance(allowance, Allowance) for allowance in allowances)
