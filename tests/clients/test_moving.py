"""Eaters stay on their version until the coach moves them, after seeing what that changes for each of them."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from clients.models import Enrolment, Spell
from clients.services import enrolments as decisions
from clients.services import moving as services
from clients.services.briefs import brief_for, eater_rules, open_enrolments
from clients.services.moving import Move, Seen, enrolments_move
from coaching.domain.errors import Refused
from coaching.practice.models import AuditEntry
from tests.factories import (
    NOON,
    SMALL_PROTOCOL,
    TODAY,
    EaterFactory,
    EnrolmentFactory,
    FoodFactory,
    ProtocolFactory,
    ProtocolVersionFactory,
    make_household,
)

GENTLY = [{**SMALL_PROTOCOL["stages"][0], "key": "gently", "title": "Gently"}, SMALL_PROTOCOL["stages"][1]]
IN_GENTLY = [{"food": "carrot", "stage": "gently", "allowance": "freely"}]


@pytest.fixture
def enrolment(cast) -> Enrolment:
    """Of the coach's eater, in the first stage of version 1 since eight days."""
    for key, group, families in (("carrot", "soft roots", []), ("butter", "dairy", ["milk"])):
        document = {"key": key, "name": key.title(), "group": group, "aisle": "vegetables"}
        FoodFactory(practice=cast.practice, key=key, group=group, document={**document, "families": families})
    return Enrolment.objects.get(eater__household=cast.household)


@pytest.fixture
def other(cast, enrolment) -> Enrolment:
    """Of the other coach's eater."""
    return Enrolment.objects.get(eater__household=cast.other_household)


def publish(cast, number: int = 2, **document):
    """A newer version of the protocol; by default it opens butter, too."""
    rules = [*SMALL_PROTOCOL["rules"], {"food": "butter", "stage": "first", "allowance": "freely"}]
    return ProtocolVersionFactory(
        protocol=cast.version.protocol,
        number=number,
        document={**SMALL_PROTOCOL, "key": cast.version.protocol.key, "rules": rules, **document},
        published_at=NOON,
    )


def open_spell(enrolment: Enrolment) -> Spell:
    return enrolment.spells.get(ended_on__isnull=True)


def as_seen(*enrolments: Enrolment) -> dict:
    return {one.pk: Seen(one.version_id, open_spell(one).pk) for one in enrolments}


def move(cast, version, *moves: Move, **more):
    seen = more.pop("seen", None) or as_seen(*(one.enrolment for one in moves))
    return enrolments_move(moves=moves, version=version, seen=seen, by=cast.owner, at=NOON, **more)


def refusals(cast, version, *moves: Move, **more) -> list[str]:
    before = list(Enrolment.objects.order_by("pk").values_list("version", "state"))
    with pytest.raises(Refused) as refused:
        move(cast, version, *moves, **more)
    assert all(problem.fix for problem in refused.value.problems)
    assert list(Enrolment.objects.order_by("pk").values_list("version", "state")) == before
    assert not AuditEntry.objects.filter(action="enrolment moved").exists()
    return [problem.message for problem in refused.value.problems]


# The service.


def test_a_move_keeps_the_spell_and_says_in_the_audit_from_where_to_where(cast, enrolment):
    spell, newer = open_spell(enrolment), publish(cast)
    move(cast, newer, Move(enrolment))
    enrolment.refresh_from_db()
    assert enrolment.version == newer
    assert list(enrolment.spells.all()) == [spell]
    entry = AuditEntry.objects.get(action="enrolment moved")
    assert (entry.facts, entry.subject, entry.user) == (
        {"was": 1, "now": 2},
        str(enrolment.pk),
        cast.owner.user,
    )


def test_moving_back_is_a_move_like_any_other(cast, enrolment):
    newer = publish(cast)
    move(cast, newer, Move(enrolment))
    enrolment.refresh_from_db()
    move(cast, cast.version, Move(enrolment))
    enrolment.refresh_from_db()
    assert enrolment.version == cast.version
    assert enrolment.spells.count() == 1


