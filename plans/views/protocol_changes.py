"""What a version of a protocol changes."""

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coaching.domain.units import System
from coaching.practice.access import staff
from plans import selectors
from plans.access import protocol_for, version_for, version_number
from plans.domain.differences import Difference, differences
from plans.views.change_words import Names, said_once, said_row


@require_safe
@staff
def protocol_changes(request: HttpRequest, pk: UUID, number: int) -> HttpResponse:
    """This version against the one before it, or against the version ``?against=`` names; by stage, in words."""
    row = protocol_for(request.member, pk)
    version = version_for(request.member, pk, number)
    versions = selectors.versions_of(row)
    earlier = [other.number for other in versions if other.number < number]
    asked = request.GET.get("against", "")
    against = version_number(asked) if asked else max(earlier, default=None)
    new = selectors.protocol_of(version)
    context: dict[str, Any] = {"row": row, "version": version, "protocol": new, "versions": versions}
    if against is not None:
        context["against"] = version_for(request.member, pk, against)
        old = selectors.protocol_of(context["against"])
        foods = selectors.foods_of(request.member.practice)
        names = Names(foods, old, new, System(request.member.practice.units))
        context["parts"] = by_stage(differences(old, new, foods), names)
    return render(request, "plans/protocol_changes.html", context)


def by_stage(found: tuple[Difference, ...], names: Names) -> list[dict[str, Any]]:
    """What holds at every stage first, then stage by stage; those of the old version that are gone come last."""
    keys = dict.fromkeys(["", *(stage.key for stage in (*names.new.stages, *names.old.stages))])
    parts = [
        {
            "key": key,
            "title": names.stage(key) if key else "",
            "rows": said_once(said_row(one, names) for one in found if one.stage == key),
        }
        for key in keys
    ]
    return [part for part in parts if part["rows"]]
