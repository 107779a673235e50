"""Pages for when something is wrong: what happened, what to do, a reference, nothing internal."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "400.html", status=400)


def permission_denied(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "403.html", status=403)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    return render(request, "403.html", {"form_expired": True}, status=403)


def page_not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "404.html", status=404)


def server_error(request: HttpRequest) -> HttpResponse:
    """Drawn without the database or a session: either may be what broke."""
    return HttpResponse(render_to_string("500.html", {"reference": getattr(request, "id", "")}), status=500)
