"""Writing on the ground: the audit trail and the practice's own settings."""

import logging
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from allauth.account.models import EmailAddress
from django.db import transaction

from coaching.domain.errors import Problem, Refused
from coaching.practice.models import AuditEntry, Membership, Practice, User

log = logging.getLogger("ladlework.audit")

SETTINGS = frozenset(
    {
        "name",
        "postal_address",
        "email",
        "phone",
        "country",
        "units",
        "paper",
        "languages",
        "time_zone",
        "quiet_from",
        "quiet_until",
        "emergency_number",
        "client_agreement",
    }
)
"""The fields of a practice its people may set."""


def audit(
    *,
    practice: Practice | None,
    user: User | None,
    action: str,
    subject: str = "",
    facts: Mapping[str, Any] | None = None,
    at: datetime,
) -> None:
    """Write down that something was done. ``facts`` hold ids and field names, never what a health field says."""
    AuditEntry.objects.create(
        practice=practice, user=user, action=action, subject=subject, facts=dict(facts or {}), at=at
    )
    log.info("%s %s by %s", action, subject or "-", user.pk if user else "-")


@transaction.atomic
def practice_change(
    *, practice: Practice, values: Mapping[str, Any], by: Membership, at: datetime
) -> Practice:
    """Set some of the practice's ``SETTINGS``. A move to another country asks for the local rules to be checked again.

    Raises Refused for a field that is not a setting.
    """
    unknown = sorted(set(values) - SETTINGS)
    if unknown:
        raise Refused(*(Problem(0, name, "This cannot be set.", "Leave it out.") for name in unknown))
    current = Practice.objects.select_for_update().get(pk=practice.pk)
    changed = sorted(name for name, value in values.items() if getattr(current, name) != value)
    if not changed:
        return current
    for name in changed:
        setattr(current, name, values[name])
    fields = list(changed)
    if "country" in changed:
        current.rules_checked_at = current.rules_checked_by = None
        fields += ["rules_checked_at", "rules_checked_by"]
    current.save(update_fields=fields)
    audit(
        practice=current,
        user=by.user,
        action="practice changed",
        subject=str(current.pk),
        facts={"fields": changed},
        at=at,
    )
    return current


@transaction.atomic
def practice_set_up(
    *, practice: Practice, values: Mapping[str, Any], by: Membership, at: datetime
) -> Practice:
    """Save the first settings; record who confirmed, and when, having checked the local rules on nutrition advice."""
    practice_change(practice=practice, values=values, by=by, at=at)
    Practice.objects.filter(pk=practice.pk).update(rules_checked_at=at, rules_checked_by=by.user)
    audit(practice=practice, user=by.user, action="local rules confirmed", subject=str(practice.pk), at=at)
    return Practice.objects.get(pk=practice.pk)


@transaction.atomic
def account_open(
    *,
    practice: Practice,
    role: str,
    email: str,
    name: str,
    language: str = "en",
    time_zone: str = "UTC",
    password: str | None = None,
) -> User:
    """Make an account with its role. Without a password its owner sets one by the invitation.

    The address counts as confirmed: only who reads its mail can set the password. The caller checks it is not taken.
    """
    user = User.objects.create_user(email, password, name=name, language=language, time_zone=time_zone)
    EmailAddress.objects.create(user=user, email=user.email, verified=True, primary=True)
    Membership.objects.create(user=user, practice=practice, role=role)
    return user


@transaction.atomic
def account_address_change(*, user: User, email: str) -> None:
    """Let an account that nobody has signed in to yet follow its owner's new address."""
    user.email = email.lower()
    user.save(update_fields=["email"])
    EmailAddress.objects.filter(user=user).delete()
    EmailAddress.objects.create(user=user, email=user.email, verified=True, primary=True)