def test_on_hold_it_stays_on_hold(cast, enrolment):
    decisions.enrolment_hold(enrolment=enrolment, reason="Flu", by=cast.coach, at=NOON)
    move(cast, publish(cast), Move(enrolment))
    enrolment.refresh_from_db()
    assert (enrolment.state, enrolment.version.number) == (Enrolment.State.HELD, 2)


def test_the_next_week_goes_by_the_new_version_and_the_one_that_is_made_stays(cast, enrolment):
    made = brief_for(cast.household, TODAY, today=TODAY)
    move(cast, publish(cast), Move(enrolment))
    week = brief_for(cast.household, TODAY, today=TODAY)
    assert made.eaters[0].follows == "Small protocol, version 1"
    assert week.eaters[0].follows == "Small protocol, version 2"


def test_where_the_stage_is_gone_a_spell_ends_and_one_begins_in_the_stage_chosen(cast, enrolment):
    newer = publish(cast, stages=GENTLY, rules=IN_GENTLY)
    move(cast, newer, Move(enrolment, "gently", "Renamed"))
    enrolment.refresh_from_db()
    was, now = enrolment.spells.order_by("began_on")
    assert (was.stage, was.ended_on, was.ended_why) == ("first", TODAY, "Renamed")
    assert (now.stage, now.began_on, now.began_why, now.ended_on) == ("gently", TODAY, "Renamed", None)
    facts = {"was": 1, "now": 2, "stage_was": "first", "stage": "gently"}
    assert AuditEntry.objects.get(action="enrolment moved").facts == facts


def test_days_before_such_a_move_count_for_the_stage_that_was_moved_to(cast, enrolment):
    """A week may begin some days ago; the version then followed is the new one, which lacks the old stage."""
    newer = publish(cast, stages=GENTLY, rules=IN_GENTLY)
    move(cast, newer, Move(enrolment, "gently", "Renamed"))
    held = open_enrolments([enrolment.eater])
    rules = eater_rules([enrolment.eater], held, today=TODAY)[enrolment.eater_id]
    assert rules.stages == ((enrolment.start_on, "gently"), (TODAY, "gently"))
    assert brief_for(cast.household, TODAY - timedelta(days=3), today=TODAY).eaters[0].follows.endswith("2")


def test_the_household_still_tells_the_stages_so_far(cast, noon, sign_in, enrolment):
    newer = publish(cast, stages=GENTLY, rules=IN_GENTLY)
    move(cast, newer, Move(enrolment, "gently", "Renamed"))
    page = sign_in("coach").get(reverse("household", args=[cast.household.pk]))
    assert "First, 2 Jun 2026 – 10 Jun 2026" in text(page)


def test_a_stage_that_has_not_begun_is_replaced_and_leaves_no_spell_behind(cast, enrolment):
    begins = TODAY + timedelta(days=4)
    enrolment.spells.update(began_on=begins)
    newer = publish(cast, stages=GENTLY, rules=IN_GENTLY)
    move(cast, newer, Move(enrolment, "gently", "Renamed"))
    spell = enrolment.spells.get()
    assert (spell.stage, spell.began_on, spell.ended_on) == ("gently", begins, None)


def test_a_chosen_stage_is_none_beyond_and_has_a_reason(cast, enrolment):
    newer = publish(cast, stages=GENTLY, rules=IN_GENTLY)
    for stage in (None, "first", "second", "nonsense"):
        assert refusals(cast, newer, Move(enrolment, stage, "Please")) == [
            f"Version 2 lacks the stage that {enrolment.eater.name} is in."
        ]
    assert len(refusals(cast, newer, Move(enrolment, "gently", "  "))) == 1
    assert len(refusals(cast, newer, Move(enrolment))) == 2


def test_a_version_that_begins_beyond_the_eater_takes_nobody(cast, enrolment):
    only_second = publish(cast, stages=[{**SMALL_PROTOCOL["stages"][1]}], rules=[])
    (message,) = refusals(cast, only_second, Move(enrolment, "second", "Please"))
    assert "no stage at or before" in message


