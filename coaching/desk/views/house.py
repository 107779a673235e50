"""Doors of the house: the way in, the components page, a sign of life."""

from django.db import connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_safe

from coaching.practice.access import COACHES, STAFF, everyone, signed_in, staff
from coaching.web import gallery


@require_safe
@signed_in
def home(request: HttpRequest) -> HttpResponse:
    """Each person's first page: the board for staff (setting up first), their own page for clients."""
    member = request.member
    if member.role in COACHES and not member.practice.is_set_up:
        return redirect("practice_set_up")
    return redirect("board" if member.role in STAFF else "portal")


@require_GET
@staff
def components(request: HttpRequest) -> HttpResponse:
    """Every component in all its states, as the running program draws it."""
    return render(request, "components/gallery.html", gallery.samples())


@require_safe
@everyone
def alive(request: HttpRequest) -> HttpResponse:
    """For health checks: the process answers and the database does."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return JsonResponse({"ok": True})
