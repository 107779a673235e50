"""Pages in their fullest state, on the demo practice: what the walk over all pages only sees empty or waiting."""

from datetime import timedelta

import pytest
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP, generate_totp_secret

from clients.models import CheckIn, Client, Eater, Household, Week
from clients.services.links import check_in_link
from clients.services.weeks import week_ask, week_plan
from coaching import clock
from coaching.desk.demo.load import demo_load
from coaching.desk.demo.scenario import PRACTICE
from coaching.outbox.services import look_at_calendar
from coaching.practice.models import User
from plans.models import Protocol, Recipe
from tests.browser.conftest import DESK, PHONE


@pytest.fixture
def demo(transactional_db):
    practice = demo_load(at=clock.now(), today=clock.today_in(PRACTICE["time_zone"]))
    look_at_calendar(now=clock.now())
    return practice


def planned(name: str, **kitchen) -> Week:
    """A household's week, planned; ``kitchen`` overrides what the household has."""
    home = Household.objects.get(name=name)
    home.kitchen = home.kitchen | kitchen
    home.save(update_fields=["kitchen"])
    start = clock.today_in(PRACTICE["time_zone"]) + timedelta(days=12)
    week = week_ask(household=home, start=start, by=None, at=clock.now())
    week_plan(week_id=week.pk, at=clock.now())
    week.refresh_from_db()
    return week


def coach_pages() -> list[str]:
    """The coach's pages with something on them."""
    full, none = planned("Marsh"), planned("Dunne", hands_on_min={})
    assert (full.state, none.state) == ("planned", "none")
    nell, flagged = Eater.objects.get(name="Nell"), CheckIn.objects.exclude(red_flags=[]).get()
    edith = Eater.objects.get(name="Edith")
    soup = Recipe.objects.get(key="chicken-carrot-soup")
    return [
        "/board/",
        "/reminders/",
        f"/weeks/{full.pk}/",
        f"/weeks/{none.pk}/",
        f"/households/{full.household_id}/today/?on={full.start.isoformat()}",
        f"/households/{full.household_id}/",
        f"/households/{edith.household_id}/",
        f"/households/{full.household_id}/packets/",
        f"/eaters/{nell.pk}/check-ins/",
        f"/eaters/{edith.pk}/screening/",
        f"/eaters/{edith.pk}/sign-off/",
        f"/enrolments/{nell.enrolments.get().pk}/decide/",
        f"/red-flags/{flagged.pk}/",
        "/foods/",
        "/recipes/",
        f"/recipes/{soup.pk}/?servings=9",
        *(
            f"/protocols/{protocol.pk}/"
            for protocol in Protocol.objects.filter(practice__slug=PRACTICE["slug"])
        ),
    ]


@pytest.mark.timeout(400)
def test_the_coachs_full_pages_raise_no_barrier(visit, demo):
    found = []
    jude = User.objects.get(email="jude@quillmere.example.org")
    for path in coach_pages():
        for width in (PHONE, DESK):
            found += barriers(visit(path, user=jude, width=width), f"{path} at {width}")
    assert "\n".join(found) == ""


def test_the_clients_full_pages_raise_no_barrier(visit, demo):
    client = Client.objects.get(name="Nell Marsh")
    today = clock.today_in(client.time_zone)
    flagged = CheckIn.objects.create(
        eater=client.eater, on=today, by="client", red_flags=["chest-pain"], recorded_at=clock.now()
    )
    link = check_in_link(eater=Eater.objects.get(name="Ivo"), on=today)
    found = []
    for path, user in (
        ("/me/", client.user),
        ("/me/today/", client.user),
        (f"/me/check-in/{client.eater.pk}/", client.user),
        (f"/me/check-in/done/{flagged.pk}/", client.user),
        (link, None),
    ):
        for width in (PHONE, DESK):
            seen = visit(path, user=user, width=width)
            found += barriers(seen, f"{path} at {width}")
    assert "\n".join(found) == ""
    assert visit(link, width=PHONE).page.get_by_role("button", name="Send the check-in").count() == 1


def test_a_form_sent_empty_raises_no_barrier(visit, demo):
    client = Client.objects.get(name="Nell Marsh")
    for width in (PHONE, DESK):
        seen = visit(f"/me/check-in/{client.eater.pk}/", user=client.user, width=width)
        seen.page.get_by_role("button", name="Send the check-in").click()
        seen.page.get_by_text("Please look at this again").wait_for()
        assert barriers(seen, str(width)) == []


def test_the_pages_of_a_second_factor_in_use_raise_no_barrier(visit, cast):
    TOTP.activate(cast.coach.user, generate_totp_secret())
    RecoveryCodes.activate(cast.coach.user)
    found = []
    for path in ("/accounts/2fa/", "/accounts/2fa/recovery-codes/", "/accounts/2fa/totp/deactivate/"):
        for width in (PHONE, DESK):
            found += barriers(visit(path, role="coach", width=width), f"{path} at {width}")
    assert "\n".join(found) == ""


def barriers(seen, where: str) -> list[str]:
    """Everything that stands in somebody's way on an open page."""
    found = [*seen.axe(), *seen.complaints]
    if seen.sideways() > 0:
        found.append(f"runs {seen.sideways()} px off the side")
    return [f"{where}: {line}" for line in found]
