"""What arrives: both halves of every kind of mail, and their headers, as Python's own ``email`` package reads them.

Headers: RFC 8058 (one-click), RFC 3834 (automatic mail), RFC 5322 (Message-ID). The postal address: the CAN-SPAM Act's
rule for mail in the United States, which we keep everywhere.
"""

import re
from dataclasses import replace
from datetime import timedelta
from email.utils import parseaddr, parsedate_to_datetime

import pytest
import time_machine
from django.core.mail import BadHeaderError

from clients.models import Household
from coaching.desk.domain.due import Kind
from coaching.desk.models import Reminder
from coaching.desk.selectors.reminders import addressees
from coaching.desk.services.letters import invitation_mail
from coaching.desk.services.mail import deliver, first_name, render_mail
from coaching.desk.services.mail_stops import open_stop_link
from coaching.desk.services.reminders import reminder_mail, reminders_queue
from coaching.outbox.models import OwedWork
from coaching.outbox.services import MOST_ATTEMPTS, owe, pump
from coaching.practice.models import AuditEntry
from tests.factories import NOON, TODAY, EaterFactory, EnrolmentFactory, MembershipFactory, UserFactory
from tests.postbox import parts

pytestmark = pytest.mark.django_db
SITE = "https://ladlework.example.org"
HEALTH_WORDS = re.compile(
    r"\b(diet|protocol|stage|symptom|pain|bloat|stool|bowel|reflux|flare|allerg|intoleran|weight|diagnos|disease|"
    r"medicine|medication|pregnan|gut|red flag|broth|carrot|elimination|reintroduction)",
    re.IGNORECASE,
)


@pytest.fixture
def mail_of(cast, settings):
    """``mail_of("check-in")`` draws that kind of reminder for the cast's household."""
    settings.SITE_URL = SITE

    def draw(kind: str, *, subject_key: str = "", at=NOON, **client_fields):
        client = cast.household.clients.get()
        for name, value in client_fields.items():
            setattr(client, name, value)
        reminder = Reminder(client=client, kind=kind, subject_key=subject_key, local_date=TODAY, due_at=NOON)
        homes = Household.objects.filter(pk=cast.household.pk)
        person = next(addressees(households=homes, since=TODAY))
        if kind == Kind.LEAD_IN:
            plan = replace(
                person.plans[0],
                start_on=TODAY + timedelta(days=3),
                tasks=lambda on: frozenset({"broth", "shop"} if on == TODAY else ()),
            )
            person = replace(person, eaters=((person.eaters[0][0], plan),))
        return reminder_mail(reminder=reminder, person=person, at=at)[0]

    return draw


def every_mail(mail_of, cast):
    """One of each kind, with the words of each turn they take."""
    for days in (7, 1, 0):
        yield mail_of(Kind.COUNTDOWN, subject_key=(TODAY + timedelta(days=days)).isoformat())
    yield mail_of(Kind.CHECK_IN)
    yield mail_of(Kind.LEAD_IN)
    yield mail_of(Kind.LEAD_IN, at=NOON + timedelta(days=1))
    for member in (cast.client, cast.assistant):
        yield invitation_mail(user=member.user, practice=cast.practice)
    yield render_mail(kind="tell-coach", language="en", facts={"practice": cast.practice, "url": f"{SITE}/"})


def test_the_countdown_in_full(mail_of):
    mail = mail_of(Kind.COUNTDOWN, subject_key="2026-06-13", name="Dana Alder")
    assert mail.subject == "Day one is in 3 days"
    head, _, foot = mail.text.partition("\n--\n")
    assert head.strip() == (
        "Hello Dana,\n\n"
        "You begin on Saturday 13 June. What to have ready by then is on your page.\n\n"
        f"Your page: {SITE}/\n\n"
        "Is the date no good any more? Answer this mail and tell your coach.\n\n"
        "Here"
    )
    foot = re.sub(r"/u/\S+/", "/u/TOKEN/", foot)
    assert foot == (
        "You get this mail because you are a client of Here.\n"
        f"To stop mail like this: {SITE}/u/TOKEN/\n"
        "Here\n"
        "1 Quay Lane, Port Ellery\n"
    )


def test_the_check_in_in_full(mail_of):
    mail = mail_of(Kind.CHECK_IN, name="Dana Alder")
    assert mail.subject == "Your check-in for Wednesday"
    head = re.sub(r"/c/\S+/", "/c/TOKEN/", mail.text.partition("\n--\n")[0])
    assert head.strip() == (
        "Hello Dana,\n\n"
        "Your coach would like to hear from you about Wednesday 10 June. It takes about two minutes.\n\n"
        f"{SITE}/c/TOKEN/\n\n"
        "The link opens one form, without signing in. It works once, up to Friday 12 June.\n\n"
        "Here"
    )


