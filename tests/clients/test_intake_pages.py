"""A new client, step by step, as a coach types it."""

from datetime import timedelta

import pytest
from django.urls import reverse

from clients.models import Caution, Household, IntakeDraft
from coaching.practice.models import Practice
from tests.factories import NOON, TODAY, FoodFactory

KEYS = ["household", "eaters", "kitchen", "exclusions", "screening", "consent", "protocol"]
MINUTES = {f"min_{day}": "45" for day in ("mon", "tue", "wed", "thu", "fri", "sat", "sun")}
GROUPS = ("now", "bowel", "body", "allergy", "eating", "life", "medicines", "conditions")


@pytest.fixture
def draft(cast, noon) -> IntakeDraft:
    FoodFactory(practice=cast.practice, key="beef-liver")
    return IntakeDraft.objects.create(practice=cast.practice, coach=cast.coach, updated_at=NOON)


def url(draft: IntakeDraft, step: str) -> str:
    return reverse("intake_step", args=[draft.pk, step])


def screened(key: str, *, groups: tuple[str, ...] = GROUPS, **ticks: str) -> dict[str, str]:
    """Every group answered: by a tick where one is given, else by none of these."""
    answered = {f"{key}-{group}-none": "on" for group in groups if group not in ticks}
    return answered | {f"{key}-{group}": tick for group, tick in ticks.items()}


def typed(cast, **changes: dict) -> dict[str, dict]:
    """What is typed at each step for Dana and Ivo; ``changes`` are merged into the steps."""
    place = f"{cast.version.pk}:first"
    steps = {
        "household": {
            "name": "Dana Reed",
            "household": "Reed",
            "email": "dana@example.org",
            "language": "en",
            "time_zone": "Europe/Dublin",
        },
        "eaters": {
            "eater": ["first", "e2"],
            "is_client": "first",
            "first-name": "Dana",
            "first-born": "1986-04-12",
            "first-sex": "female",
            "first-appetite": "1",
            "first-leaning": "none",
            "e2-name": "Ivo",
            "e2-born": "2023-02-03",
            "e2-sex": "male",
            "e2-appetite": "0.4",
            "e2-leaning": "meat",
        },
        "kitchen": {"pot_1": "7.5", "pot_2": "4", "jars": "8", "busy": ["tue"], "freezer": "on", **MINUTES},
        "exclusions": {
            "eater": ["first", "e2"],
            "first-excluded_add": "beef liver",
            "e2-allergies": ["milk"],
        },
        "screening": {
            "eater": ["first", "e2"],
            "first-weight-kg": "71.5",
            **screened("first", medicines="warfarin"),
            **screened("e2", groups=("now", "bowel", "body", "allergy", "eating", "medicines", "conditions")),
        },
        "consent": {"agreed": "on", "agreed_on": TODAY.isoformat()},
        "protocol": {
            "eater": ["first", "e2"],
            "first-place": place,
            "first-start_on": (TODAY + timedelta(days=14)).isoformat(),
            "e2-place": "",
        },
    }
    for step, change in changes.items():
        steps[step] = {**steps[step], **change}
    return steps


def walk(browser, draft: IntakeDraft, steps: dict[str, dict]) -> None:
    """Type every step and go on; each one has to be right."""
    for key in KEYS:
        response = browser.post(url(draft, key), {**steps[key], "then": "next"})
        assert response.status_code == 302, (key, response.content.decode())


def finish(browser, draft: IntakeDraft):
    return browser.post(reverse("intake_review", args=[draft.pk]), follow=True)


def test_a_client_is_made_from_what_was_typed(cast, sign_in, draft):
    browser = sign_in("coach")
    walk(browser, draft, typed(cast))
    page = finish(browser, draft)
    assert "Reed is in the book." in page.content.decode()
    made = Household.objects.get(name="Reed")
    dana, ivo = made.eaters.order_by("position")
    assert made.coach == cast.coach
    assert (dana.client.email, dana.excluded, dana.answers["weight-kg"]) == (
        "dana@example.org",
        ["beef-liver"],
        "71.5",
    )
    assert (ivo.allergies, ivo.leaning, ivo.client) == (["milk"], "meat", None)
    assert made.kitchen["pots_l"] == [7.5, 4.0]
    assert made.clients.get().consents.get().text == cast.practice.client_agreement
    assert dana.enrolments.get().spells.get().began_on == TODAY + timedelta(days=14)
    assert not ivo.enrolments.exists()
    assert set(Caution.objects.filter(eater__household=made).values_list("rule", flat=True)) == {
        "warfarin",
        "under-18",
    }


