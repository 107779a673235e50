"""A draft keeps what was typed, becomes a household once, and can be put away."""

from datetime import timedelta

import pytest

from clients.models import Household, IntakeDraft
from clients.services import intake as services
from coaching.domain.errors import Refused
from coaching.practice.models import Practice
from tests.clients.test_household_services import new_household
from tests.factories import NOON


@pytest.fixture
def draft(cast) -> IntakeDraft:
    return services.draft_start(practice=cast.practice, coach=cast.coach, at=NOON)


def keep(draft: IntakeDraft, step: str, **typed: list[str]) -> IntakeDraft:
    return services.draft_keep(draft=draft, step=step, typed=typed, at=NOON + timedelta(minutes=5))


def test_no_draft_begins_while_the_practice_is_not_set_up(cast):
    Practice.objects.filter(pk=cast.practice.pk).update(rules_checked_at=None)
    cast.practice.refresh_from_db()
    with pytest.raises(Refused):
        services.draft_start(practice=cast.practice, coach=cast.coach, at=NOON)
    assert not IntakeDraft.objects.exists()


def test_steps_are_kept_as_typed_beside_each_other(draft):
    keep(draft, "household", name=["Dana"], email=["nonsense"])
    kept = keep(draft, "kitchen", pot_1=["many"])
    assert kept.answers == {
        "household": {"name": ["Dana"], "email": ["nonsense"]},
        "kitchen": {"pot_1": ["many"]},
    }
    assert kept.updated_at == NOON + timedelta(minutes=5)


def test_a_step_typed_again_replaces_itself(draft):
    keep(draft, "household", name=["Dana"], email=["x"])
    assert keep(draft, "household", name=["Dana Reed"]).answers == {"household": {"name": ["Dana Reed"]}}


def test_a_finished_draft_makes_one_household_and_holds_no_answers_any_more(cast, draft):
    keep(draft, "household", name=["Dana"])
    made = services.intake_complete(draft=draft, new=new_household(cast), by=cast.coach, at=NOON)
    again = services.intake_complete(draft=draft, new=new_household(cast), by=cast.coach, at=NOON)
    assert made == again
    assert Household.objects.filter(name="Reed").count() == 1
    draft.refresh_from_db()
    assert (draft.household, draft.answers) == (made, {})


def test_a_finished_draft_takes_nothing_more_and_is_not_put_away(cast, draft):
    services.intake_complete(draft=draft, new=new_household(cast), by=cast.coach, at=NOON)
    with pytest.raises(Refused):
        keep(draft, "household", name=["Other"])
    with pytest.raises(Refused):
        services.draft_archive(draft=draft, by=cast.coach, at=NOON)


def test_a_refused_household_leaves_the_draft_as_it_was(cast, draft):
    keep(draft, "household", name=["Dana"])
    with pytest.raises(Refused):
        services.intake_complete(draft=draft, new=new_household(cast, eaters=()), by=cast.coach, at=NOON)
    draft.refresh_from_db()
    assert (draft.household, draft.answers) == (None, {"household": {"name": ["Dana"]}})


def test_a_draft_is_put_away(cast, draft):
    services.draft_archive(draft=draft, by=cast.coach, at=NOON)
    draft.refresh_from_db()
    assert draft.archived_at == NOON