def test_a_check_in_for_two_eaters_names_them_by_first_name(mail_of, cast):
    child = EaterFactory(household=cast.household, name="Ivo Alder", position=1)
    EnrolmentFactory(eater=child, version=cast.version)
    mail = mail_of(Kind.CHECK_IN)
    assert re.search(rf"^Ivo: {SITE}/c/\S+/$", mail.text, re.MULTILINE)
    assert "Check-in for Ivo" in mail.html
    assert "Each link opens one form" in mail.text
    assert "Ivo Alder" not in mail.text + mail.html


@pytest.mark.parametrize(
    ("at", "words"),
    [(NOON, "2 things to do today"), (NOON + timedelta(days=1), "planned for Wednesday 10 June")],
)
def test_the_lead_in_says_the_day(mail_of, at, words: str):
    assert words in mail_of(Kind.LEAD_IN, at=at).text


def test_no_mail_says_anything_about_health(mail_of, cast):
    for mail in every_mail(mail_of, cast):
        for part in (mail.subject, mail.text, re.sub(r"<style>.*?</style>", "", mail.html, flags=re.DOTALL)):
            assert HEALTH_WORDS.findall(part) == [], part


def test_both_halves_of_every_mail_say_the_same_and_give_the_address(mail_of, cast):
    for mail in every_mail(mail_of, cast):
        assert "{" not in mail.text + re.sub(r"<style>.*?</style>", "", mail.html, flags=re.DOTALL)
        assert "\n\n\n" not in mail.text
        for part in (mail.text, mail.html):
            assert "1 Quay Lane, Port Ellery" in part
            assert cast.practice.name in part
        links = set(re.findall(r'href="([^"]+)"', mail.html))
        assert links == set(re.findall(r"https://\S+", mail.text))


def test_no_mail_fetches_anything(mail_of, cast):
    for mail in every_mail(mail_of, cast):
        assert not re.search(
            r"<(img|link|script|iframe|object|table)\b|url\(|@import|@font-face|\bsrc=", mail.html
        )


def test_names_cannot_break_out(mail_of, cast):
    cast.practice.name = "<b>Oat & Co</b>\nBcc: x@example.com"
    facts = {"practice": cast.practice, "first_name": "<i>Dana</i>", "url": f"{SITE}/"}
    mail = render_mail(kind="tell-coach", language="en", facts=facts)
    assert "<b>" not in mail.html
    assert "Oat & Co" in mail.text
    assert "&amp;" not in mail.text
    assert "\n" not in mail.subject


@pytest.mark.parametrize("name", ["Dana Alder", " Dana  Alder", "Dana"])
def test_letters_greet_by_first_name(name: str):
    assert first_name(name) == "Dana"


def test_a_letter_to_nobody_in_particular_still_greets(cast):
    mail = render_mail(kind="tell-coach", language="xx", facts={"practice": cast.practice, "url": f"{SITE}/"})
    assert mail.text.startswith("Hello,\n")
    assert first_name("  ") == ""


def test_headers_as_they_arrive(cast, postbox):
    cast.household.clients.update(name="Dana Öberg", email="dana@example.org")
    with time_machine.travel(NOON + timedelta(hours=5), tick=False):
        reminders_queue(now=NOON + timedelta(hours=5), practice=cast.practice)
        pump(limit=None)
    message = next(message for message in postbox.messages if "dana@" in message["To"])
    reminder = Reminder.objects.get(client__email="dana@example.org", local_date=TODAY)
    assert message["Message-ID"] == f"<{reminder.work_id}@ladlework.example.org>"
    assert parseaddr(message["From"]) == ("Here", "post@example.org")
    assert parseaddr(message["Reply-To"]) == ("Here", cast.practice.email)
    assert parseaddr(message["To"]) == ("Dana Öberg", "dana@example.org")
    assert parsedate_to_datetime(message["Date"]) == NOON + timedelta(hours=5)
    assert message["Auto-Submitted"] == "auto-generated"
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    stop = re.fullmatch(rf"<{SITE}/u/([^/]+)/>", message["List-Unsubscribe"].strip())
    assert open_stop_link(stop[1]).client.pk == reminder.client_id
    assert open_stop_link(stop[1]).kind == Kind.CHECK_IN
    assert message.get_content_type() == "multipart/alternative"
    assert [part.get_content_type() for part in message.iter_parts()] == ["text/plain", "text/html"]
    text, html = parts(message)
    assert "Hello Dana," in text
    assert '<html lang="en"' in html
    raw = next(raw for raw in postbox.raw if b"dana@" in raw).decode()
    assert f"List-Unsubscribe: \r\n {stop[0]}\r\n" in raw, "the address stands in one piece, however long"
    assert str(reminder.client_id) not in raw
    assert reminder.client_id.hex not in raw


