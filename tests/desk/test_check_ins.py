"""Check-ins as the coach reads, takes down and answers them."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from clients.domain.check_in import Answers
from clients.models import CheckIn
from clients.services.check_ins import check_in_record
from coaching.domain.errors import Refused
from coaching.practice.models import AuditEntry
from tests.factories import NOON, TODAY, CheckInFactory

pytestmark = pytest.mark.usefixtures("noon")


@pytest.fixture
def eater(cast):
    return cast.household.eaters.get()


def test_the_list_shows_what_was_reported_newest_first(cast, sign_in, eater):
    CheckInFactory(eater=eater, on=TODAY, symptoms={"bloating": 4}, foods_tried="pear")
    CheckInFactory(eater=eater, on=TODAY - timedelta(days=1), red_flags=["fever"])
    page = sign_in("coach").get(reverse("eater_check_ins", args=[eater.pk])).content.decode()
    assert "Bloating 4" in page
    assert "Tried: pear." in page
    assert page.index("10 Jun") < page.index("9 Jun")
    assert "red flag" in page


def test_an_empty_list_says_what_to_do(sign_in, eater):
    page = sign_in("coach").get(reverse("eater_check_ins", args=[eater.pk])).content.decode()
    assert "No check-in yet" in page


def test_twenty_check_ins_take_as_many_queries_as_two(cast, sign_in, eater):
    browser, counts = sign_in("coach"), []
    for first, last in ((0, 2), (2, 20)):
        for day in range(first, last):
            CheckInFactory(eater=eater, on=TODAY - timedelta(days=day))
        with CaptureQueriesContext(connection) as queries:
            assert browser.get(reverse("eater_check_ins", args=[eater.pk])).status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_a_coach_takes_one_down_on_the_telephone(cast, sign_in, eater):
    response = sign_in("coach").post(reverse("eater_check_in", args=[eater.pk]), {"mood": "6"})
    assert response["Location"] == reverse("eater_check_ins", args=[eater.pk])
    assert (CheckIn.objects.get().by, CheckIn.objects.get().mood) == ("coach", 6)


def test_a_red_flag_stays_open_until_a_clinicians_answer_is_recorded(cast, sign_in, eater):
    check_in = CheckInFactory(eater=eater, on=TODAY, red_flags=["fever"])
    browser, path = sign_in("coach"), reverse("red_flag", args=[check_in.pk])
    assert "There is no answer yet" not in browser.get(path).content.decode()
    assert browser.post(path, {"answer": "   "}).status_code == 200
    check_in.refresh_from_db()
    assert check_in.flags_answered_at is None
    browser.post(path, {"answer": "Dr. Ferreday saw her today: a cold."})
    check_in.refresh_from_db()
    assert (check_in.flags_answered_at, check_in.flags_answered_by) == (NOON, cast.coach.user)


def test_a_new_report_of_the_day_with_red_flags_opens_them_again(cast, sign_in, eater):
    CheckInFactory(eater=eater, on=TODAY, red_flags=["fever"], flags_answered_at=NOON, flags_answer="Seen")
    sign_in("client").post(reverse("check_in", args=[eater.pk]), {"red_flags": ["black-stools"]})
    assert CheckIn.objects.get().flags_answered_at is None


@pytest.mark.parametrize("days", [-1, 15])
def test_a_day_out_of_reach_is_refused(cast, eater, days: int):
    with pytest.raises(Refused):
        check_in_record(
            eater=eater,
            on=TODAY - timedelta(days=days),
            today=TODAY,
            answers=Answers(symptoms={}, energy=5),
            by="coach",
            user=cast.coach.user,
            at=NOON,
        )
    assert not CheckIn.objects.exists()


def test_the_audit_trail_holds_no_health_text(cast, sign_in, eater):
    sign_in("client").post(
        reverse("check_in", args=[eater.pk]),
        {"notes": "canary-4711", "symptom-bloating": "7", "red_flags": ["fever"]},
    )
    (entry,) = AuditEntry.objects.filter(action="check-in recorded")
    assert entry.facts == {"by": "client"}
    assert "canary-4711" not in str(list(AuditEntry.objects.values()))
