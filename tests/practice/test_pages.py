"""The practice's pages: who may do what, and what a form keeps."""

import pytest
from django.urls import reverse

from coaching.practice.forms import PracticeForm
from coaching.practice.models import Membership, Practice
from coaching.practice.wording import agreement_text
from tests.factories import MembershipFactory, UserFactory

SETTINGS = {
    "name": "Here",
    "postal_address": "1 Quay Lane, Port Ellery",
    "email": "post@example.org",
    "phone": "",
    "country": "IE",
    "emergency_number": "112",
    "units": "metric",
    "paper": "a4",
    "languages": ["en"],
    "time_zone": "Europe/Dublin",
    "quiet_from": "21:00",
    "quiet_until": "08:00",
    "client_agreement": "This is food coaching and not medical care.",
}


def not_set_up(practice: Practice) -> None:
    Practice.objects.filter(pk=practice.pk).update(
        rules_checked_at=None, client_agreement="", postal_address=""
    )


@pytest.mark.parametrize("role", ["owner", "coach", "assistant"])
def test_staff_read_the_settings_and_only_the_owner_is_offered_to_change_them(cast, sign_in, role: str):
    page = sign_in(role).get(reverse("practice")).content.decode()
    assert "1 Quay Lane" in page
    assert "The fourteen allergens of EU and UK law" in page
    assert (reverse("practice_edit") in page) == (role == "owner")


@pytest.mark.parametrize("role", ["coach", "assistant", "client"])
def test_nobody_but_the_owner_changes_settings(cast, sign_in, role: str):
    response = sign_in(role).post(reverse("practice_edit"), SETTINGS | {"name": "Taken"})
    assert response.status_code == 404
    assert Practice.objects.get(pk=cast.practice.pk).name == "Here"


def test_the_owner_changes_settings(cast, sign_in, noon):
    response = sign_in("owner").post(
        reverse("practice_edit"), SETTINGS | {"phone": "01 555 0100"}, follow=True
    )
    assert "The settings are saved." in response.content.decode()
    assert Practice.objects.get(pk=cast.practice.pk).phone == "01 555 0100"


def test_a_form_that_fails_keeps_what_was_typed_and_saves_nothing(cast, sign_in):
    typed = SETTINGS | {"name": "Kept Name", "emergency_number": "help", "time_zone": "Nowhere/Land"}
    page = sign_in("owner").post(reverse("practice_edit"), typed)
    text = page.content.decode()
    assert page.status_code == 200
    assert "Write the number in digits" in text
    assert 'value="Kept Name"' in text
    assert 'value="help"' in text
    assert "<h1>Change the settings</h1>" in text
    assert Practice.objects.get(pk=cast.practice.pk).name == "Here"


def test_what_follows_from_the_country_follows_unless_it_is_changed_too(cast):
    form = PracticeForm(SETTINGS | {"country": "US", "paper": "a4"}, practice=cast.practice)
    assert form.is_valid()
    followed = {name: form.cleaned_data[name] for name in ("emergency_number", "units", "paper", "time_zone")}
    assert followed == {
        "emergency_number": "911",
        "units": "us",
        "paper": "letter",
        "time_zone": "America/New_York",
    }
    chosen = PracticeForm(
        SETTINGS | {"country": "US", "time_zone": "America/Chicago"}, practice=cast.practice
    )
    assert chosen.is_valid()
    assert chosen.cleaned_data["time_zone"] == "America/Chicago"


def test_our_own_agreement_text_moves_with_the_number_and_a_coachs_own_text_stays(cast):
    cast.practice.client_agreement = agreement_text("112")
    shown = cast.practice.client_agreement.replace("\n", "\r\n")
    form = PracticeForm(SETTINGS | {"country": "GB", "client_agreement": shown}, practice=cast.practice)
    assert form.is_valid()
    assert form.cleaned_data["client_agreement"] == agreement_text("999")
    own = PracticeForm(SETTINGS | {"country": "GB", "client_agreement": "Call 112."}, practice=cast.practice)
    assert own.is_valid()
    assert own.cleaned_data["client_agreement"] == "Call 112."


def test_a_move_to_another_country_leads_to_the_set_up_page(cast, sign_in, noon):
    response = sign_in("owner").post(reverse("practice_edit"), SETTINGS | {"country": "GB"})
    assert response["Location"] == reverse("practice_set_up")


@pytest.mark.parametrize("role", ["owner", "coach"])
def test_a_coach_sets_up_the_practice(cast, sign_in, noon, role: str):
    not_set_up(cast.practice)
    browser = sign_in(role)
    page = browser.get(reverse("practice_set_up")).content.decode()
    assert "not medical care" in page
    response = browser.post(reverse("practice_set_up"), SETTINGS | {"rules_checked": "on"})
    assert response["Location"] == reverse("home")
    saved = Practice.objects.get(pk=cast.practice.pk)
    assert saved.is_set_up
    assert saved.rules_checked_by == cast.user(role)
    assert saved.rules_checked_at == noon


def test_setting_up_without_the_confirmation_is_refused(cast, sign_in):
    not_set_up(cast.practice)
    page = sign_in("owner").post(reverse("practice_set_up"), SETTINGS | {"postal_address": "Kept 7"})
    assert "Kept 7" in page.content.decode()
    saved = Practice.objects.get(pk=cast.practice.pk)
    assert (saved.is_set_up, saved.postal_address) == (False, "")


def test_once_set_up_only_the_owner_gets_the_set_up_page(cast, sign_in):
    assert sign_in("owner").get(reverse("practice_set_up")).status_code == 200
    assert sign_in("coach").get(reverse("practice_set_up")).status_code == 302
    sign_in("coach").post(reverse("practice_set_up"), SETTINGS | {"rules_checked": "on", "name": "Taken"})
    assert Practice.objects.get(pk=cast.practice.pk).name == "Here"


@pytest.mark.parametrize(("role", "offered"), [("owner", True), ("coach", True), ("assistant", False)])
def test_while_not_set_up_pages_say_so(cast, sign_in, role: str, offered: bool):
    not_set_up(cast.practice)
    page = sign_in(role).get(reverse("practice")).content.decode()
    assert "The practice is not set up yet." in page
    assert (f'<a href="{reverse("practice_set_up")}">' in page) == offered


def test_the_people_page_lists_this_practices_staff_and_no_client(cast, sign_in):
    page = sign_in("assistant").get(reverse("people")).content.decode()
    assert "owner@example.org" in page
    assert "other@example.org" in page
    assert "client@example.org" not in page
    assert "foreign@example.org" not in page


@pytest.mark.parametrize("staff", [0, 12])
def test_the_people_page_asks_the_same_few_questions_for_any_number(
    cast, sign_in, django_assert_max_num_queries, staff: int
):
    for n in range(staff):
        MembershipFactory(
            user=UserFactory(email=f"s{n}@example.org"), practice=cast.practice, role=Membership.Role.COACH
        )
    browser = sign_in("owner")
    with django_assert_max_num_queries(4):  # session, user, membership with practice, staff
        browser.get(reverse("people"))
