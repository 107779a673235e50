"""One household's page: a coach sees all of it, an assistant no health; every form keeps what was typed."""

import re
from datetime import date, timedelta

import pytest
from django.urls import reverse

from clients.models import (
    Caution,
    CheckIn,
    Client,
    Consent,
    Eater,
    Enrolment,
    Household,
    Introduction,
    SignOff,
    Spell,
)
from coaching.outbox.models import OwedWork
from coaching.practice.models import Practice, User
from tests.factories import (
    NOON,
    TODAY,
    CautionFactory,
    CheckInFactory,
    ClientFactory,
    EaterFactory,
    EnrolmentFactory,
    FoodFactory,
)

FIRST, STOP = Caution.Strength.CLINICIAN_FIRST, Caution.Strength.DO_NOT_START
MINUTES = {f"min_{day}": "45" for day in ("mon", "tue", "wed", "thu", "fri", "sat", "sun")}


@pytest.fixture
def eater(cast, noon) -> Eater:
    """An eater with something to hide in every health field."""
    FoodFactory(practice=cast.practice, key="beef-liver")
    eater = cast.household.eaters.get()
    Eater.objects.filter(pk=eater.pk).update(
        allergies=["sesame"], excluded=["beef-liver"], dislikes=["beef-liver"], answers={"asthma": True}
    )
    eater.refresh_from_db()
    return eater


def page_of(browser, household: Household) -> str:
    response = browser.get(reverse("household", args=[household.pk]))
    assert response.status_code == 200
    return response.content.decode()


def test_a_coach_sees_who_eats_how_far_they_are_and_what_they_leave_out(cast, eater, sign_in):
    CautionFactory(eater=eater, rule="kidney-disease", strength=FIRST)
    page = page_of(sign_in("coach"), cast.household)
    for words in (
        "Small protocol",
        "First, day 9 since 2 June 2026",
        "Sesame",
        "Beef liver",
        "Kidney disease",
    ):
        assert words in page
    assert reverse("eater_sign_off", args=[eater.pk]) in page
    assert "waits for a clinician’s agreement" in page


def test_an_assistant_sees_names_contacts_and_dates_and_no_health(cast, eater, sign_in):
    CautionFactory(eater=eater, rule="kidney-disease", strength=FIRST)
    CheckInFactory(eater=eater, red_flags=["fever"])
    Enrolment.objects.filter(eater=eater).update(state="held", held_since=TODAY, held_why="Flu at home")
    page = page_of(sign_in("assistant"), cast.household)
    client = cast.household.clients.get()
    for words in (eater.name, client.email, "Small protocol", "on hold"):
        assert words in page
    for words in (
        "Sesame",
        "Beef liver",
        "Kidney",
        "clinician’s agreement",
        "red flag",
        "Flu at home",
        "38 years",
    ):
        assert words not in page
    assert "/decide/" not in page
    assert "/screening/" not in page


@pytest.mark.parametrize(
    ("role", "status"),
    [
        *((role, 200) for role in ("coach", "owner", "assistant")),
        *((role, 404) for role in ("other_coach", "client", "foreign_coach")),
    ],
)
def test_who_gets_the_page(cast, eater, sign_in, role: str, status: int):
    assert sign_in(role).get(reverse("household", args=[cast.household.pk])).status_code == status


def addresses(cast, eater: Eater) -> list[str]:
    """Every page behind the household that changes something."""
    household, client = cast.household, cast.household.clients.get()
    enrolment = eater.enrolments.get()
    named = [
        (name, household.pk) for name in ("household_edit", "kitchen_edit", "household_archive", "eater_add")
    ]
    named += [(name, client.pk) for name in ("client_edit", "client_access")]
    named += [
        (name, eater.pk)
        for name in ("eater_edit", "eater_exclusions", "eater_screening", "eater_sign_off", "enrolment_start")
    ]
    named += [(name, enrolment.pk) for name in ("enrolment_decide", "enrolment_day_one")]
    return [reverse(name, args=[pk]) for name, pk in named]


