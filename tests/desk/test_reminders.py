"""Reminders: owed once, looked at again before they go, sent to a real mail server, and recorded."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.db import IntegrityError, transaction

from clients.models import Caution, CheckIn, CheckInLink, Client, Enrolment, SignOff
from coaching.desk.domain.due import Kind, Owed
from coaching.desk.models import MailStop, Reminder
from coaching.desk.services.reminders import reminder_owe, reminder_retry, reminders_queue
from coaching.outbox.models import OwedWork
from coaching.outbox.services import MOST_ATTEMPTS, pump, run_one
from plans.models import ProtocolVersion
from tests.factories import (
    NOON,
    TODAY,
    CautionFactory,
    CheckInFactory,
    ClientFactory,
    EaterFactory,
    EnrolmentFactory,
    make_household,
)

EVENING = datetime(2026, 6, 10, 17, 0, tzinfo=UTC)
"""Six o'clock where the cast lives, Europe/Dublin."""
State = Reminder.State
pytestmark = pytest.mark.django_db


def client_of(household) -> Client:
    return household.clients.get()


def starting(household, on: date) -> Enrolment:
    """Moves the household's only enrolment so that day one is this date."""
    enrolment = Enrolment.objects.get(eater__household=household)
    Enrolment.objects.filter(pk=enrolment.pk).update(start_on=on)
    enrolment.spells.update(began_on=on)
    return enrolment


def the_reminder(household, **fields) -> Reminder:
    return Reminder.objects.get(client__household=household, **fields)


def evening_mail(household, *, at: datetime = EVENING) -> Reminder:
    """Writes the reminders down at noon, sends what is due at ``at``, and returns the household's check-in reminder."""
    reminders_queue(now=NOON)
    with time_machine.travel(at, tick=False):
        pump(limit=None)
    return the_reminder(household, kind=Kind.CHECK_IN)


def test_a_reminder_is_written_down_a_day_ahead_and_once(cast):
    assert reminders_queue(now=NOON) == {Kind.CHECK_IN: 3}
    assert reminders_queue(now=NOON).total() == 0
    reminder = the_reminder(cast.household)
    assert (reminder.local_date, reminder.due_at, reminder.facts) == (TODAY, EVENING, {"eaters": 1})
    assert reminder.work.due_at == EVENING
    assert reminder.work.payload == {"reminder": str(reminder.pk)}


def test_only_one_practice_can_be_asked_for(cast):
    assert reminders_queue(now=NOON, practice=cast.practice).total() == 2
    assert not Reminder.objects.filter(client__household=cast.foreign_household).exists()


def test_a_missed_run_is_made_up_for_but_not_after_half_a_day(cast):
    reminders_queue(now=EVENING + timedelta(hours=11), practice=cast.practice)
    assert the_reminder(cast.household, local_date=TODAY).due_at == EVENING
    assert not Reminder.objects.filter(local_date=TODAY - timedelta(days=1)).exists()


def test_the_second_process_to_write_a_reminder_down_leaves_the_first_ones(cast):
    who = {"client_id": client_of(cast.household).pk, "on": TODAY, "due_at": EVENING}
    assert reminder_owe(owed=Owed(Kind.CHECK_IN), **who)
    assert not reminder_owe(owed=Owed(Kind.CHECK_IN), **who)
    assert Reminder.objects.count() == OwedWork.objects.count() == 1


def test_the_database_too_refuses_a_second_one(cast):
    reminders_queue(now=NOON)
    twin = the_reminder(cast.household)
    twin.pk, twin.work = None, None
    with pytest.raises(IntegrityError), transaction.atomic():
        twin.save(force_insert=True)


@pytest.mark.parametrize("days", [7, 3, 1, 0])
def test_the_countdown_is_sent_on_its_days(cast, postbox, days: int):
    starting(cast.household, TODAY + timedelta(days=days))
    morning = datetime(2026, 6, 10, 8, 0, tzinfo=UTC)
    reminders_queue(now=morning - timedelta(hours=3), practice=cast.practice)
    reminder = the_reminder(cast.household, kind=Kind.COUNTDOWN, local_date=TODAY)
    assert (reminder.due_at, reminder.facts) == (morning, {"days": days})
    with time_machine.travel(morning, tick=False):
        pump(limit=None)
    subject = {
        7: "Day one is in 7 days",
        3: "Day one is in 3 days",
        1: "Day one is tomorrow",
        0: "Today is day one",
    }
    assert [message["Subject"] for message in postbox.messages] == [subject[days]]


