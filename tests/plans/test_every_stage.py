"""At every stage of the demo protocol there is a week, for everyone and for those with a common allergy."""

from collections import Counter
from datetime import date

import pytest

from plans.domain.brief import NoWeek
from plans.domain.brief_json import week_record
from plans.domain.planner.solve import plan_week
from plans.domain.planner.solving import Effort
from tests import checker, shipped

START = date(2026, 12, 7)
QUICK = Effort(first=0.8, a_round=0.1, rounds=2)
STAGES = ("settle", "soften", "taste", "widen", "table")
ALLERGIES = (frozenset(), frozenset({"milk"}), frozenset({"egg"}), frozenset({"fish"}))


@pytest.mark.parametrize("allergies", ALLERGIES, ids=lambda families: next(iter(families), "none"))
@pytest.mark.parametrize("stage", STAGES)
def test_a_week_without_the_same_main_more_than_three_times(stage: str, allergies: frozenset[str]):
    ana = shipped.eater(protocol="hearth-five", stages=[(START, stage)], allergies=set(allergies))
    asked = shipped.household({"ana": ana}, start=START)
    week = plan_week(shipped.brief(asked), effort=QUICK)
    assert not isinstance(week, NoWeek)
    assert checker.complaints(week_record(week), asked) == []
    mains = {cook.key: checker.recipes()[cook.recipe]["main"] for cook in week.cooks}
    eaten = Counter(mains[plate.cook] for plate in week.plates if plate.slot in ("midday", "evening"))
    assert sum(eaten.values()) == 14
    assert max(eaten.values()) <= 3


@pytest.mark.parametrize("stage", ["restriction", "challenge", "personal"])
def test_the_published_protocol_has_a_week_at_every_phase(stage: str):
    ana = shipped.eater(protocol="three-phase", stages=[(START, stage)])
    asked = shipped.household({"ana": ana}, start=START)
    week = plan_week(shipped.brief(asked), effort=QUICK)
    assert not isinstance(week, NoWeek)
    assert checker.complaints(week_record(week), asked) == []
