"""What every page knows without asking for it."""

from django.http import HttpRequest
from django.urls import get_resolver, reverse
from django.utils.translation import gettext_lazy as _

STAFF_PLACES = (
    ("board", _("Board"), ""),
    ("households", _("Households"), ""),
    ("reminders", _("Reminders"), ""),
    ("protocols", _("Protocols"), ""),
    ("recipes", _("Recipes"), ""),
    ("practice", _("Practice"), ""),
)
"""URL name, word in the header, icon (only the client's own pages show one)."""

CLIENT_PLACES = (
    ("portal", _("Today"), "leaf"),
    ("portal_foods", _("What may I eat"), "pot"),
    ("portal_shopping", _("Shopping"), "basket"),
    ("account_email", _("Account"), "person"),
)


def site(request: HttpRequest) -> dict[str, object]:
    """The membership, the places it may go to, the frame its pages wear, and the reference for error pages."""
    member = getattr(request, "member", None)
    is_client = member is not None and member.role == "client"
    return {
        "member": member,
        "places": _places(member, request.path),
        "page_base": "portal_base.html" if is_client else "base.html",
        "request_id": getattr(request, "id", ""),
    }


def _places(member: object | None, path: str) -> list[dict[str, object]]:
    """The header's places for this member; the one with the longest address that leads here is marked."""
    if member is None:
        return []
    known = get_resolver().reverse_dict
    listed = CLIENT_PLACES if member.role == "client" else STAFF_PLACES
    places = [
        {"url": reverse(name), "label": label, "icon": icon} for name, label, icon in listed if name in known
    ]
    here = max((place["url"] for place in places if path.startswith(place["url"])), key=len, default=None)
    for place in places:
        place["is_here"] = place["url"] == here
        place["is_page"] = place["url"] == path
    return places
