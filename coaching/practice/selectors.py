"""Reading the ground: who works in a practice."""

from coaching.practice.access import STAFF
from coaching.practice.models import Membership, Practice, User


def staff_of(practice: Practice) -> list[Membership]:
    """Everyone who works in the practice, the owner first, then by name."""
    order = list(Membership.Role)
    members = Membership.objects.select_related("user").filter(practice=practice, role__in=STAFF)
    return sorted(
        members, key=lambda member: (order.index(Membership.Role(member.role)), str(member.user).lower())
    )


def rules_checked_by(practice: Practice) -> User | None:
    """Who confirmed having checked the local rules."""
    return User.objects.filter(pk=practice.rules_checked_by_id).first()
