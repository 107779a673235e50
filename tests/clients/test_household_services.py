"""A household is made whole or not at all, and changed field by field."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from clients.domain.people import (
    KitchenFacts,
    NewClient,
    NewConsent,
    NewEater,
    NewEnrolment,
    NewHousehold,
)
from clients.domain.presence import EVERY_MEAL
from clients.models import Caution, Client, Eater, Enrolment, Household
from clients.services import households as services
from coaching.domain.errors import Refused
from coaching.outbox.models import OwedWork
from coaching.practice.models import AuditEntry, Membership, Practice, User
from tests.factories import NOON, TODAY

START = TODAY + timedelta(days=14)


def new_household(cast, **changes) -> NewHousehold:
    dana = NewEater(
        name="Dana",
        born=date(1986, 4, 12),
        sex="female",
        is_client=True,
        allergies=("milk",),
        excluded=("egg",),
        answers={"warfarin": True, "pregnant": False},
        enrolment=NewEnrolment(str(cast.version.pk), "first", START),
    )
    ivo = NewEater(name="Ivo", born=date(2023, 2, 3), appetite=Decimal("0.4"))
    made = NewHousehold(
        name="Reed",
        client=NewClient("Dana Reed", "dana@example.org", time_zone="Europe/Dublin"),
        kitchen=KitchenFacts(pots_l=(Decimal("7.5"),), hands_on_min={"mon": 60}),
        eaters=(dana, ivo),
        consent=NewConsent("Coaching only.", TODAY),
    )
    return replace(made, **changes)


def create(cast, new: NewHousehold, **more) -> Household:
    coach = more.pop("coach", cast.coach)
    return services.household_create(
        practice=cast.practice, coach=coach, new=new, by=cast.coach, at=NOON, **more
    )


def counts() -> tuple[int, ...]:
    return tuple(rows.objects.count() for rows in (Household, Client, Eater, Caution, Enrolment, AuditEntry))


def test_a_household_is_made_with_everybody_in_it(cast):
    made = create(cast, new_household(cast))
    client = made.clients.get()
    dana, ivo = made.eaters.order_by("position")
    assert (made.practice, made.coach, made.created_at) == (cast.practice, cast.coach, NOON)
    assert (client.name, client.time_zone, client.user) == ("Dana Reed", "Europe/Dublin", None)
    assert (client.consents.get().text, client.consents.get().agreed_on) == ("Coaching only.", TODAY)
    assert (dana.client, ivo.client) == (client, None)
    assert (dana.allergies, dana.excluded, ivo.appetite) == (["milk"], ["egg"], Decimal("0.4"))
    assert {(row.eater.name, row.rule) for row in Caution.objects.filter(eater__household=made)} == {
        ("Dana", "warfarin"),
        ("Ivo", "under-18"),
    }
    enrolment = dana.enrolments.get()
    assert (enrolment.version, enrolment.start_on, enrolment.state) == (cast.version, START, "active")
    assert (enrolment.spells.get().stage, enrolment.spells.get().began_on) == ("first", START)
    assert not ivo.enrolments.exists()


def refused_fields(call) -> list[str]:
    before = counts()
    with pytest.raises(Refused) as refused:
        call()
    assert counts() == before
    return [problem.field for problem in refused.value.problems]


def test_nothing_is_made_while_the_practice_is_not_set_up(cast):
    Practice.objects.filter(pk=cast.practice.pk).update(rules_checked_at=None)
    assert refused_fields(lambda: create(cast, new_household(cast))) == ["practice"]


def test_nothing_is_made_without_an_eater(cast):
    assert refused_fields(lambda: create(cast, new_household(cast, eaters=()))) == ["eaters"]


def test_nothing_is_made_when_nobody_ever_eats_at_home(cast):
    gone = tuple(replace(eater, away=frozenset(EVERY_MEAL)) for eater in new_household(cast).eaters)
    assert refused_fields(lambda: create(cast, new_household(cast, eaters=gone))) == ["away"]
    assert create(cast, new_household(cast, eaters=(gone[0], new_household(cast).eaters[1])))


@pytest.mark.parametrize("who", ["assistant", "foreign_coach", "client"])
def test_nothing_is_made_for_someone_who_is_no_coach_here(cast, who: str):
    assert refused_fields(lambda: create(cast, new_household(cast), coach=getattr(cast, who))) == ["coach"]


def test_nothing_is_made_where_one_eater_cannot_start_and_all_reasons_are_given(cast):
    new = new_household(cast)
    dana, ivo = new.eaters
    pregnant = replace(dana, answers={"pregnant": True})
    late = replace(
        ivo,
        answers={"asthma": False},
        enrolment=NewEnrolment(str(cast.version.pk), "first", TODAY - timedelta(days=1)),
    )
    fields = refused_fields(lambda: create(cast, replace(new, eaters=(pregnant, late))))
    assert fields == ["protocol", "start_on"]


def test_a_birthday_to_come_and_a_version_that_is_gone_are_refused(cast):
    new = new_household(cast)
    dana, _ivo = new.eaters
    unborn = replace(dana, born=TODAY + timedelta(days=1))
    gone = replace(dana, is_client=False, enrolment=NewEnrolment(str(cast.household.pk), "first", START))
    assert refused_fields(lambda: create(cast, replace(new, eaters=(unborn, gone)))) == ["born", "protocol"]


def test_an_eater_joins_a_household_with_cautions_by_age(cast):
    new = NewEater(name="Ivo", born=date(2023, 2, 3))
    eater = services.eater_add(household=cast.household, new=new, by=cast.coach, at=NOON)
    assert eater.position == 1
    assert eater.cautions.get().rule == "under-18"


def test_an_unborn_eater_does_not_join(cast):
    new = NewEater(name="Ivo", born=TODAY + timedelta(days=1))
    assert refused_fields(
        lambda: services.eater_add(household=cast.household, new=new, by=cast.coach, at=NOON)
    ) == ["born"]


def test_a_new_birthday_is_screened_again_with_the_same_answers(cast):
    eater = cast.household.eaters.get()
    Eater.objects.filter(pk=eater.pk).update(answers={"warfarin": True})
    services.eater_change(eater=eater, values={"born": date(2012, 1, 1)}, by=cast.coach, at=NOON)
    assert set(eater.cautions.values_list("rule", flat=True)) == {"warfarin", "under-18"}


def test_other_changes_of_an_eater_raise_nothing_and_are_audited_without_their_values(cast):
    eater = cast.household.eaters.get()
    services.eater_change(
        eater=eater, values={"dislikes": ["leek"], "name": eater.name}, by=cast.coach, at=NOON
    )
    assert AuditEntry.objects.get().facts == {"fields": ["dislikes"]}
    assert not eater.cautions.exists()


def test_what_is_no_field_of_theirs_is_not_changed(cast):
    eater, client = cast.household.eaters.get(), cast.household.clients.get()
    for call in (
        lambda: services.eater_change(eater=eater, values={"answers": {}}, by=cast.coach, at=NOON),
        lambda: services.client_change(client=client, values={"user": None}, by=cast.coach, at=NOON),
    ):
        assert len(refused_fields(call)) == 1


def test_a_household_takes_another_name_and_kitchen(cast):
    changed = services.household_change(
        household=cast.household,
        name="Elder",
        kitchen=KitchenFacts(pots_l=(Decimal(5),), jars=3),
        by=cast.coach,
        at=NOON,
    )
    assert (changed.name, changed.kitchen["pots_l"], changed.kitchen["jars"]) == ("Elder", [5.0], 3)
    assert AuditEntry.objects.get().facts == {"fields": ["kitchen", "name"]}


def test_a_household_is_put_away_and_taken_out_again(cast):
    services.household_archive(household=cast.household, by=cast.coach, at=NOON)
    services.household_archive(household=cast.household, by=cast.coach, at=NOON + timedelta(days=1))
    cast.household.refresh_from_db()
    assert cast.household.archived_at == NOON
    services.household_restore(household=cast.household, by=cast.coach, at=NOON)
    cast.household.refresh_from_db()
    assert cast.household.archived_at is None
    assert [entry.action for entry in AuditEntry.objects.order_by("pk")] == [
        "household archived",
        "household restored",
    ]


@pytest.fixture
def newcomer(cast) -> Client:
    """A client without an account."""
    return create(cast, new_household(cast)).clients.get()


def test_access_makes_an_account_without_a_password_and_owes_the_invitation(cast, newcomer):
    user = services.client_account_open(client=newcomer, by=cast.coach, at=NOON)
    newcomer.refresh_from_db()
    assert newcomer.user == user
    assert (user.email, user.has_usable_password(), user.time_zone) == (
        "dana@example.org",
        False,
        "Europe/Dublin",
    )
    assert (user.membership.role, user.membership.practice) == (Membership.Role.CLIENT, cast.practice)
    owed = OwedWork.objects.get()
    assert (owed.kind, owed.key, owed.payload) == (
        "send-invitation",
        f"invitation:{newcomer.user_id}",
        {"user": str(user.pk)},
    )


def test_access_is_given_once(cast, newcomer):
    services.client_account_open(client=newcomer, by=cast.coach, at=NOON)
    with pytest.raises(Refused):
        services.client_account_open(client=newcomer, by=cast.coach, at=NOON)
    assert OwedWork.objects.count() == 1


@pytest.mark.parametrize("taken", ["coach@example.org", "COACH@example.org", "foreign@example.org"])
def test_access_is_refused_for_an_address_somebody_else_signs_in_with(cast, newcomer, taken: str):
    Client.objects.filter(pk=newcomer.pk).update(email=taken)
    with pytest.raises(Refused):
        services.client_account_open(client=newcomer, by=cast.coach, at=NOON)
    assert not OwedWork.objects.exists()


def change(client: Client, cast, **values) -> Client:
    return services.client_change(client=client, values=values, by=cast.coach, at=NOON)


def test_an_account_not_used_yet_follows_the_address_and_is_invited_again(cast, newcomer):
    user = services.client_account_open(client=newcomer, by=cast.coach, at=NOON)
    change(newcomer, cast, email="dana.reed@example.org")
    assert User.objects.get(pk=user.pk).email == "dana.reed@example.org"
    assert OwedWork.objects.filter(kind="send-invitation").count() == 2


def test_an_account_in_use_keeps_its_own_address(cast, newcomer):
    user = services.client_account_open(client=newcomer, by=cast.coach, at=NOON)
    User.objects.filter(pk=user.pk).update(last_login=NOON)
    changed = change(newcomer, cast, email="dana.reed@example.org")
    assert changed.email == "dana.reed@example.org"
    assert User.objects.get(pk=user.pk).email == "dana@example.org"


def test_an_address_somebody_signs_in_with_is_not_taken_over(cast, newcomer):
    services.client_account_open(client=newcomer, by=cast.coach, at=NOON)
    with pytest.raises(Refused):
        change(newcomer, cast, email="coach@example.org")
    newcomer.refresh_from_db()
    assert newcomer.email == "dana@example.org"
