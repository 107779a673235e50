"""Who may see which rows and which pages. Nothing else in the project decides this.

Pages: every view carries an access rule (``staff``, ``client_only``, ``signed_in``, ``everyone``); the middleware shuts
any view without one. Rows: ``visible`` narrows a queryset to what a member may see. The rest does not exist.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from django.contrib.auth.models import AnonymousUser
from django.db.models import Model, QuerySet
from django.http import HttpRequest

from coaching.practice.models import Membership, User

Role = Membership.Role
STAFF = frozenset({Role.OWNER, Role.COACH, Role.ASSISTANT})
COACHES = frozenset({Role.OWNER, Role.COACH})

View = TypeVar("View", bound=Callable)
Rows = TypeVar("Rows", bound=Model)


@dataclass(frozen=True, slots=True)
class AccessRule:
    """Which roles a page opens to; ``open`` pages need no sign-in at all."""

    roles: frozenset[str] = frozenset()
    open: bool = False

    def admits(self, member: Membership | None) -> bool:
        return self.open or (member is not None and member.role in self.roles)


def _with_rule(rule: AccessRule) -> Callable[[View], View]:
    def mark(view: View) -> View:
        view.access_rule = rule
        return view

    return mark


staff = _with_rule(AccessRule(roles=STAFF))
coaches = _with_rule(AccessRule(roles=COACHES))
owner_only = _with_rule(AccessRule(roles=frozenset({Role.OWNER})))
client_only = _with_rule(AccessRule(roles=frozenset({Role.CLIENT})))
signed_in = _with_rule(AccessRule(roles=STAFF | {Role.CLIENT}))
everyone = _with_rule(AccessRule(open=True))


def rule_of(view: Callable) -> AccessRule | None:
    """The access rule a view carries, through class-based wrappers, or None."""
    rule = getattr(view, "access_rule", None)
    return rule if rule is not None else getattr(getattr(view, "view_class", None), "access_rule", None)


def membership_of(user: User | AnonymousUser) -> Membership | None:
    """The user's membership with its practice, or None."""
    if not user.is_authenticated:
        return None
    return Membership.objects.select_related("practice", "user").filter(user_id=user.pk).first()


def visible(member: Membership, rows: QuerySet[Rows]) -> QuerySet[Rows]:
    """The rows a member of staff may see: the practice's, and for a coach only those of her own households.

    A model says where its practice and coach are (``practice_path``, ``coach_path``). Clients see nothing this way.
    """
    if member.role not in STAFF:
        return rows.none()
    model = rows.model
    narrowed = rows.filter(**{model.practice_path: member.practice_id})
    coach_path = getattr(model, "coach_path", None)
    if coach_path and member.role == Role.COACH:
        narrowed = narrowed.filter(**{coach_path: member.pk})
    return narrowed


def own(request: HttpRequest, rows: QuerySet[Rows], *, household_path: str) -> QuerySet[Rows]:
    """The rows of the signed-in client's own household. Staff see nothing this way."""
    member = request.member
    if member is None or member.role != Role.CLIENT:
        return rows.none()
    return rows.filter(**{f"{household_path}__clients__user": member.user_id})