@pytest.mark.parametrize("role", ["assistant", "client", "other_coach", "foreign_coach"])
def test_only_the_coach_and_the_owner_change_anything(cast, eater, sign_in, role: str):
    CautionFactory(eater=eater, rule="kidney-disease", strength=FIRST)
    browser = sign_in(role)
    for address in addresses(cast, eater):
        assert browser.get(address).status_code in {404, 405}, address
        assert browser.post(address, {"name": "Taken"}).status_code == 404, address


@pytest.mark.parametrize("role", ["coach", "owner"])
def test_the_coach_and_the_owner_get_every_page(cast, eater, sign_in, role: str):
    CautionFactory(eater=eater, rule="kidney-disease", strength=FIRST)
    browser = sign_in(role)
    for address in addresses(cast, eater):
        assert browser.get(address).status_code in {200, 405}, address


def test_a_signed_off_caution_shows_who_agreed(cast, eater, sign_in):
    caution = CautionFactory(eater=eater, rule="kidney-disease", strength=FIRST)
    SignOff.objects.create(
        caution=caution, clinician="Dr. Ash", profession="Nephrologist", agreed_on=TODAY, recorded_at=NOON
    )
    page = page_of(sign_in("coach"), cast.household)
    assert "Dr. Ash, Nephrologist, 10 June 2026" in page
    assert reverse("eater_sign_off", args=[eater.pk]) not in page


def test_an_open_red_flag_is_said(cast, eater, sign_in):
    CheckInFactory(eater=eater, red_flags=["fever"])
    assert "that no clinician has answered" in page_of(sign_in("coach"), cast.household)
    CheckIn.objects.update(flags_answered_at=NOON)
    assert "that no clinician has answered" not in page_of(sign_in("coach"), cast.household)


def test_stages_so_far_are_listed(cast, eater, sign_in):
    enrolment = eater.enrolments.get()
    enrolment.spells.update(ended_on=TODAY, ended_why="All well")
    Spell.objects.create(enrolment=enrolment, stage="second", began_on=TODAY)
    page = page_of(sign_in("coach"), cast.household)
    assert "First, 2 Jun 2026 – 10 Jun 2026" in page
    assert "All well" in page


def test_pots_are_shown_in_the_practices_unit(cast, eater, sign_in):
    assert "7.5 litres" in page_of(sign_in("coach"), cast.household)
    Practice.objects.filter(pk=cast.practice.pk).update(units="us")
    assert "7.93 quarts" in page_of(sign_in("coach"), cast.household)


@pytest.mark.parametrize("eaters", [1, 8])
def test_the_page_asks_the_same_questions_for_any_table(
    cast, noon, sign_in, django_assert_max_num_queries, eaters: int
):
    for _ in range(eaters):
        one = EaterFactory(household=cast.household)
        EnrolmentFactory(eater=one, version=cast.version)
        CautionFactory(eater=one, rule="kidney-disease", strength=FIRST)
        CheckInFactory(eater=one, red_flags=["fever"])
        Introduction.objects.create(
            eater=one, food="onion", form="boiled", first_day=TODAY, watch_until=TODAY
        )
    browser = sign_in("coach")
    # session, user, membership; household; zone; eaters, enrolments with versions, spells, cautions, red flags,
    # instructions, introductions; foods; clients; consent; blocks twice; weeks and packets with their counts and
    # next day
    with django_assert_max_num_queries(23):
        browser.get(reverse("household", args=[cast.household.pk]))


def ticks(page: str) -> int:
    """How many boxes of a page are ticked."""
    return len(re.findall(r"<input[^>]*\schecked[\s>]", page))


def post(browser, page: str, pk, /, **typed):
    return browser.post(reverse(page, args=[pk]), typed, follow=True)


def test_a_household_is_renamed(cast, eater, sign_in):
    assert (
        "The change is saved."
        in post(sign_in("coach"), "household_edit", cast.household.pk, name="Elder").content.decode()
    )
    assert Household.objects.get(pk=cast.household.pk).name == "Elder"