def test_a_move_does_not_change_a_stage_that_is_still_there(cast, enrolment):
    newer = publish(cast)
    assert len(refusals(cast, newer, Move(enrolment, "second", "Quickly"))) == 1
    move(cast, newer, Move(enrolment, "first"))
    assert open_spell(enrolment).stage == "first"


def test_what_is_not_as_it_was_seen_is_refused(cast, enrolment):
    newer, seen = publish(cast), as_seen(enrolment)
    stale = {enrolment.pk: Seen(newer.pk, open_spell(enrolment).pk)}
    assert len(refusals(cast, newer, Move(enrolment), seen=stale)) == 1
    assert len(refusals(cast, newer, Move(enrolment), seen={uuid4(): seen[enrolment.pk]})) == 1
    decisions.stage_move_on(
        enrolment=enrolment, seen=open_spell(enrolment).pk, reason="Well", by=cast.coach, at=NOON
    )
    (message,) = refusals(cast, newer, Move(enrolment), seen=seen)
    assert "changed while this page was open" in message


def test_ended_foreign_unpublished_and_same_versions_are_refused(cast, enrolment):
    newer = publish(cast)
    draft = publish(cast, number=3)
    draft.published_at = None
    foreign = Enrolment.objects.get(eater__household=cast.foreign_household)
    elsewhere = ProtocolVersionFactory(protocol=ProtocolFactory(practice=cast.practice))
    for version in (draft, foreign.version, elsewhere, cast.version):
        assert len(refusals(cast, version, Move(enrolment))) == 1
    assert len(refusals(cast, newer, Move(foreign))) == 1
    assert len(refusals(cast, newer, seen={enrolment.pk: None})) == 1
    seen = as_seen(enrolment)
    decisions.enrolment_end(enrolment=enrolment, reason="Moved away", by=cast.coach, at=NOON)
    assert len(refusals(cast, newer, Move(enrolment), seen=seen)) == 1


def test_one_that_cannot_be_moved_keeps_all_where_they_are(cast, enrolment, other):
    newer = publish(cast)
    seen = as_seen(enrolment, other)
    decisions.enrolment_end(enrolment=other, reason="Done", by=cast.other_coach, at=NOON)
    assert len(refusals(cast, newer, Move(enrolment), Move(other), seen=seen)) == 1


def test_a_failure_half_way_leaves_nothing_half_moved(cast, enrolment, other, monkeypatch):
    """Whatever goes wrong with the second one, the first one has not been moved either."""
    newer = publish(cast, stages=GENTLY, rules=IN_GENTLY)
    written = []

    def failing(**facts):
        written.append(facts)
        if len(written) == 2:
            raise RuntimeError("the disk is full")

    monkeypatch.setattr(services, "audit", failing)
    with pytest.raises(RuntimeError):
        move(cast, newer, Move(enrolment, "gently", "Renamed"), Move(other, "gently", "Renamed"))
    assert len(written) == 2
    for one in (enrolment, other):
        one.refresh_from_db()
        assert one.version == cast.version
        assert open_spell(one).stage == "first"
        assert one.spells.count() == 1


# The pages.


def people_url(cast) -> str:
    return reverse("protocol_people", args=[cast.version.protocol_id])


def move_url(cast, *enrolments, **more: str) -> str:
    asked = [*more.items(), *(("enrolment", str(getattr(one, "pk", one))) for one in enrolments)]
    url = reverse("protocol_people_move", args=[cast.version.protocol_id])
    return url + "?" + "&".join(f"{name}={value}" for name, value in asked)


def sent(browser, *enrolments, to: str = "", **typed: str):
    """What the confirm page would send; ``typed`` are fields of the first eater."""
    data = {"to": to, "enrolment": [str(one.pk) for one in enrolments]}
    for one in enrolments:
        data |= {f"{one.pk}-version": str(one.version_id), f"{one.pk}-spell": str(open_spell(one).pk)}
    data |= {f"{enrolments[0].pk}-{name}": value for name, value in typed.items()}
    path = reverse("protocol_people_move", args=[enrolments[0].version.protocol_id])
    return browser.post(path, data)


