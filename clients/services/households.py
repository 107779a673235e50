"""Writing households: making one with everybody in it, changing what it is, giving a client a way in."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from clients.domain.people import KitchenFacts, NewEater, NewHousehold
from clients.domain.presence import away_record, nobody_at_home
from clients.domain.questions import answers_from_record
from clients.models import Client, Consent, Eater, Household
from clients.selectors.people import local_date
from clients.services.enrolments import enrolment_start
from clients.services.presence import nobody_left
from clients.services.screening import screening_record
from coaching.domain.errors import Problem, Refused
from coaching.outbox.services import owe
from coaching.practice.models import Membership, Practice, User
from coaching.practice.services import account_address_change, account_open, audit
from plans.models import ProtocolVersion

CLIENT_FIELDS = frozenset({"name", "email", "phone", "language", "time_zone"})
EATER_FIELDS = frozenset(
    {"name", "born", "sex", "appetite", "leaning", "dislikes", "allergies", "excluded", "position"}
)


@transaction.atomic
def household_create(
    *,
    practice: Practice,
    coach: Membership,
    new: NewHousehold,
    by: Membership,
    at: datetime,
    may_have_begun: bool = False,
) -> Household:
    """Make the household with its client, eaters, consent, cautions, enrolments and first spells; all of it or nothing.

    Raises Refused while the practice is not set up, without an eater, or where an enrolment cannot start.
    """
    _refuse_unmakeable(practice, coach, new)
    household = Household.objects.create(
        practice=practice,
        coach=coach,
        name=new.name,
        kitchen=new.kitchen.record(),
        wants=list(new.wants),
        created_at=at,
    )
    client = Client.objects.create(
        household=household,
        name=new.client.name,
        email=new.client.email,
        phone=new.client.phone,
        language=new.client.language,
        time_zone=new.client.time_zone,
    )
    Consent.objects.create(
        client=client, text=new.consent.text, agreed_on=new.consent.agreed_on, recorded_at=at
    )
    problems: list[Problem] = []
    for position, eater in enumerate(new.eaters):
        problems += _add(
            household, eater, client if eater.is_client else None, position, by, at, may_have_begun
        )
    if problems:
        raise Refused(*problems)
    audit(practice=practice, user=by.user, action="household created", subject=str(household.pk), at=at)
    return household


@transaction.atomic
def eater_add(*, household: Household, new: NewEater, by: Membership, at: datetime) -> Eater:
    """One more person at the table, with cautions and, if asked for, a place on a protocol. Raises Refused."""
    position = Eater.objects.filter(household=household).count()
    problems = _add(household, new, None, position, by, at, may_have_begun=False)
    if problems:
        raise Refused(*problems)
    return Eater.objects.get(household=household, position=position)


@transaction.atomic
def client_change(*, client: Client, values: Mapping[str, Any], by: Membership, at: datetime) -> Client:
    """Change how a client is reached. Raises Refused where an account not used yet cannot follow to a taken address."""
    _refuse_unknown(values, CLIENT_FIELDS)
    held = (
        Client.objects.select_for_update(of=("self",)).select_related("household__practice").get(pk=client.pk)
    )
    changed = _set(held, values)
    if changed:
        held.save(update_fields=changed)
        if held.user_id and "email" in changed:
            _move_unused_account(held, at)
        _note(held.household, "client changed", held.pk, by, at, fields=changed)
    return held


@transaction.atomic
def eater_change(*, eater: Eater, values: Mapping[str, Any], by: Membership, at: datetime) -> Eater:
    """Change what is known of an eater. A new birthday or sex is screened again with the answers already given."""
    _refuse_unknown(values, EATER_FIELDS)
    held = (
        Eater.objects.select_for_update(of=("self",)).select_related("household__practice").get(pk=eater.pk)
    )
    changed = _set(held, values)
    if changed:
        held.save(update_fields=changed)
        _note(held.household, "eater changed", held.pk, by, at, fields=changed)
    if {"born", "sex"} & set(changed):
        screening_record(eater=held, answers=answers_from_record(held.answers), by=by, at=at)
    return held


@transaction.atomic
def household_change(
    *,
    household: Household,
    name: str | None = None,
    kitchen: KitchenFacts | None = None,
    by: Membership,
    at: datetime,
) -> Household:
    """Change a household's name, its kitchen, or both."""
    held = Household.objects.select_for_update().get(pk=household.pk)
    values: dict[str, Any] = {}
    if name is not None:
        values["name"] = name
    if kitchen is not None:
        values["kitchen"] = kitchen.record()
    changed = _set(held, values)
    if changed:
        held.save(update_fields=changed)
        _note(held, "household changed", held.pk, by, at, fields=changed)
    return held


@transaction.atomic
def household_archive(*, household: Household, by: Membership, at: datetime) -> None:
    """Put a household away: it leaves lists, plans and mail, and is kept until its retention ends."""
    if Household.objects.filter(pk=household.pk, archived_at__isnull=True).update(archived_at=at):
        _note(household, "household archived", household.pk, by, at)


@transaction.atomic
def household_restore(*, household: Household, by: Membership, at: datetime) -> None:
    """Take a household out again."""
    if Household.objects.filter(pk=household.pk, archived_at__isnull=False).update(archived_at=None):
        _note(household, "household restored", household.pk, by, at)


