"""What a protocol's page says of those who follow it."""

from django import template

from clients.selectors.following import followers_behind as count_behind
from coaching.practice.models import Membership
from plans.models import Protocol

register = template.Library()


@register.simple_tag
def followers_behind(member: Membership, protocol: Protocol) -> int:
    """How many of the followers a member may see are not on the newest version."""
    return count_behind(member, protocol)
