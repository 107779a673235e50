"""At every stage of the shipped protocols there is a week; in the demo's also for those with a common allergy."""

from collections import Counter
from datetime import date

import pytest

from plans.domain.brief import NoWeek
from plans.domain.brief_json import week_record
from plans.domain.gaps import gaps
from plans.domain.planner.solve import plan_week
from tests import checker, shipped
from tests.efforts import QUICK

START = date(2026, 12, 7)
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


SHIPPED = sorted(path.stem for path in (shipped.DATA / "protocols").glob("*.yaml"))


@pytest.mark.parametrize(
    ("name", "stage"),
    [
        (name, stage.key)
        for name in SHIPPED
        if name != "hearth-five"
        for stage in shipped.protocol(name).stages
    ],
)
def test_every_other_shipped_protocol_has_a_week_at_every_stage_or_says_why_not(name: str, stage: str):
    """A stage without a dish for some meal is a gap of the protocol, and the reason why there is no week."""
    protocol = shipped.protocol(name)
    open_ = gaps(protocol, shipped.rulebook(None).foods, shipped.recipes())
    unserved = {gap.facts["slot"].value for gap in open_ if (gap.code, gap.stage) == ("no-dish", stage)}
    ana = shipped.eater(protocol=name, stages=[(START, stage)])
    asked = shipped.household({"ana": ana}, start=START)
    week = plan_week(shipped.brief(asked), effort=QUICK)
    if isinstance(week, NoWeek):
        assert unserved
        assert unserved <= {reason.facts.get("slot") for reason in week.conflicts}
    else:
        assert not unserved
        assert checker.complaints(week_record(week), asked) == []


@pytest.mark.parametrize("name", SHIPPED)
def test_no_shipped_protocol_has_a_mistake_to_be_mended(name: str):
    found = gaps(shipped.protocol(name), shipped.rulebook(None).foods, shipped.recipes())
    assert [gap for gap in found if gap.is_mistake] == []