@transaction.atomic
def client_account_open(*, client: Client, by: Membership, at: datetime) -> User:
    """Give a client a way to sign in: an account without a password, and an invitation owed to their address.

    Raises Refused when they have one, or when the address belongs to somebody else who signs in.
    """
    held = (
        Client.objects.select_for_update(of=("self",)).select_related("household__practice").get(pk=client.pk)
    )
    if held.user_id:
        raise Refused(Problem(0, "email", _("This client already has access."), ""))
    if User.objects.filter(email__iexact=held.email).exists():
        raise Refused(_address_taken())
    user = account_open(
        practice=held.household.practice,
        role=Membership.Role.CLIENT,
        email=held.email,
        name=held.name,
        language=held.language,
        time_zone=held.time_zone,
    )
    Client.objects.filter(pk=held.pk).update(user=user)
    _owe_invitation(user, at)
    _note(held.household, "client account opened", held.pk, by, at)
    return user


def _add(
    household: Household,
    new: NewEater,
    client: Client | None,
    position: int,
    by: Membership,
    at: datetime,
    may_have_begun: bool,
) -> list[Problem]:
    """Make one eater; returns what stands in the way of the enrolment, with the eater's name in each message."""
    eater = Eater.objects.create(
        household=household,
        client=client,
        position=position,
        name=new.name,
        born=new.born,
        sex=new.sex,
        appetite=new.appetite,
        leaning=new.leaning,
        dislikes=sorted(new.dislikes),
        allergies=sorted(new.allergies),
        excluded=sorted(new.excluded),
        away=away_record(new.away),
    )
    if new.born > local_date(household, at):
        return [_named(new, Problem(0, "born", _("The birthday is still to come."), _("Check the year.")))]
    screening_record(eater=eater, answers=new.answers, by=by, at=at)
    if new.enrolment is None:
        return []
    version = ProtocolVersion.objects.select_related("protocol").filter(pk=new.enrolment.version).first()
    if version is None:
        return [
            _named(
                new,
                Problem(0, "protocol", _("This version is gone."), _("Choose a published protocol.")),
            )
        ]
    try:
        enrolment_start(
            eater=eater,
            version=version,
            stage=new.enrolment.stage,
            start_on=new.enrolment.start_on,
            by=by,
            at=at,
            may_have_begun=may_have_begun,
        )
    except Refused as refused:
        return [_named(new, problem) for problem in refused.problems]
    return []


def _named(eater: NewEater, problem: Problem) -> Problem:
    return Problem(problem.line, problem.field, f"{eater.name}: {problem.message}", problem.fix)


def _refuse_unmakeable(practice: Practice, coach: Membership, new: NewHousehold) -> None:
    problems = []
    if not Practice.objects.get(pk=practice.pk).is_set_up:
        problems.append(
            Problem(
                0,
                "practice",
                _("The practice is not set up yet."),
                _("Confirm the local rules and what clients agree to on the set-up page, then try again."),
            )
        )
    if coach.practice_id != practice.pk or coach.role not in {Membership.Role.OWNER, Membership.Role.COACH}:
        problems.append(Problem(0, "coach", _("This is no coach of the practice."), _("Choose one.")))
    if not new.eaters:
        problems.append(Problem(0, "eaters", _("Nobody eats here yet."), _("Add at least one eater.")))
    if nobody_at_home(eater.away for eater in new.eaters):
        problems.append(nobody_left())
    if problems:
        raise Refused(*problems)


def _refuse_unknown(values: Mapping[str, Any], known: frozenset[str]) -> None:
    unknown = sorted(set(values) - known)
    if unknown:
        raise Refused(
            *(Problem(0, name, _("This cannot be changed here."), _("Leave it out.")) for name in unknown)
        )


def _set(row: Client | Eater | Household, values: Mapping[str, Any]) -> list[str]:
    """Set the values that differ; returns their names."""
    changed = sorted(name for name, value in values.items() if getattr(row, name) != value)
    for name in changed:
        setattr(row, name, values[name])
    return changed


def _move_unused_account(client: Client, at: datetime) -> None:
    """An account nobody has signed in to yet follows its client's address, with a new invitation.

    Once they have signed in, the account is theirs: they change its address themselves.
    """
    user = User.objects.get(pk=client.user_id)
    if user.last_login is not None or user.email == client.email.lower():
        return
    if User.objects.filter(email__iexact=client.email).exclude(pk=user.pk).exists():
        raise Refused(_address_taken())
    account_address_change(user=user, email=client.email)
    _owe_invitation(user, at, again=True)


def _owe_invitation(user: User, at: datetime, *, again: bool = False) -> None:
    suffix = f":{at.isoformat()}" if again else ""
    owe(
        kind="send-invitation",
        key=f"invitation:{user.pk}{suffix}",
        payload={"user": str(user.pk)},
        due_at=at,
    )


def _address_taken() -> Problem:
    return Problem(
        0, "email", _("Somebody else signs in with this address."), _("Use another address for this client.")
    )


def _note(
    household: Household, action: str, subject: Any, by: Membership, at: datetime, **facts: Any
) -> None:
    audit(practice=household.practice, user=by.user, action=action, subject=str(subject), facts=facts, at=at)
