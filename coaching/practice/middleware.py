"""Who is asking, where their clock stands, and whether the page opens to them."""

import zoneinfo
from collections.abc import Callable
from functools import cache

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone, translation

from coaching.practice.access import STAFF, membership_of, rule_of

GUARDED_ELSEWHERE = ("allauth.", "django.contrib.staticfiles.", "django.views.static")
"""Third-party views that carry their own sign-in rules; the URL walk lists them one by one."""


class PersonMiddleware:
    """Puts the membership on the request and speaks in the person's zone and language."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.member = membership_of(request.user)
        if request.member is None:
            return self.get_response(request)
        user = request.member.user
        with timezone.override(_zone(user.time_zone, request.member.practice.time_zone)):
            if user.language in dict(settings.LANGUAGES):
                translation.activate(user.language)
                request.LANGUAGE_CODE = translation.get_language()
            return self.get_response(request)


def _zone(*names: str) -> zoneinfo.ZoneInfo:
    """The first of the names that is a zone; UTC if none is."""
    return zoneinfo.ZoneInfo(next((name for name in names if name in zone_names() and name != "UTC"), "UTC"))


@cache
def zone_names() -> frozenset[str]:
    """Every zone this machine knows; reading them from disk once is enough."""
    return frozenset(zoneinfo.available_timezones())


class AccessMiddleware:
    """Shut by default: a view opens only by its access rule. No rule, or a wrong role, answers like a missing page."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Callable, args, kwargs) -> HttpResponse | None:
        if view.__module__.startswith(GUARDED_ELSEWHERE):
            return None
        rule = rule_of(view)
        if rule is None:
            raise Http404
        if rule.open:
            return None
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        if not rule.admits(request.member):
            raise Http404
        if settings.REQUIRE_STAFF_MFA and request.member.role in STAFF and not _has_second_factor(request):
            return redirect("mfa_activate_totp")
        return None


def _has_second_factor(request: HttpRequest) -> bool:
    return request.user.authenticator_set.exists()