def test_the_kitchen_is_changed_and_a_wrong_one_kept_as_typed(cast, eater, sign_in):
    browser = sign_in("coach")
    wrong = post(
        browser, "kitchen_edit", cast.household.pk, pot_1="huge", jars="8", **MINUTES
    ).content.decode()
    assert 'value="huge"' in wrong
    assert "Enter a number." in wrong
    post(browser, "kitchen_edit", cast.household.pk, pot_1="5", pot_2="9", jars="3", busy=["sun"], **MINUTES)
    kitchen = Household.objects.get(pk=cast.household.pk).kitchen
    assert (kitchen["pots_l"], kitchen["jars"], kitchen["busy"], kitchen["freezer"]) == (
        [9.0, 5.0],
        3,
        ["sun"],
        False,
    )


def test_a_client_is_changed(cast, eater, sign_in):
    client = cast.household.clients.get()
    typed = {"name": "Alda", "email": "alda@example.org", "time_zone": "Europe/Paris", "language": "en"}
    post(sign_in("coach"), "client_edit", client.pk, **typed)
    client.refresh_from_db()
    assert (client.name, client.email, client.time_zone) == ("Alda", "alda@example.org", "Europe/Paris")


def test_an_address_that_is_taken_is_said_beside_the_field(cast, eater, sign_in):
    client = cast.household.clients.get()
    typed = {"name": "Alda", "email": "coach@example.org", "time_zone": "Europe/Paris", "language": "en"}
    page = post(sign_in("coach"), "client_edit", client.pk, **typed).content.decode()
    assert "Somebody else signs in with this address." in page
    assert 'value="coach@example.org"' in page


def test_access_is_given_by_a_button_and_the_invitation_is_owed(cast, eater, sign_in):
    client = ClientFactory(household=cast.household, email="newcomer@example.org")
    browser = sign_in("coach")
    assert "the invitation is on its way" in post(browser, "client_access", client.pk).content.decode()
    assert User.objects.filter(email="newcomer@example.org").exists()
    client.refresh_from_db()
    assert OwedWork.objects.get().key == f"invitation:{client.user_id}"
    assert "already has access" in post(browser, "client_access", client.pk).content.decode()


def test_a_household_is_put_away_and_taken_out(cast, eater, sign_in):
    browser = sign_in("coach")
    assert "is put away" in post(browser, "household_archive", cast.household.pk).content.decode()
    page = page_of(browser, cast.household)
    assert "Put away on 10 June 2026" in page
    assert reverse("eater_add", args=[cast.household.pk]) not in page
    assert "is back in the list" in post(browser, "household_archive", cast.household.pk).content.decode()


def test_an_eater_joins_and_is_asked_next(cast, eater, sign_in):
    typed = {"name": "Ivo", "born": "2023-02-03", "sex": "male", "appetite": "0.4", "leaning": "none"}
    browser = sign_in("coach")
    response = post(browser, "eater_add", cast.household.pk, **typed)
    ivo = Eater.objects.get(name="Ivo")
    assert response.redirect_chain[-1][0] == reverse("eater_exclusions", args=[ivo.pk])
    then = post(browser, "eater_exclusions", ivo.pk, allergies=["milk"])
    assert then.redirect_chain[-1][0] == reverse("eater_screening", args=[ivo.pk])


def test_an_eater_is_changed_and_screened_by_age(cast, eater, sign_in):
    typed = {"name": "Alda", "born": "2015-01-01", "sex": "female", "appetite": "0.7", "leaning": "meat"}
    post(sign_in("coach"), "eater_edit", eater.pk, **typed)
    eater.refresh_from_db()
    assert (eater.name, eater.born, eater.leaning) == ("Alda", date(2015, 1, 1), "meat")
    assert set(eater.cautions.values_list("rule", flat=True)) == {"asthma", "under-18"}


