"""Mail seen from both ends: the page behind a stop link, and the staff's list of what was sent."""

from collections.abc import Iterable
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coaching import clock
from coaching.desk.access import reminder_for, reminders_for
from coaching.desk.selectors.reminders import KINDS, STATES, reminder_list
from coaching.desk.services.mail_stops import StopLink, mail_resume, mail_stop, open_stop_link, stopped_kinds
from coaching.desk.services.reminders import reminder_retry
from coaching.desk.wording import MAIL_KINDS, REMINDER_WHY
from coaching.practice.access import everyone, staff

PAGE_SIZE = 25


@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
@everyone
def stop_mail(request: HttpRequest, token: str) -> HttpResponse:
    """The page behind the stop link of a mail (RFC 8058).

    Looking changes nothing, since mail scanners look. A mail program's one-click POST stops that kind of mail; the
    page's own button stops the kinds that are ticked. Needs no sign-in, sets no cookie, never redirects.
    """
    link = open_stop_link(token)
    if link is None:
        raise Http404
    language = (
        link.client.language if link.client.language in dict(settings.LANGUAGES) else settings.LANGUAGE_CODE
    )
    with translation.override(language):
        facts = _stop(request, link) if request.method == "POST" else {"ticked": {link.kind}}
        stopped = stopped_kinds(link.client)
        choices = [
            {"value": kind, "label": label, "ticked": kind in facts.get("ticked", ())}
            for kind, label in MAIL_KINDS.items()
            if kind not in stopped
        ]
        context = {
            **facts,
            "choices": choices,
            "stopped": [label for kind, label in MAIL_KINDS.items() if kind in stopped],
            "practice": link.client.household.practice,
            # An empty token keeps the page from setting the cookie that goes with a real one.
            "csrf_token": "",
        }
        return render(request, "desk/mail_stop.html", context)


def _stop(request: HttpRequest, link: StopLink) -> dict[str, object]:
    """Does what was asked for and says what the page should show."""
    if "again" in request.POST:
        mail_resume(client=link.client, how="link", at=clock.now())
        return {"resumed": True, "ticked": {link.kind}}
    by_page = "page" in request.POST
    kinds = [kind for kind in MAIL_KINDS if kind in request.POST.getlist("kinds")] if by_page else [link.kind]
    mail_stop(client=link.client, kinds=kinds, how="link" if by_page else "one-click", at=clock.now())
    return {"done": bool(kinds), "nothing_ticked": not kinds}


@require_safe
@staff
def reminders(request: HttpRequest) -> HttpResponse:
    """What was sent to whom, what is coming, and what went wrong."""
    state = _one_of(STATES, request.GET.get("state", ""))
    kind = _one_of(KINDS, request.GET.get("kind", ""))
    q = request.GET.get("q", "").strip()[:80]
    rows = reminder_list(reminders_for(request.member), state=state, kind=kind, q=q)
    page = Paginator(rows, PAGE_SIZE).get_page(request.GET.get("page"))
    context = {
        "page_obj": page,
        "page_range": page.paginator.get_elided_page_range(page.number),
        "rows": [{"reminder": row, "why": REMINDER_WHY.get(row.why, row.why)} for row in page],
        "q": q,
        "sieves": [_sieve("state", _("State"), STATES, state), _sieve("kind", _("About"), KINDS, kind)],
        "clear_url": reverse("reminders") if state or kind or q else "",
        "no_address": not request.member.practice.postal_address.strip(),
    }
    return render(request, "desk/reminders.html", context)


@require_POST
@staff
def retry_reminder(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Send a failed reminder once more."""
    reminder = reminder_for(request.member, pk)
    if reminder_retry(reminder=reminder, by=request.member, at=clock.now()):
        messages.success(request, _("The reminder goes out again within a minute."))
    else:
        messages.info(request, _("This reminder had not failed, so nothing was changed."))
    return redirect("reminders")


def _one_of(choices: Iterable[tuple[str, str]], value: str) -> str:
    return value if value in dict(choices) else ""


def _sieve(name: str, label: str, choices: Iterable[tuple[str, str]], value: str) -> dict[str, object]:
    options = [{"value": key, "label": word} for key, word in choices]
    return {"name": name, "label": label, "value": value, "options": options}
