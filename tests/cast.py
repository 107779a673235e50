"""The people the suite is about: one practice with its staff and clients, and a second one next door."""

from dataclasses import dataclass

from clients.models import Household
from coaching.practice.models import Membership, Practice, User
from plans.models import ProtocolVersion
from tests.factories import (
    MembershipFactory,
    PracticeFactory,
    ProtocolFactory,
    ProtocolVersionFactory,
    UserFactory,
    make_household,
)

Role = Membership.Role


@dataclass(frozen=True)
class Cast:
    """``household`` is the coach's and belongs to ``client``; ``other_household`` is the other coach's."""

    practice: Practice
    owner: Membership
    coach: Membership
    other_coach: Membership
    assistant: Membership
    client: Membership
    other_client: Membership
    version: ProtocolVersion
    household: Household
    other_household: Household
    foreign_coach: Membership
    foreign_household: Household

    def user(self, role: str) -> User:
        """The user behind a member's name, such as ``coach``."""
        return getattr(self, role).user


def make_cast() -> Cast:
    """Both practices with their people, a protocol each, and a household each coach."""
    practice = PracticeFactory(slug="here", name="Here")
    next_door = PracticeFactory(slug="next-door", name="Next Door")

    def member(name: str, role: str, where: Practice = practice) -> Membership:
        return MembershipFactory(
            user=UserFactory(email=f"{name}@example.org", name=name.title()), practice=where, role=role
        )

    coach, other_coach = member("coach", Role.COACH), member("other", Role.COACH)
    client, other_client = member("client", Role.CLIENT), member("other-client", Role.CLIENT)
    foreign_coach = member("foreign", Role.COACH, next_door)
    version = ProtocolVersionFactory(protocol=ProtocolFactory(practice=practice))
    foreign_version = ProtocolVersionFactory(protocol=ProtocolFactory(practice=next_door))
    return Cast(
        practice=practice,
        owner=member("owner", Role.OWNER),
        coach=coach,
        other_coach=other_coach,
        assistant=member("assistant", Role.ASSISTANT),
        client=client,
        other_client=other_client,
        version=version,
        household=make_household(
            practice=practice, coach=coach, version=version, user=client.user, name="Alder"
        ),
        other_household=make_household(
            practice=practice, coach=other_coach, version=version, user=other_client.user, name="Birch"
        ),
        foreign_coach=foreign_coach,
        foreign_household=make_household(
            practice=next_door, coach=foreign_coach, version=foreign_version, name="Cedar"
        ),
    )