def text(response) -> str:
    return " ".join(response.content.decode().split())


def test_the_list_shows_older_versions_first_and_what_changes(cast, noon, sign_in, enrolment):
    newer = publish(cast)
    on_newer = make_household(practice=cast.practice, coach=cast.coach, version=newer, name="Aspen")
    page = sign_in("coach").get(people_url(cast))
    lines = [card["line"] for card in page.context["cards"]]
    assert [line.number for line in lines] == [1, 2]
    assert lines[0].enrolment == enrolment
    assert (lines[0].stage, lines[0].day) == ("First", 9)
    assert "1 food opens" in text(page)
    assert "opens: freely" in text(page).lower()
    assert page.context["cards"][1]["enrolment"].eater.household == on_newer
    assert "On this version" in text(page)


def test_who_is_allergic_to_milk_is_told_nothing_of_butter(cast, noon, sign_in, enrolment):
    publish(cast)
    enrolment.eater.allergies = ["milk"]
    enrolment.eater.save(update_fields=["allergies"])
    for url in (people_url(cast), move_url(cast, enrolment)):
        page = text(sign_in("coach").get(url))
        assert "Nothing changes for them" in page
        assert "Butter" not in page


def test_a_coach_sees_her_own_people_and_the_owner_all(cast, noon, sign_in, enrolment, other):
    publish(cast)

    def seen(role: str) -> set:
        return {card["enrolment"] for card in sign_in(role).get(people_url(cast)).context["cards"]}

    assert seen("coach") == {enrolment}
    assert seen("other_coach") == {other}
    assert seen("owner") == {enrolment, other}
    assert sign_in("coach").get(move_url(cast, enrolment, other)).status_code == 404
    assert sign_in("foreign_coach").get(people_url(cast)).status_code == 404


def test_search_version_and_pages_narrow_the_list(cast, noon, sign_in, enrolment):
    publish(cast)
    browser = sign_in("coach")
    for number in range(30):
        eater = EaterFactory(household=cast.household, name=f"Guest {number:02}")
        EnrolmentFactory(eater=eater, version=cast.version)

    def names(query: str) -> list[str]:
        cards = browser.get(people_url(cast) + query).context["cards"]
        return [card["enrolment"].eater.name for card in cards]

    assert len(names("")) == 25
    assert len(names("?page=2")) == 6
    assert names("?q=guest 07") == ["Guest 07"]
    assert len(names("?q=alder&version=1")) == 25
    for nothing in ("?q=nobody", "?version=2", "?version=x", "?version=99999999999999999999"):
        page = browser.get(people_url(cast) + nothing)
        assert page.context["cards"] == []
        assert "Nobody fits" in text(page)


def test_without_followers_the_page_says_so(cast, noon, sign_in):
    Enrolment.objects.update(state=Enrolment.State.ENDED)
    assert "Nobody follows this protocol" in text(sign_in("coach").get(people_url(cast)))


def test_households_that_are_put_away_are_not_in_the_list(cast, noon, sign_in, enrolment):
    cast.household.archived_at = NOON
    cast.household.save(update_fields=["archived_at"])
    assert sign_in("coach").get(people_url(cast)).context["cards"] == []
    assert sign_in("coach").get(move_url(cast, enrolment)).status_code == 404


@pytest.mark.parametrize("more", [1, 12])
@pytest.mark.parametrize("page", ["list", "move"])
def test_the_queries_do_not_grow_with_the_followers(
    cast, noon, sign_in, enrolment, django_assert_max_num_queries, more: int, page: str
):
    newer, between = publish(cast, number=3), publish(cast, number=2)
    extra = [
        EnrolmentFactory(
            eater=EaterFactory(household=cast.household), version=(cast.version, between)[number % 2]
        )
        for number in range(more)
    ]
    url = people_url(cast) if page == "list" else move_url(cast, enrolment, *extra)
    browser = sign_in("coach")
    browser.get(url)
    # Session, user, member, set-up, protocol, versions, the target, how many, followers, their spells, documents,
    # foods, and of the eaters check-ins, introductions and instructions.
    with django_assert_max_num_queries(16):
        response = browser.get(url)
    assert len(response.context["cards"]) == 1 + more
    assert response.context["target"] == newer