def test_lead_in_tasks_of_a_day_come_as_one_count(cast, postbox):
    tasks = [
        {"key": "cabbage", "title": "Start the cabbage", "kind": "culture", "days_before": 5},
        {"key": "bones", "title": "Order bones", "kind": "shop", "days_before": 5},
        {"key": "freeze", "title": "Freeze stock", "kind": "freeze", "days_before": 2},
    ]
    document = {**cast.version.document, "lead_in": tasks}
    ProtocolVersion.objects.filter(pk=cast.version.pk).update(document=document, digest="f" * 64)
    starting(cast.household, TODAY + timedelta(days=5))
    morning = datetime(2026, 6, 10, 7, 0, tzinfo=UTC)
    reminders_queue(now=morning, practice=cast.practice)
    reminder = the_reminder(cast.household, kind=Kind.LEAD_IN)
    assert (reminder.local_date, reminder.due_at, reminder.facts) == (TODAY, morning, {"tasks": 2})
    with time_machine.travel(morning, tick=False):
        pump(limit=None)
    assert postbox.messages[0]["Subject"] == "2 things to do before day one"
    assert "cabbage" not in postbox.messages[0].as_string().lower()


def test_a_check_in_reminder_reaches_the_mail_server_and_is_recorded(cast, postbox):
    reminder = evening_mail(cast.household)
    assert (reminder.state, reminder.sent_at) == (State.SENT, EVENING)
    assert reminder.work.state == OwedWork.State.DONE
    assert len(postbox.messages) == 3
    mine = next(m for m in postbox.messages if client_of(cast.household).email in m["To"])
    assert mine["Message-ID"] == f"<{reminder.work_id}@ladlework.example.org>"
    link = CheckInLink.objects.get(eater__household=cast.household)
    assert (link.on, link.used_at) == (TODAY, None)


def test_a_household_gets_one_mail_for_all_it_answers_for(cast, postbox):
    child = EaterFactory(household=cast.household, name="Ivo Alder", position=1)
    EnrolmentFactory(eater=child, version=cast.version)
    reminder = evening_mail(cast.household)
    assert reminder.facts == {"eaters": 2}
    assert CheckInLink.objects.filter(eater__household=cast.household).count() == 2


def test_two_clients_of_a_household_each_get_their_own(cast, postbox):
    partner = ClientFactory(household=cast.household, name="Aaron Alder")
    eater = EaterFactory(household=cast.household, client=partner, name="Aaron Alder", position=1)
    EnrolmentFactory(eater=eater, version=cast.version)
    reminders_queue(now=NOON, practice=cast.practice)
    assert [r.facts for r in Reminder.objects.filter(client__household=cast.household)] == [{"eaters": 1}] * 2


def nothing(cast) -> None:
    """Leaves everything as it is."""


def archive(cast) -> None:
    type(cast.household).objects.filter(pk=cast.household.pk).update(archived_at=NOON)


def stop_all(cast) -> None:
    MailStop.objects.create(client=client_of(cast.household), kind="", at=NOON)


def stop_check_ins(cast) -> None:
    MailStop.objects.create(client=client_of(cast.household), kind=Kind.CHECK_IN, at=NOON)


def stop_countdown(cast) -> None:
    MailStop.objects.create(client=client_of(cast.household), kind=Kind.COUNTDOWN, at=NOON)


def shut_account(cast) -> None:
    type(cast.client.user).objects.filter(pk=cast.client.user_id).update(is_active=False)


def lose_address(cast) -> None:
    Client.objects.filter(household=cast.household).update(email="")


def check_in(cast) -> None:
    CheckInFactory(eater=cast.household.eaters.get(), on=TODAY)


def check_in_yesterday(cast) -> None:
    CheckInFactory(eater=cast.household.eaters.get(), on=TODAY - timedelta(days=1))


def hold(cast) -> None:
    Enrolment.objects.filter(eater__household=cast.household).update(state=Enrolment.State.HELD)


def end(cast) -> None:
    Enrolment.objects.filter(eater__household=cast.household).update(state=Enrolment.State.ENDED)


def no_postal_address(cast) -> None:
    type(cast.practice).objects.filter(pk=cast.practice.pk).update(postal_address="")