def test_the_review_shows_cautions_and_what_they_mean(cast, sign_in, draft):
    browser = sign_in("coach")
    walk(browser, draft, typed(cast))
    page = browser.get(reverse("intake_review", args=[draft.pk])).content.decode()
    assert "Warfarin: keep greens steady" in page
    assert "Under eighteen" in page
    assert "until a licensed clinician’s agreement is recorded" in page
    assert "Beef liver" in page
    assert "Small protocol, version 1, 1. First" in page


def test_what_was_typed_stays_even_where_it_is_wrong(cast, sign_in, draft):
    browser = sign_in("coach")
    page = browser.post(
        url(draft, "household"), {"name": "Dana", "household": "", "email": "dana at home", "then": "next"}
    ).content.decode()
    assert "What you typed is kept in the draft." in page
    assert 'href="#id_email"' in page
    assert 'href="#id_household"' in page
    again = browser.get(url(draft, "household")).content.decode()
    assert 'value="dana at home"' in again
    draft.refresh_from_db()
    assert draft.answers["household"]["email"] == ["dana at home"]
    assert draft.label == "Dana"


@pytest.mark.parametrize(
    ("then", "leads_to"),
    [("back", "eaters"), ("leave", None), ("stay", "kitchen")],
)
def test_a_half_typed_step_can_be_left(cast, sign_in, draft, then: str, leads_to: str | None):
    browser = sign_in("coach")
    response = browser.post(url(draft, "kitchen"), {"pot_1": "many", "then": then})
    assert response["Location"] == (url(draft, leads_to) if leads_to else reverse("intake"))
    draft.refresh_from_db()
    assert draft.answers["kitchen"] == {"pot_1": ["many"]}


def test_only_a_steps_own_fields_are_kept(cast, sign_in, draft):
    sign_in("coach").post(url(draft, "kitchen"), {"pot_1": "5", "coach": "me", "then": "leave"})
    draft.refresh_from_db()
    assert draft.answers["kitchen"] == {"pot_1": ["5"]}


def test_eaters_are_added_and_taken_off_without_scripts(cast, sign_in, draft):
    browser = sign_in("coach")
    one = {"eater": ["first"], "first-name": "Dana", "first-born": "soon"}
    browser.post(url(draft, "eaters"), {**one, "then": "add"})
    draft.refresh_from_db()
    first, second = draft.answers["eaters"]["eater"]
    page = browser.get(url(draft, "eaters")).content.decode()
    assert 'value="Dana"' in page
    assert f'name="{second}-name"' in page
    two = {"eater": [first, second], **one, f"{second}-name": "Ivo"}
    browser.post(url(draft, "eaters"), {**two, "eater": [first, second], "then": f"remove:{first}"})
    draft.refresh_from_db()
    assert draft.answers["eaters"] == {"eater": [second], f"{second}-name": ["Ivo"]}


def test_a_new_eater_is_not_scolded_before_anything_was_typed(cast, sign_in, draft):
    browser = sign_in("coach")
    steps = typed(cast)
    browser.post(url(draft, "eaters"), {**steps["eaters"], "then": "add"})
    assert "This field is required" not in browser.get(url(draft, "eaters")).content.decode()


def test_an_eater_added_later_has_to_be_asked_too(cast, sign_in, draft):
    browser = sign_in("coach")
    steps = typed(cast)
    walk(browser, draft, steps)
    third = {"e3-name": "Nan", "e3-born": "1950-01-01", "e3-sex": "female", "e3-appetite": "1"}
    joined = steps["eaters"] | third | {"e3-leaning": "none", "eater": ["first", "e2", "e3"]}
    browser.post(url(draft, "eaters"), {**joined, "then": "next"})
    page = browser.get(reverse("intake_review", args=[draft.pk])).content.decode()
    assert "These steps are still open" in page
    assert "Make the household" not in page
    finish(browser, draft)
    assert not Household.objects.filter(name="Reed").exists()


def test_answers_stay_with_their_eater_when_another_is_taken_off(cast, sign_in, draft):
    browser = sign_in("coach")
    steps = typed(cast)
    walk(browser, draft, steps)
    only_ivo = {name: value for name, value in steps["eaters"].items() if not name.startswith("first")}
    browser.post(url(draft, "eaters"), {**only_ivo, "eater": ["e2"], "is_client": "", "then": "next"})
    finish(browser, draft)
    ivo = Household.objects.get(name="Reed").eaters.get()
    assert (ivo.name, ivo.allergies, ivo.excluded) == ("Ivo", ["milk"], [])


def test_steps_about_eaters_wait_until_someone_eats(cast, sign_in, draft):
    response = sign_in("coach").get(url(draft, "screening"), follow=True)
    assert response.redirect_chain[-1][0] == url(draft, "eaters")
    assert "First say who eats here" in response.content.decode()