def test_several_are_moved_together(cast, noon, sign_in, enrolment, other):
    newer, browser = publish(cast), sign_in("owner")
    page = browser.get(move_url(cast, enrolment, other))
    assert text(page).count("Opens: freely") == 2
    response = sent(browser, enrolment, other)
    assert (response.status_code, response["Location"]) == (302, people_url(cast))
    assert set(Enrolment.objects.filter(version=newer)) == {enrolment, other}
    assert "2 eaters follow version 2 now." in text(browser.get(people_url(cast)))


def test_moving_back_from_the_same_page(cast, noon, sign_in, enrolment):
    newer, browser = publish(cast), sign_in("coach")
    Enrolment.objects.filter(pk=enrolment.pk).update(version=newer)
    enrolment.refresh_from_db()
    page = browser.get(people_url(cast) + "?to=1")
    assert "1 food closes" in text(page)
    assert "Move to version 1" in text(browser.get(move_url(cast, enrolment, to="1")))
    assert sent(browser, enrolment, to="1").status_code == 302
    enrolment.refresh_from_db()
    assert enrolment.version == cast.version


def test_a_missing_stage_is_chosen_on_the_page_with_a_reason(cast, noon, sign_in, enrolment):
    before = {**SMALL_PROTOCOL["stages"][0], "key": "before", "title": "Before"}
    newer = publish(cast, stages=[before, *GENTLY], rules=IN_GENTLY)
    Spell.objects.filter(enrolment=enrolment).update(stage="second")
    publish(cast, number=3, stages=[before, GENTLY[0]], rules=IN_GENTLY)
    browser = sign_in("coach")
    form = browser.get(move_url(cast, enrolment)).context["cards"][0]["form"]
    assert [key for key, _title in form.fields["stage"].choices] == ["gently", "before"]
    # Nothing is moved to a stage whose changes were not shown, nor without a reason; what was typed is kept.
    page = sent(browser, enrolment, stage="before", shown="gently", reason="Slowly")
    assert page.status_code == 200
    assert 'value="Slowly"' in text(page)
    assert page.context["cards"][0]["offer"].stage == "before"
    assert text(page).count('class="error-summary"') == 1
    assert f'name="{enrolment.pk}-shown" value="before"' in text(page)
    page = sent(browser, enrolment, stage="before", shown="before", reason=" ")
    assert "Why this stage" in text(page)
    page = sent(browser, enrolment, stage="second", shown="second", reason="Quickly")
    assert page.status_code == 200
    enrolment.refresh_from_db()
    assert enrolment.version == cast.version
    assert sent(browser, enrolment, stage="before", shown="before", reason="Slowly").status_code == 302
    enrolment.refresh_from_db()
    assert enrolment.version.number == newer.number + 1
    assert open_spell(enrolment).stage == "before"


def test_nobody_is_moved_where_there_is_no_place(cast, noon, sign_in, enrolment):
    publish(cast, stages=[SMALL_PROTOCOL["stages"][1]], rules=[])
    browser = sign_in("coach")
    for url in (people_url(cast), move_url(cast, enrolment)):
        page = browser.get(url)
        assert "has no stage at or before" in text(page)
    assert not page.context["can_move"]
    assert "has no stage at or before" in text(sent(browser, enrolment))