def test_the_links_in_a_delivered_mail_work_without_signing_in(cast, postbox, client):
    evening = NOON + timedelta(hours=5)
    with time_machine.travel(evening, tick=False):
        reminders_queue(now=evening, practice=cast.practice)
        pump(limit=None)
        text, _ = parts(postbox.messages[0])
        form = client.get(re.search(rf"{SITE}(/c/\S+)", text)[1])
        stop = client.post(re.search(rf"{SITE}(/u/\S+)", text)[1], {"List-Unsubscribe": "One-Click"})
        assert (form.status_code, stop.status_code) == (200, 200)
        assert "<form" in form.content.decode()
        assert reminders_queue(now=evening + timedelta(days=1), practice=cast.practice).total() == 1


def test_a_header_cannot_be_smuggled_in(cast, settings):
    mail = render_mail(kind="tell-coach", language="en", facts={"practice": cast.practice, "url": f"{SITE}/"})
    with pytest.raises(BadHeaderError):
        deliver(
            mail=replace(mail, subject="Hello\nBcc: x@example.com"),
            practice=cast.practice,
            to=[("Dana", "dana@example.org")],
            work_id=cast.practice.pk,
            at=NOON,
        )


def test_an_invitation_leads_to_a_password(cast, postbox, client, noon):
    user = UserFactory(name="Nia Moss", email="nia@example.org")
    user.set_unusable_password()
    user.save(update_fields=["password"])
    MembershipFactory(user=user, practice=cast.practice, role="client")
    work = owe(kind="send-invitation", key="invitation:nia", payload={"user": str(user.pk)}, due_at=NOON)
    assert pump(limit=None).done == 1
    message = postbox.messages[0]
    assert (message["Subject"], message["Message-ID"]) == (
        "Here has a page for you",
        f"<{work.pk}@ladlework.example.org>",
    )
    assert message["List-Unsubscribe"] is None
    path = re.search(rf"{SITE}(/accounts/password/reset/key/\S+)", parts(message)[0])[1]
    page = client.get(path, follow=True)
    assert page.status_code == 200
    assert not page.context.get("token_fail")


@pytest.mark.parametrize("state", ["has a password", "is shut out", "has left"])
def test_nobody_is_invited_who_needs_no_invitation(cast, postbox, noon, state: str):
    user = UserFactory(password="plain-oats-and-barley" if state == "has a password" else None)
    member = MembershipFactory(user=user, practice=cast.practice)
    if state != "has a password":
        user.set_unusable_password()
        user.is_active = state != "is shut out"
        user.save(update_fields=["password", "is_active"])
    if state == "has left":
        member.delete()
    owe(kind="send-invitation", key="invitation:x", payload={"user": str(user.pk)}, due_at=NOON)
    assert pump(limit=None).dropped == 1
    assert postbox.messages == []


def tell(cast) -> str:
    owe(kind="tell-coach", key="tell-coach:1", payload={"household": str(cast.household.pk)}, due_at=NOON)
    report = pump(limit=None)
    return "done" if report.done else "dropped" if report.dropped else "retried"


def test_the_coach_is_told_at_any_hour(cast, postbox):
    with time_machine.travel(NOON + timedelta(hours=14), tick=False):
        assert tell(cast) == "done"
    assert [message["To"] for message in postbox.messages] == ["Coach <coach@example.org>"]
    assert postbox.messages[0]["Subject"] == "Please look at your board now"
    assert cast.household.name not in postbox.messages[0].as_string()


def test_without_a_coach_the_owner_is_told(cast, postbox, noon):
    type(cast.household).objects.filter(pk=cast.household.pk).update(coach=None)
    assert tell(cast) == "done"
    assert [message["To"] for message in postbox.messages] == ["Owner <owner@example.org>"]


def test_nobody_is_told_of_an_archived_household(cast, postbox, noon):
    type(cast.household).objects.filter(pk=cast.household.pk).update(archived_at=NOON)
    assert tell(cast) == "dropped"
    assert OwedWork.objects.get().result == {"reason": "gone"}


def test_a_coach_whose_address_is_refused_is_not_tried_again_and_the_record_says_so(cast, postbox, noon):
    postbox.reply_to_rcpt = "550 no such user"
    assert tell(cast) == "dropped"
    entry = AuditEntry.objects.get(action="coach not told by mail")
    assert (entry.practice, entry.subject) == (cast.practice, str(cast.household.pk))


@pytest.mark.parametrize(
    ("kind", "action"),
    [("send-invitation", "invitation not delivered"), ("tell-coach", "coach not told by mail")],
)
def test_a_letter_given_up_on_is_on_record(cast, postbox, noon, kind: str, action: str):
    postbox.reply_to_data = "451 later"
    cast.client.user.set_unusable_password()
    cast.client.user.save(update_fields=["password"])
    payload = {"user": str(cast.client.user_id), "household": str(cast.household.pk)}
    work = owe(kind=kind, key="a-letter", payload=payload, due_at=NOON)
    OwedWork.objects.filter(pk=work.pk).update(attempts=MOST_ATTEMPTS - 1)
    assert pump(limit=None).parked == 1
    assert AuditEntry.objects.get(action=action).practice == cast.practice