def test_foods_that_are_not_in_the_book_are_named_with_the_nearest(cast, sign_in, draft):
    browser = sign_in("coach")
    steps = typed(cast, exclusions={"first-excluded_add": "beef livr"})
    for key in ("household", "eaters"):
        browser.post(url(draft, key), {**steps[key], "then": "next"})
    page = browser.post(url(draft, "exclusions"), {**steps["exclusions"], "then": "next"}).content.decode()
    assert "“beef livr” is not in your book. Did you mean Beef liver?" in page
    assert 'value="beef livr"' in page


def test_named_foods_become_ticks(cast, sign_in, draft):
    browser = sign_in("coach")
    steps = typed(cast)
    for key in ("household", "eaters"):
        browser.post(url(draft, key), {**steps[key], "then": "next"})
    browser.post(url(draft, "exclusions"), {**steps["exclusions"], "then": "stay"})
    page = browser.get(url(draft, "exclusions")).content.decode()
    assert 'name="first-excluded" value="beef-liver"' in page.replace('class="form-check-input" ', "")
    draft.refresh_from_db()
    assert draft.answers["exclusions"]["first-excluded_add"] == [""]


def test_the_official_list_of_the_country_stands_first(cast, sign_in, draft):
    browser = sign_in("coach")
    Practice.objects.filter(pk=cast.practice.pk).update(country="US")
    steps = typed(cast)
    for key in ("household", "eaters"):
        browser.post(url(draft, key), {**steps[key], "then": "next"})
    page = browser.get(url(draft, "exclusions")).content.decode()
    assert 'name="first-allergies" value="sesame"' in page.replace('class="form-check-input" ', "")
    assert 'name="first-more_allergies" value="celery"' in page.replace('class="form-check-input" ', "")


def test_a_group_without_an_answer_and_one_with_both_are_refused(cast, sign_in, draft):
    browser = sign_in("coach")
    steps = typed(cast, screening={"first-now-none": "", "first-bowel": "anaemia"})
    for key in ("household", "eaters"):
        browser.post(url(draft, key), {**steps[key], "then": "next"})
    page = browser.post(url(draft, "screening"), {**steps["screening"], "then": "next"}).content.decode()
    assert page.count("Ask, then tick what applies, or “none of these”.</li>") == 1
    assert "Untick one of them." in page


def test_pounds_feet_and_quarts_are_kept_in_metric(cast, sign_in, draft):
    """150 lb are 68.0388555 kg and 5 ft 6 in 167.64 cm, exactly (NIST Handbook 44); 8 quarts are 7.570823568 l."""
    Practice.objects.filter(pk=cast.practice.pk).update(units="us")
    steps = typed(
        cast,
        kitchen={"pot_1": "8", "pot_2": ""},
        screening={"first-weight-kg": "150", "first-height-ft": "5", "first-height-in": "6"},
    )
    browser = sign_in("coach")
    walk(browser, draft, steps)
    finish(browser, draft)
    made = Household.objects.get(name="Reed")
    answers = made.eaters.get(name="Dana").answers
    assert (answers["weight-kg"], answers["height-cm"]) == ("68.0388555", "167.64")
    assert made.kitchen["pots_l"] == [7.570823568]


def test_consent_is_to_the_words_that_were_shown(cast, sign_in, draft):
    browser = sign_in("coach")
    walk(browser, draft, typed(cast))
    Practice.objects.filter(pk=cast.practice.pk).update(client_agreement="New words.")
    page = browser.get(url(draft, "consent")).content.decode()
    assert "These words are new." in page
    finish(browser, draft)
    assert not Household.objects.filter(name="Reed").exists()
    browser.post(url(draft, "consent"), {**typed(cast)["consent"], "then": "next"})
    finish(browser, draft)
    assert Household.objects.get(name="Reed").clients.get().consents.get().text == "New words."


@pytest.mark.parametrize(
    ("step", "change", "said"),
    [
        ("consent", {"agreed": ""}, "This field is required."),
        ("consent", {"agreed_on": (TODAY + timedelta(days=1)).isoformat()}, "still to come"),
        ("protocol", {"first-start_on": (TODAY - timedelta(days=1)).isoformat()}, "cannot lie in the past"),
        ("protocol", {"first-start_on": ""}, "Give the first day"),
        ("eaters", {"first-born": (TODAY + timedelta(days=1)).isoformat()}, "still to come"),
        ("kitchen", {"pot_1": ""}, "This field is required."),
        ("household", {"time_zone": "Nowhere/Land"}, "not one of the available choices"),
    ],
)
def test_what_is_wrong_is_said_and_the_step_does_not_go_on(cast, sign_in, draft, step, change, said):
    browser = sign_in("coach")
    steps = typed(cast)
    for key in KEYS[: KEYS.index(step)]:
        browser.post(url(draft, key), {**steps[key], "then": "next"})
    response = browser.post(url(draft, step), {**steps[step], **change, "then": "next"})
    assert response.status_code == 200
    assert said in response.content.decode()