def test_a_page_that_is_no_longer_true_is_shown_anew(cast, noon, sign_in, enrolment):
    publish(cast)
    browser, seen = sign_in("coach"), open_spell(enrolment).pk
    decisions.stage_move_on(enrolment=enrolment, seen=seen, reason="Well", by=cast.coach, at=NOON)
    for stale in (str(seen), "nonsense", ""):
        page = sent(browser, enrolment, spell=stale)
        assert page.status_code == 200
        assert "changed while this page was open" in text(page)
        assert f'name="{enrolment.pk}-spell" value="{open_spell(enrolment).pk}"' in text(page)
    enrolment.refresh_from_db()
    assert enrolment.version == cast.version
    assert sent(browser, enrolment).status_code == 302


def test_bad_addresses_are_missing_pages(cast, noon, sign_in, enrolment):
    publish(cast)
    draft = publish(cast, number=3)
    draft.published_at = None
    draft.save(update_fields=["published_at"])
    foreign = Enrolment.objects.get(eater__household=cast.foreign_household)
    browser = sign_in("coach")
    for url in (
        move_url(cast, enrolment, uuid4()),
        move_url(cast, "nonsense"),
        move_url(cast, foreign),
        move_url(cast, enrolment, to="3"),
        move_url(cast, enrolment, to="9"),
        move_url(cast, enrolment, to="x"),
        people_url(cast) + "?to=3",
        people_url(cast) + "?to=-1",
        people_url(cast) + "?to=99999999999999999999",
        reverse("protocol_people", args=[foreign.version.protocol_id]),
    ):
        assert browser.get(url).status_code == 404, url


def test_nobody_chosen_ended_or_there_already_leads_back_to_the_list(cast, noon, sign_in, enrolment, other):
    newer, browser = publish(cast), sign_in("owner")
    assert browser.get(move_url(cast)).status_code == 302
    assert browser.post(reverse("protocol_people_move", args=[newer.protocol_id])).status_code == 302
    Enrolment.objects.filter(pk=other.pk).update(version=newer)
    response = browser.get(move_url(cast, other), follow=True)
    assert "follows version 2 already" in text(response)
    page = browser.get(move_url(cast, enrolment, other))
    assert [card["enrolment"] for card in page.context["cards"]] == [enrolment]
    # One of two ended while the page was open: nothing is moved, and the page is shown for the other.
    response = sent(browser, enrolment, other)
    assert response.status_code == 302
    assert str(enrolment.pk) in response["Location"]
    seen = open_spell(enrolment)
    decisions.enrolment_end(enrolment=enrolment, reason="Done", by=cast.coach, at=NOON)
    data = {"enrolment": [str(enrolment.pk)], f"{enrolment.pk}-spell": str(seen.pk)}
    response = browser.post(reverse("protocol_people_move", args=[newer.protocol_id]), data, follow=True)
    assert "The protocol has ended" in text(response)
    enrolment.refresh_from_db()
    assert enrolment.version == cast.version


def test_too_many_at_once_are_refused(cast, noon, sign_in, enrolment):
    publish(cast)
    many = [
        EnrolmentFactory(eater=EaterFactory(household=cast.household), version=cast.version)
        for _ in range(50)
    ]
    response = sign_in("coach").get(move_url(cast, enrolment, *many), follow=True)
    assert "at most 50" in text(response)


def test_protocol_and_household_say_that_someone_is_behind(cast, noon, sign_in, enrolment):
    protocol, household = reverse("protocol", args=[cast.version.protocol_id]), cast.household
    here = reverse("household", args=[household.pk])
    assert "not on the newest version" not in text(sign_in("coach").get(protocol))
    assert "would change" not in text(sign_in("coach").get(here))
    publish(cast)
    assert "1 eater is not on the newest version" in text(sign_in("coach").get(protocol))
    assert "2 eaters are not on the newest version" in text(sign_in("owner").get(protocol))
    assert people_url(cast) not in text(sign_in("assistant").get(protocol))
    assert move_url(cast, enrolment) in text(sign_in("coach").get(here))
    assert "would change" not in text(sign_in("assistant").get(here))
    Enrolment.objects.filter(pk=enrolment.pk).update(version=publish(cast, number=3))
    assert "would change" not in text(sign_in("coach").get(here))