CHANGES = [
    (nothing, State.SENT, ""),
    (stop_countdown, State.SENT, ""),
    (check_in_yesterday, State.SENT, ""),
    (archive, State.SKIPPED, "archived"),
    (stop_all, State.SKIPPED, "stopped"),
    (stop_check_ins, State.SKIPPED, "stopped"),
    (shut_account, State.SKIPPED, "inactive"),
    (lose_address, State.SKIPPED, "inactive"),
    (check_in, State.SKIPPED, "not-needed"),
    (hold, State.SKIPPED, "not-needed"),
    (end, State.SKIPPED, "not-needed"),
    (no_postal_address, State.FAILED, "no-address"),
]


@pytest.mark.parametrize(
    ("change", "state", "why"), CHANGES, ids=[change.__name__ for change, _, _ in CHANGES]
)
def test_everything_is_asked_again_before_sending(cast, postbox, change, state: str, why: str):
    address = client_of(cast.household).email
    reminders_queue(now=NOON)
    change(cast)
    with time_machine.travel(EVENING, tick=False):
        pump(limit=None)
    reminder = the_reminder(cast.household)
    assert (reminder.state, reminder.why) == (state, why)
    assert (address in " ".join(message["To"] for message in postbox.messages)) is (state == State.SENT)


@pytest.mark.parametrize(
    ("change", "state"),
    [(change, state) for change, state, _ in CHANGES],
    ids=[c.__name__ for c, _, _ in CHANGES],
)
def test_the_same_is_asked_before_it_is_written_down(cast, change, state: str):
    change(cast)
    reminders_queue(now=NOON)
    assert Reminder.objects.filter(client__household=cast.household).exists() is (state == State.SENT)


def test_a_barred_start_is_not_counted_down_to_until_a_clinician_has_signed(cast):
    starting(cast.household, TODAY + timedelta(days=3))
    caution = CautionFactory(
        eater=cast.household.eaters.get(), strength=Caution.Strength.CLINICIAN_FIRST, rule="pregnancy"
    )
    reminders_queue(now=NOON, practice=cast.practice)
    assert not Reminder.objects.filter(kind=Kind.COUNTDOWN).exists()
    SignOff.objects.create(
        caution=caution, clinician="Dr. Vale", profession="physician", agreed_on=TODAY, recorded_at=NOON
    )
    reminders_queue(now=NOON, practice=cast.practice)
    assert Reminder.objects.filter(kind=Kind.COUNTDOWN, client__household=cast.household).count() == 1


def test_a_countdown_to_a_date_that_was_moved_is_skipped(cast, postbox):
    starting(cast.household, TODAY + timedelta(days=4))
    reminders_queue(now=NOON, practice=cast.practice)
    starting(cast.household, TODAY + timedelta(days=11))
    with time_machine.travel(NOON + timedelta(days=1), tick=False):
        pump(limit=None)
    reminder = the_reminder(cast.household, kind=Kind.COUNTDOWN)
    assert (reminder.state, reminder.why) == (State.SKIPPED, "not-needed")


def test_quiet_hours_are_the_readers_own(cast, postbox):
    """Half past nine in the evening is quiet; the mail goes at eight next morning, on the reader's clock."""
    reminder = evening_mail(cast.household, at=datetime(2026, 6, 10, 20, 30, tzinfo=UTC))
    assert (reminder.state, postbox.messages) == (State.OWED, [])
    assert (reminder.work.due_at, reminder.work.attempts) == (datetime(2026, 6, 11, 7, 0, tzinfo=UTC), 0)


def test_a_reminder_half_a_day_late_is_skipped_and_says_so(cast, postbox, caplog):
    reminder = evening_mail(cast.household, at=EVENING + timedelta(hours=17))
    assert (reminder.state, reminder.why, postbox.messages) == (State.SKIPPED, "late", [])
    assert "comes too late" in caplog.text


def test_a_client_elsewhere_is_reminded_on_their_own_clock(cast):
    Client.objects.filter(household=cast.household).update(time_zone="Pacific/Auckland")
    reminders_queue(now=NOON, practice=cast.practice)
    due = Reminder.objects.filter(client__household=cast.household).values_list("local_date", "due_at")
    assert set(due) == {(date(2026, 6, day), datetime(2026, 6, day, 6, tzinfo=UTC)) for day in (10, 11)}


def test_an_address_that_does_not_exist_is_not_written_to_again(cast, postbox):
    postbox.reply_to_rcpt = "550 5.1.1 no such mailbox"
    reminder = evening_mail(cast.household)
    assert (reminder.state, reminder.why) == (State.FAILED, "refused")
    assert MailStop.objects.get(client=client_of(cast.household)).how == "refused"
    assert reminders_queue(now=NOON + timedelta(days=1), practice=cast.practice).total() == 0