def test_nobody_starts_while_do_not_start_holds(cast, sign_in, draft):
    browser = sign_in("coach")
    steps = typed(cast, screening=screened("first", life="pregnant", medicines="warfarin"))
    del steps["screening"]["first-life-none"]
    for key in KEYS[:-1]:
        browser.post(url(draft, key), {**steps[key], "then": "next"})
    page = browser.post(url(draft, "protocol"), {**steps["protocol"], "then": "next"}).content.decode()
    assert "“Do not start” holds for Dana." in page
    none = steps["protocol"] | {"first-place": "", "first-start_on": ""}
    assert browser.post(url(draft, "protocol"), {**none, "then": "next"}).status_code == 302
    finish(browser, draft)
    assert not Household.objects.get(name="Reed").eaters.get(name="Dana").enrolments.exists()


def test_a_finished_draft_leads_to_its_household(cast, sign_in, draft):
    browser = sign_in("coach")
    walk(browser, draft, typed(cast))
    finish(browser, draft)
    household = reverse("household", args=[Household.objects.get(name="Reed").pk])
    assert browser.get(url(draft, "kitchen"))["Location"] == household
    assert browser.get(reverse("intake_review", args=[draft.pk]))["Location"] == household
    assert finish(browser, draft).redirect_chain[-1][0] == household
    assert Household.objects.filter(name="Reed").count() == 1


def test_drafts_are_listed_and_lead_to_where_one_left(cast, sign_in, draft):
    browser = sign_in("coach")
    browser.post(url(draft, "household"), {**typed(cast)["household"], "then": "leave"})
    page = browser.get(reverse("intake")).content.decode()
    assert "Dana Reed" in page
    assert "1 of 7" in page
    assert url(draft, "eaters") in page


def test_without_drafts_the_page_says_what_comes(cast, sign_in, noon):
    assert "No draft is waiting" in sign_in("coach").get(reverse("intake")).content.decode()


def test_a_draft_is_begun_and_put_away(cast, sign_in, noon):
    browser = sign_in("coach")
    begun = browser.post(reverse("intake"))
    draft = IntakeDraft.objects.get()
    assert begun["Location"] == url(draft, "household")
    assert "leaves the list" in browser.get(reverse("intake_archive", args=[draft.pk])).content.decode()
    browser.post(reverse("intake_archive", args=[draft.pk]))
    assert "No draft is waiting" in browser.get(reverse("intake")).content.decode()
    assert browser.get(url(draft, "household")).status_code == 404


def test_nothing_begins_while_the_practice_is_not_set_up(cast, sign_in, noon):
    Practice.objects.filter(pk=cast.practice.pk).update(rules_checked_at=None)
    response = sign_in("coach").post(reverse("intake"), follow=True)
    assert response.redirect_chain[-1][0] == reverse("practice_set_up")
    assert "The practice is not set up yet." in response.content.decode()
    assert not IntakeDraft.objects.exists()


@pytest.mark.parametrize(
    ("role", "status"),
    [
        ("coach", 200),
        ("owner", 200),
        *((role, 404) for role in ("other_coach", "assistant", "client", "foreign_coach")),
    ],
)
def test_a_draft_is_seen_by_its_coach_and_the_owner(cast, sign_in, draft, role: str, status: int):
    browser = sign_in(role)
    for address in (
        url(draft, "household"),
        reverse("intake_review", args=[draft.pk]),
        reverse("intake_archive", args=[draft.pk]),
    ):
        assert browser.get(address).status_code == status, address


def test_an_unknown_step_is_no_page(cast, sign_in, draft):
    assert sign_in("coach").get(url(draft, "horoscope")).status_code == 404


@pytest.mark.parametrize("drafts", [1, 30])
def test_the_list_of_drafts_asks_the_same_few_questions(
    cast, sign_in, noon, django_assert_max_num_queries, drafts: int
):
    IntakeDraft.objects.bulk_create(
        IntakeDraft(practice=cast.practice, coach=cast.coach, label=f"Client {n}", updated_at=NOON)
        for n in range(drafts)
    )
    browser = sign_in("owner")
    with django_assert_max_num_queries(5):  # session, user, membership, drafts with coaches
        browser.get(reverse("intake"))
