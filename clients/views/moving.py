"""Who follows a protocol, on which version, and moving them to another one."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from clients.forms.moving import MoveForm
from clients.selectors.following import (
    attach_versions,
    follower_line,
    followers_chosen,
    followers_found,
    open_spell,
)
from clients.services import moving as services
from clients.services.moving_offers import Offer, offers
from clients.views.moving_words import parts_of, summary_words
from clients.views.refusals import sentence
from coaching import clock
from coaching.domain.errors import Refused
from coaching.domain.units import System
from coaching.practice.access import coaches
from plans import selectors as book
from plans.access import protocol_for, version_for, version_number
from plans.views.change_words import Names

PAGE = 25
MOST_AT_ONCE = 50


@require_safe
@coaches
def protocol_people(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Everybody who follows a protocol, older versions first, and what a move would change for each."""
    place = _place(request, pk, request.GET)
    q, number = request.GET.get("q", "").strip()[:80], request.GET.get("version", "")
    found = followers_found(request.member, pk, q=q, number=number)
    page = Paginator(found, PAGE).get_page(request.GET.get("page"))
    enrolments = list(page.object_list)
    attach_versions(place.row, enrolments, target=place.target.pk)
    cards = _cards(request, place, enrolments)
    movable = [card["enrolment"] for card in cards if card.get("can_move")]
    context = {
        "row": place.row,
        "target": place.target,
        "is_newest": place.is_newest,
        "cards": cards,
        "movable": len(movable),
        "all_url": _move_url(place, movable),
        "page_obj": page,
        "page_range": page.paginator.get_elided_page_range(page.number),
        "q": q,
        "is_narrowed": bool(q or number),
        "sieves": _sieves(place, number),
        "clear_url": _list_url(place),
    }
    return render(request, "clients/protocol_people.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def protocol_people_move(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Shows what a move changes for each eater who was chosen; sent off, it moves all of them or nobody."""
    typed = request.POST if request.method == "POST" else None
    asked = request.GET if typed is None else typed
    place = _place(request, pk, asked)
    chosen = _chosen(request, pk, asked.getlist("enrolment"))
    going = [one for one in chosen if _may_go(one, place)]
    for one in chosen:
        if one not in going:
            messages.info(request, _stays_words(one, place))
    if not going or len(going) > MOST_AT_ONCE:
        messages.error(request, _choose_words(len(going)))
        return redirect(_list_url(place))
    if typed is not None and len(going) < len(chosen):
        messages.error(request, _("Nothing was moved. Look at the others again, then move them."))
        return redirect(_move_url(place, going))
    attach_versions(place.row, going, target=place.target.pk)
    cards = _cards(request, place, going, typed)
    forms = [card["form"] for card in cards]
    for card in cards:
        card["others_url"] = _move_url(place, [one for one in going if one is not card["enrolment"]])
    problems: list[str] = []
    has_errors = bool([form for form in forms if form.errors])
    if typed is not None and not has_errors:
        try:
            _move(request, place, cards)
        except Refused as refused:
            problems = [sentence(problem) for problem in refused.problems]
        else:
            messages.success(request, _moved_words(cards, place))
            return redirect(_list_url(place))
    context = {
        "row": place.row,
        "target": place.target,
        "cards": cards,
        "problems": problems,
        "has_errors": has_errors or bool(problems),
        "can_move": all(card["can_move"] for card in cards),
        "list_url": _list_url(place),
    }
    return render(request, "clients/protocol_people_move.html", context)


@dataclass(frozen=True, slots=True)
class _Place:
    """The protocol of the page, its published versions, newest first, and the one to move to."""

    row: Any
    versions: Sequence[Any]
    target: Any
    today: date

    @property
    def is_newest(self) -> bool:
        return self.target.number == self.versions[0].number


def _place(request: HttpRequest, pk: UUID, asked: QueryDict) -> _Place:
    """Raises Http404 for a protocol or version one may not see, and for a protocol nobody has published."""
    row = protocol_for(request.member, pk)
    versions = book.versions_of(row)
    if not versions:
        raise Http404
    to = asked.get("to", "")
    target = version_for(request.member, pk, version_number(to) if to else versions[0].number)
    return _Place(row, versions, target, clock.today_in(request.member.practice.time_zone))


def _chosen(request: HttpRequest, pk: UUID, ids: Sequence[str]) -> list[Any]:
    """The enrolments that were chosen. Raises Http404 for an id that is none, or not of one's own people."""
    try:
        wanted = {UUID(one) for one in ids}
    except ValueError:
        raise Http404 from None
    found = followers_chosen(request.member, pk, wanted)
    if len(found) < len(wanted):
        raise Http404
    return found


def _may_go(one: Any, place: _Place) -> bool:
    return one.state != one.State.ENDED and one.version_id != place.target.pk


def _cards(
    request: HttpRequest, place: _Place, enrolments: Sequence[Any], typed: QueryDict | None = None
) -> list[dict[str, Any]]:
    """For each enrolment its line, and for one that may go what a move changes, with its form."""
    practice = request.member.practice
    foods = book.foods_of(practice)
    stages = {one.pk: typed.get(f"{one.pk}-stage", "") for one in enrolments} if typed else {}
    found = offers(enrolments, place.target, foods=foods, stages=stages, today=place.today)
    cards = []
    for one in enrolments:
        card: dict[str, Any] = {"enrolment": one, "line": follower_line(one, place.today)}
        if one.pk in found:
            offer = found[one.pk]
            names = Names(foods, offer.old, offer.new, System(practice.units))
            card |= {
                "offer": offer,
                "can_move": offer.moving is not None,
                "summary": summary_words(offer),
                "parts": (parts := parts_of(offer, names, place.today)),
                "has_later": any(not part["is_now"] for part in parts),
                "form": _form(one, offer, typed),
                "url": _move_url(place, [one]),
            }
        cards.append(card)
    return cards


def _form(one: Any, offer: Offer, typed: QueryDict | None) -> MoveForm:
    return MoveForm(
        typed,
        prefix=str(one.pk),
        version=one.version_id,
        spell=open_spell(one).pk,
        shown=offer.stage,
        choices=offer.choices,
    )


def _move(request: HttpRequest, place: _Place, cards: Sequence[dict[str, Any]]) -> None:
    """Raises Refused."""
    moves, seen = [], {}
    for card in cards:
        one, form = card["enrolment"], card["form"]
        typed = form.cleaned_data
        moves.append(services.Move(one, typed.get("stage") or None, typed.get("reason", "")))
        if (shown := form.seen()) is not None:
            seen[one.pk] = services.Seen(*shown)
    services.enrolments_move(moves=moves, version=place.target, seen=seen, by=request.member, at=clock.now())


def _sieves(place: _Place, number: str) -> list[dict[str, Any]]:
    """The two narrowings of the list: who follows which version, and which version to move to."""
    newest, *others = place.versions
    versions = [
        {"value": str(one.number), "label": _("Version %(number)s") % {"number": one.number}}
        for one in place.versions
    ]
    if not others:
        return []
    return [
        {"name": "version", "label": _("Follows"), "options": versions, "value": number},
        {
            "name": "to",
            "label": _("Move to"),
            "options": versions[1:],
            "value": "" if place.target.number == newest.number else str(place.target.number),
            "empty_label": _("Version %(number)s (newest)") % {"number": newest.number},
        },
    ]


def _list_url(place: _Place) -> str:
    return _url("protocol_people", place, [])


def _move_url(place: _Place, enrolments: Sequence[Any]) -> str:
    return _url("protocol_people_move", place, enrolments)


def _url(name: str, place: _Place, enrolments: Sequence[Any]) -> str:
    asked = [] if place.is_newest else [("to", str(place.target.number))]
    asked += [("enrolment", str(one.pk)) for one in enrolments]
    return reverse(name, args=[place.row.pk]) + (f"?{urlencode(asked)}" if asked else "")


def _stays_words(one: Any, place: _Place) -> str:
    facts = {"eater": one.eater.name, "number": place.target.number}
    if one.state == one.State.ENDED:
        return _("The protocol has ended for %(eater)s.") % facts
    return _("%(eater)s follows version %(number)s already.") % facts


def _choose_words(going: int) -> str:
    if going:
        return _("Choose at most %(most)d eaters at once.") % {"most": MOST_AT_ONCE}
    return _("Choose at least one eater to move.")


def _moved_words(cards: Sequence[dict[str, Any]], place: _Place) -> str:
    facts = {
        "eater": cards[0]["enrolment"].eater.name,
        "n": len(cards),
        "number": place.target.number,
    }
    return (
        ngettext(
            "%(eater)s follows version %(number)s now.",
            "%(n)d eaters follow version %(number)s now.",
            len(cards),
        )
        % facts
    )
