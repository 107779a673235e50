"""The audit trail and the practice's settings."""

import pytest

from coaching.domain.errors import Refused
from coaching.practice.models import AuditEntry, Practice
from coaching.practice.services import audit, practice_change, practice_set_up
from tests.factories import NOON, PracticeFactory


def test_audit_writes_who_what_and_when(cast):
    audit(practice=cast.practice, user=cast.coach.user, action="looked", subject="a", facts={"n": 1}, at=NOON)
    entry = AuditEntry.objects.get()
    assert (entry.practice, entry.user, entry.action, entry.subject, entry.facts, entry.at) == (
        cast.practice,
        cast.coach.user,
        "looked",
        "a",
        {"n": 1},
        NOON,
    )


def test_a_change_is_saved_and_its_fields_are_audited_without_their_values(cast):
    saved = practice_change(
        practice=cast.practice, values={"phone": "01 555", "paper": "letter"}, by=cast.owner, at=NOON
    )
    assert (saved.phone, saved.paper) == ("01 555", "letter")
    assert AuditEntry.objects.get().facts == {"fields": ["paper", "phone"]}


def test_saving_the_same_again_changes_and_audits_nothing(cast):
    practice_change(practice=cast.practice, values={"name": cast.practice.name}, by=cast.owner, at=NOON)
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize("field", ["slug", "rules_checked_at", "id"])
def test_what_is_not_a_setting_is_refused_and_nothing_changes(cast, field: str):
    with pytest.raises(Refused) as refused:
        practice_change(
            practice=cast.practice, values={field: "other", "name": "Other"}, by=cast.owner, at=NOON
        )
    assert [problem.field for problem in refused.value.problems] == [field]
    assert Practice.objects.get(pk=cast.practice.pk).name == "Here"


def test_moving_to_another_country_asks_for_the_local_rules_again(cast):
    assert cast.practice.is_set_up
    saved = practice_change(practice=cast.practice, values={"country": "GB"}, by=cast.owner, at=NOON)
    assert saved.rules_checked_at is None
    assert not saved.is_set_up


def test_setting_up_records_who_confirmed_and_when(cast):
    practice = PracticeFactory(rules_checked_at=None, client_agreement="", postal_address="")
    assert not practice.is_set_up
    values = {"postal_address": "2 Quay Lane", "client_agreement": "Coaching only."}
    saved = practice_set_up(practice=practice, values=values, by=cast.coach, at=NOON)
    assert saved.is_set_up
    assert (saved.rules_checked_at, saved.rules_checked_by) == (NOON, cast.coach.user)
    assert list(AuditEntry.objects.values_list("action", flat=True)) == [
        "practice changed",
        "local rules confirmed",
    ]
