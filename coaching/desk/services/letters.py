"""Single letters that somebody's action calls for: the way in for a new person, and a call to a coach's board."""

from datetime import datetime
from uuid import UUID

from allauth.account.forms import default_token_generator
from allauth.account.utils import user_pk_to_url_str
from django.conf import settings
from django.urls import reverse

from clients.models import Household
from coaching.desk.services.mail import AddressRefused, Mail, deliver, first_name, render_mail
from coaching.outbox.failpoints import failpoint
from coaching.outbox.handlers import Drop
from coaching.practice.models import Membership, Practice, User
from coaching.practice.services import audit

SECONDS_A_DAY = 86_400


def invitation_send(*, user_id: UUID, work_id: UUID, at: datetime) -> None:
    """Send someone the link that sets their password. Raises Drop if they are gone, shut out, or already have one."""
    member = Membership.objects.select_related("user", "practice").filter(user_id=user_id).first()
    if member is None or not member.user.is_active:
        raise Drop("inactive")
    if member.user.has_usable_password():
        raise Drop("not-needed")
    mail = invitation_mail(user=member.user, practice=member.practice)
    try:
        _send(mail, member.practice, [member.user], work_id, at)
    except AddressRefused:
        _note_undelivered(member.practice, "invitation not delivered", user_id, at)
        raise Drop("refused") from None


def invitation_mail(*, user: User, practice: Practice) -> Mail:
    """The invitation as it would go now. The link in it works once and runs out."""
    path = reverse(
        "account_reset_password_from_key",
        kwargs={"uidb36": user_pk_to_url_str(user), "key": default_token_generator.make_token(user)},
    )
    facts = {
        "practice": practice,
        "first_name": first_name(user.name),
        "url": settings.SITE_URL + path,
        "ask_again_url": settings.SITE_URL + reverse("account_reset_password"),
        "days": settings.PASSWORD_RESET_TIMEOUT // SECONDS_A_DAY,
        "is_client": user.membership.role == Membership.Role.CLIENT,
    }
    return render_mail(kind="invitation", language=user.language, facts=facts)


def coach_tell(*, household_id: UUID, work_id: UUID, at: datetime) -> None:
    """Call a household's coach to the board at once, at any hour; where there is none, the owners. Raises Drop."""
    home = Household.objects.select_related("practice", "coach__user").filter(pk=household_id).first()
    if home is None or home.archived_at is not None:
        raise Drop("gone")
    people = _coaches_of(home)
    if not people:
        raise Drop("nobody to tell")
    facts = {
        "practice": home.practice,
        "first_name": first_name(people[0].name) if len(people) == 1 else "",
        "url": settings.SITE_URL + reverse("home"),
    }
    mail = render_mail(kind="tell-coach", language=people[0].language, facts=facts)
    try:
        _send(mail, home.practice, people, work_id, at)
    except AddressRefused:
        _note_undelivered(home.practice, "coach not told by mail", household_id, at)
        raise Drop("refused") from None


def _coaches_of(home: Household) -> list[User]:
    if home.coach is not None and home.coach.user.is_active:
        return [home.coach.user]
    owners = Membership.objects.filter(
        practice=home.practice, role=Membership.Role.OWNER, user__is_active=True
    ).select_related("user")
    return [owner.user for owner in owners.order_by("user__email")]


def invitation_given_up(*, user_id: UUID, at: datetime) -> None:
    """The invitation could not be delivered in any attempt: the practice's record says so."""
    member = Membership.objects.select_related("practice").filter(user_id=user_id).first()
    if member is not None:
        _note_undelivered(member.practice, "invitation not delivered", user_id, at)


def coach_tell_given_up(*, household_id: UUID, at: datetime) -> None:
    """The coach could not be told by mail; the board says it all the same, and the record says that mail failed."""
    home = Household.objects.select_related("practice").filter(pk=household_id).first()
    if home is not None:
        _note_undelivered(home.practice, "coach not told by mail", household_id, at)


def _note_undelivered(practice: Practice, action: str, subject: UUID, at: datetime) -> None:
    audit(practice=practice, user=None, action=action, subject=str(subject), at=at)


def _send(mail: Mail, practice: Practice, people: list[User], work_id: UUID, at: datetime) -> None:
    failpoint("before_send")
    to = [(person.name, person.email) for person in people]
    deliver(mail=mail, practice=practice, to=to, work_id=work_id, at=at)
    failpoint("after_send")