@pytest.mark.parametrize("reply", ["450 4.2.0 try later", "550 5.7.1 we do not like you today"])
def test_other_refusals_are_tried_again(cast, postbox, caplog, reply: str):
    postbox.reply_to_rcpt = reply
    reminder = evening_mail(cast.household)
    assert (reminder.state, reminder.work.state, reminder.work.attempts) == (
        State.OWED,
        OwedWork.State.WAITING,
        1,
    )
    assert reminder.work.due_at == EVENING + timedelta(minutes=1)
    assert reminder.work.last_error == f"the mail server answered {reply[:3]}"
    ours = [record.getMessage() for record in caplog.records if record.name.startswith("ladlework")]
    assert ours
    assert not [line for line in ours if "@" in line]
    postbox.reply_to_rcpt = ""
    with time_machine.travel(EVENING + timedelta(minutes=1), tick=False):
        pump(limit=None)
    reminder.refresh_from_db()
    assert reminder.state == State.SENT


def test_a_server_that_hangs_up_may_have_taken_the_mail_so_the_repeat_carries_the_same_id(cast, postbox):
    postbox.reply_to_data = "drop"
    reminder = evening_mail(cast.household)
    assert reminder.state == State.OWED
    postbox.reply_to_data = ""
    with time_machine.travel(EVENING + timedelta(minutes=1), tick=False):
        pump(limit=None)
    reminder.refresh_from_db()
    assert reminder.state == State.SENT
    assert postbox.ids[f"<{reminder.work_id}@ladlework.example.org>"] == 2


def test_a_reminder_given_up_on_shows_as_failed_and_can_be_tried_again(cast, postbox):
    postbox.reply_to_data = "451 4.3.0 later"
    reminders_queue(now=NOON, practice=cast.practice)
    reminder = the_reminder(cast.household)
    OwedWork.objects.update(attempts=MOST_ATTEMPTS - 1)
    with time_machine.travel(EVENING, tick=False):
        assert run_one(reminder.work_id) == "parked"
        reminder.refresh_from_db()
        assert (reminder.state, reminder.why) == (State.FAILED, "given-up")
        postbox.reply_to_data = ""
        assert reminder_retry(reminder=reminder, by=cast.coach, at=EVENING)
        assert run_one(reminder.work_id) == "done"
        assert not reminder_retry(reminder=reminder, by=cast.coach, at=EVENING)
    reminder.refresh_from_db()
    assert reminder.state == State.SENT


def test_trying_again_forgets_a_refused_address_but_not_a_wish(cast, postbox):
    postbox.reply_to_rcpt = "550 5.1.1 no such mailbox"
    reminder = evening_mail(cast.household)
    MailStop.objects.create(client=reminder.client, kind=Kind.COUNTDOWN, at=NOON)
    reminder_retry(reminder=reminder, by=cast.coach, at=EVENING)
    assert list(reminder.client.mail_stops.values_list("kind", flat=True)) == [Kind.COUNTDOWN]


def test_work_done_twice_sends_once(cast, postbox):
    """As after a crash between sending and recording the work."""
    reminder = evening_mail(cast.household)
    OwedWork.objects.filter(pk=reminder.work_id).update(state=OwedWork.State.WAITING)
    with time_machine.travel(EVENING, tick=False):
        assert run_one(reminder.work_id) == "done"
    assert postbox.ids[f"<{reminder.work_id}@ladlework.example.org>"] == 1


def test_an_erased_client_leaves_work_that_is_dropped(cast, postbox):
    reminders_queue(now=NOON, practice=cast.practice)
    work_id = the_reminder(cast.household).work_id
    cast.household.delete()
    with time_machine.travel(EVENING, tick=False):
        assert run_one(work_id) == "dropped"
    assert postbox.messages == []


def test_looking_for_what_is_owed_costs_the_same_for_one_household_and_for_many(
    cast, django_assert_max_num_queries
):
    """One query for each of: practice's reminders, clients, check-ins, cautions, enrolments, stops; and for the lead-in
    who starts, cautions, eaters, enrolments and their spells, instructions, check-ins, introductions, foods, stores,
    ticks."""
    for _ in range(12):
        home = make_household(practice=cast.practice, coach=cast.coach, version=cast.version)
        starting(home, TODAY + timedelta(days=5))
        CheckIn.objects.create(eater=home.eaters.get(), on=TODAY, by=CheckIn.By.COACH, recorded_at=NOON)
    reminders_queue(now=NOON)
    with django_assert_max_num_queries(17):
        reminders_queue(now=NOON)