def test_exclusions_show_what_is_known_and_are_changed(cast, eater, sign_in):
    browser = sign_in("coach")
    page = browser.get(reverse("eater_exclusions", args=[eater.pk])).content.decode()
    assert ticks(page) == 3
    post(browser, "eater_exclusions", eater.pk, allergies=["milk"], more_allergies=["wheat"])
    eater.refresh_from_db()
    assert (eater.allergies, eater.excluded, eater.dislikes) == (["milk", "wheat"], [], [])


GROUPS = ("now", "bowel", "body", "allergy", "eating", "life", "medicines", "conditions")


def test_a_screening_shows_earlier_answers_and_raises_cautions(cast, eater, sign_in):
    browser = sign_in("coach")
    page = browser.get(reverse("eater_screening", args=[eater.pk])).content.decode()
    assert 'value="asthma"' in page
    typed = {f"{group}-none": "on" for group in GROUPS if group != "life"} | {"life": ["pregnant"]}
    assert "is recorded" in post(browser, "eater_screening", eater.pk, **typed).content.decode()
    assert eater.cautions.get().rule == "pregnant"
    assert "means do not start" in page_of(browser, cast.household)


def test_a_screening_with_gaps_keeps_its_ticks_and_changes_nothing(cast, eater, sign_in):
    page = post(sign_in("coach"), "eater_screening", eater.pk, life=["pregnant"]).content.decode()
    assert "Ask, then tick what applies" in page
    assert ticks(page) == 1
    assert not eater.cautions.exists()


def test_a_sign_off_covers_what_is_ticked(cast, eater, sign_in):
    kidney = CautionFactory(eater=eater, rule="kidney-disease", strength=FIRST)
    young = CautionFactory(eater=eater, rule="under-18", strength=FIRST)
    CautionFactory(eater=eater, rule="pregnant", strength=STOP)
    browser = sign_in("coach")
    page = browser.get(reverse("eater_sign_off", args=[eater.pk])).content.decode()
    assert "Kidney disease" in page
    assert "Pregnant" not in page
    typed = {"clinician": "Dr. Ash", "profession": "Nephrologist", "agreed_on": TODAY.isoformat()}
    post(browser, "eater_sign_off", eater.pk, cautions=[str(kidney.pk)], **typed)
    assert SignOff.objects.get().caution == kidney
    gap = post(
        browser, "eater_sign_off", eater.pk, cautions=[str(young.pk)], clinician="Dr. Elm"
    ).content.decode()
    assert 'value="Dr. Elm"' in gap
    assert SignOff.objects.count() == 1


def test_nobody_signs_for_another_household(cast, eater, sign_in):
    CautionFactory(eater=eater, rule="kidney-disease", strength=FIRST)
    other = CautionFactory(eater=cast.other_household.eaters.get(), rule="kidney-disease", strength=FIRST)
    typed = {"clinician": "Dr. Ash", "profession": "Doctor", "agreed_on": TODAY.isoformat()}
    page = post(sign_in("coach"), "eater_sign_off", eater.pk, cautions=[str(other.pk)], **typed)
    assert "Select a valid choice" in page.content.decode()
    assert not SignOff.objects.exists()


def test_without_a_waiting_caution_there_is_nothing_to_sign(cast, eater, sign_in):
    response = sign_in("coach").get(reverse("eater_sign_off", args=[eater.pk]), follow=True)
    assert "waits for a clinician" in response.content.decode()
    assert response.redirect_chain[-1][0] == reverse("household", args=[cast.household.pk])


def decide(browser, enrolment: Enrolment, **typed):
    seen = typed.pop("seen", None) or enrolment.spells.get(ended_on__isnull=True).pk
    return post(browser, "enrolment_decide", enrolment.pk, seen=str(seen), **typed)


