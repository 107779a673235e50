"""The protocols of the practice: list, page, handing in and out."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from coaching.domain.units import System
from coaching.practice.access import COACHES, coaches, staff
from plans import selectors
from plans.access import draft_for, protocol_for, protocols_for, version_for
from plans.domain.book import Protocol
from plans.domain.filing.protocols import protocol_csv, protocol_yaml
from plans.domain.gaps import gaps
from plans.domain.overview import openings
from plans.services import protocols as services
from plans.views.change_words import say_gaps, taste_words
from plans.views.downloads import text_file, writer_for
from plans.views.protocol_rows import challenge_rows, modifier_row, titles_of
from plans.views.uploads import Upload, upload_page
from plans.views.wording import filed_protocol_words

EXAMPLE = """\
schema: ladlework/protocol/1
key: two-steps
title: Two steps
summary: Settle on soft food, then widen.
source: own invention
caution: Ask your clinician before you start.
stages:
  - {key: settle, title: Settle, aim: Soft food., least_days: 5, usual_days: 10}
  - {key: widen, title: Widen, aim: More food., least_days: 5, usual_days: 10}
rules:
  - {food: carrot, stage: settle, allowance: as prepared, forms: [boiled + peeled]}
  - {food: carrot, stage: widen, allowance: freely}
"""


@require_safe
@staff
def protocols(request: HttpRequest) -> HttpResponse:
    """Every protocol with its newest version; coaches also see drafts, and protocols that are only a draft yet."""
    may_change = request.member.role in COACHES
    seen = protocols_for(request.member)
    newest = selectors.newest_versions(seen)
    drafts = {draft.protocol_id: draft for draft in selectors.open_drafts(seen)} if may_change else {}
    published = {version.protocol_id for version in newest}
    context = {
        "rows": [
            {
                "version": version,
                "protocol": selectors.protocol_of(version),
                "has_draft": version.protocol_id in drafts,
            }
            for version in newest
        ],
        "only_drafts": [
            {"pk": pk, "protocol": selectors.protocol_of(draft)}
            for pk, draft in drafts.items()
            if pk not in published
        ],
        "may_change": may_change,
    }
    return render(request, "plans/protocols.html", context)


@require_safe
@staff
def protocol(request: HttpRequest, pk: UUID, number: int | None = None) -> HttpResponse:
    """A version of a protocol, the newest without a number: what opens when, and in what form.

    A protocol without a published version is its draft, and that only for coaches.
    """
    row = protocol_for(request.member, pk)
    versions = selectors.versions_of(row)
    if not versions and number is None and request.member.role in COACHES:
        return redirect("draft", pk=draft_for(request.member, pk).protocol_id)
    if not versions:
        raise Http404
    version = version_for(request.member, pk, number or versions[0].number)
    held = selectors.protocol_of(version)
    foods = selectors.foods_of(request.member.practice)
    system = System(request.member.practice.units)
    may_change = request.member.role in COACHES
    context = {
        "row": row,
        "version": version,
        "versions": versions,
        "is_newest": version.number == versions[0].number,
        "protocol": held,
        "stages": [
            {"stage": part.stage, "openings": [_opening_row(opening, system) for opening in part.openings]}
            for part in openings(held, foods)
        ],
        "modifiers": [modifier_row(modifier, foods) for modifier in held.modifiers],
        "challenges": challenge_rows(held, foods, system),
        "lead_in": [
            {"task": task, "after": titles_of(task, held.lead_in)}
            for task in sorted(held.lead_in, key=lambda task: -task.days_before)
        ],
        "gaps": _gaps(held, foods, request.member.practice) if may_change else [],
        "may_change": may_change,
        "has_draft": may_change and selectors.draft_of(row) is not None,
    }
    return render(request, "plans/protocol.html", context)


def _gaps(held: Protocol, foods: Any, practice: Any) -> list[dict[str, Any]]:
    return say_gaps(gaps(held, foods, selectors.recipes_of(practice)), held, foods)


@require_safe
@staff
def protocol_file(request: HttpRequest, pk: UUID, number: int, kind: str) -> HttpResponse:
    """A version of a protocol as a file."""
    write = writer_for(kind, yaml=protocol_yaml, csv=protocol_csv)
    version = version_for(request.member, pk, number)
    name = f"{version.protocol.key}-{version.number}"
    return text_file(write(selectors.protocol_of(version)), name=name, kind=kind)


@require_http_methods(["GET", "POST"])
@coaches
def protocol_import(request: HttpRequest) -> HttpResponse:
    """Hand in a protocol file."""
    upload = Upload(
        title=gettext_lazy("Hand in a protocol"),
        lead=gettext_lazy(
            "A file with a key the book has becomes its next version. Eaters stay on theirs until you move them."
        ),
        up=gettext_lazy("Protocols"),
        up_name="protocols",
        example=EXAMPLE,
        file=_file,
    )
    return upload_page(request, upload)


def _file(**kwargs: Any) -> str:
    return filed_protocol_words(services.protocol_import(**kwargs))


def _opening_row(opening: Any, system: System) -> dict[str, Any]:
    rule = opening.rule
    return {
        "groups": opening.groups,
        "foods": opening.foods,
        "allowance": rule.allowance,
        "forms": rule.forms,
        "taste": taste_words(rule, system),
        "note": rule.note,
    }
