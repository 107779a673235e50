"""Headers and ids that every answer carries, whoever asks."""

import logging
import uuid
from collections.abc import Callable
from contextvars import ContextVar

from django.http import HttpRequest, HttpResponse

log = logging.getLogger("ladlework.request")
request_id: ContextVar[str] = ContextVar("request_id", default="-")


class RequestIdMiddleware:
    """Gives each request a short id, shown on error pages and in every log line."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.id = uuid.uuid4().hex[:10]
        token = request_id.set(request.id)
        try:
            response = self.get_response(request)
            response["X-Request-Id"] = request.id
            return response
        finally:
            request_id.reset(token)


class HeadersMiddleware:
    """Keeps signed-in pages out of caches and browser features out of pages."""

    FEATURES = "camera=(), microphone=(), geolocation=(), payment=(), usb=(), browsing-topics=()"

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.setdefault("Permissions-Policy", self.FEATURES)
        response.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        user = getattr(request, "user", None)
        if user is not None and user.is_authenticated:
            response["Cache-Control"] = "no-store"
        return response