def test_every_decision_can_be_taken_in_the_page(cast, eater, sign_in):
    browser, enrolment = sign_in("coach"), eater.enrolments.get()
    assert "The next stage has begun." in decide(browser, enrolment, decision="move-on").content.decode()
    back = decide(browser, enrolment, decision="step-back", stage="first", reason="Cramps")
    assert "The earlier stage has begun again." in back.content.decode()
    assert "on hold." in decide(browser, enrolment, decision="hold", reason="Flu").content.decode()
    assert "The stage goes on." in decide(browser, enrolment, decision="resume").content.decode()
    assert "has ended." in decide(browser, enrolment, decision="end", reason="Moved away").content.decode()
    assert enrolment.spells.count() == 3


def test_a_refused_decision_keeps_the_reason_and_says_why(cast, eater, sign_in):
    CautionFactory(eater=eater, rule="kidney-disease", strength=FIRST)
    enrolment = eater.enrolments.get()
    page = decide(sign_in("coach"), enrolment, decision="move-on", reason="All well").content.decode()
    assert "A caution waits for a clinician." in page
    assert 'value="All well"' in page
    assert enrolment.spells.count() == 1


def test_a_stale_page_takes_no_decision(cast, eater, sign_in):
    browser, enrolment = sign_in("coach"), eater.enrolments.get()
    seen = enrolment.spells.get().pk
    decide(browser, enrolment, decision="move-on", seen=seen)
    page = decide(browser, enrolment, decision="hold", reason="Flu").content.decode()
    assert "on hold" in page
    assert enrolment.spells.count() == 2


def test_a_decision_that_is_not_offered_is_refused(cast, eater, sign_in):
    enrolment = eater.enrolments.get()
    page = decide(sign_in("coach"), enrolment, decision="resume").content.decode()
    assert "Select a valid choice" in page


def test_after_the_end_there_is_nothing_to_decide(cast, eater, sign_in):
    enrolment = eater.enrolments.get()
    Enrolment.objects.update(state="ended")
    Spell.objects.update(ended_on=TODAY)
    response = sign_in("coach").get(reverse("enrolment_decide", args=[enrolment.pk]), follow=True)
    assert "The protocol has ended for this eater." in response.content.decode()


def test_an_eater_is_put_on_a_protocol_later(cast, eater, sign_in):
    joined = EaterFactory(household=cast.household, answers={"asthma": False})
    browser = sign_in("coach")
    typed = {"place": f"{cast.version.pk}:first", "start_on": (TODAY + timedelta(days=3)).isoformat()}
    none = post(browser, "enrolment_start", joined.pk, place="", start_on="").content.decode()
    assert "Choose a protocol." in none
    assert "follows the protocol" in post(browser, "enrolment_start", joined.pk, **typed).content.decode()
    assert joined.enrolments.get().spells.get().began_on == TODAY + timedelta(days=3)
    again = post(browser, "enrolment_start", joined.pk, **typed).content.decode()
    assert "already follows a protocol" in again


def test_day_one_is_moved_while_it_lies_ahead(cast, eater, sign_in):
    browser, enrolment = sign_in("coach"), eater.enrolments.get()
    later = (TODAY + timedelta(days=20)).isoformat()
    assert (
        "Day one has come."
        in post(browser, "enrolment_day_one", enrolment.pk, start_on=later).content.decode()
    )
    Enrolment.objects.update(start_on=TODAY + timedelta(days=3))
    Spell.objects.update(began_on=TODAY + timedelta(days=3))
    assert (
        "Day one is moved."
        in post(browser, "enrolment_day_one", enrolment.pk, start_on=later).content.decode()
    )


def test_consent_and_sign_in_are_said(cast, eater, sign_in):
    client = cast.household.clients.get()
    Consent.objects.get_or_create(
        client=client, defaults={"text": "x", "agreed_on": TODAY, "recorded_at": NOON}
    )
    page = page_of(sign_in("coach"), cast.household)
    assert "Agreed on" in page
    assert "Invited, not yet signed in." in page
    User.objects.filter(pk=client.user_id).update(last_login=NOON)
    assert "Signs in." in page_of(sign_in("coach"), cast.household)
    Client.objects.filter(pk=client.pk).update(user=None)
    assert "Give access" in page_of(sign_in("coach"), cast.household)
