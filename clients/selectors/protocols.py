"""Protocols as people are put on them: published versions, their stages, and the foods of the book by name."""

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Max

from clients.domain.naming import FoodName
from coaching.practice.models import Practice
from plans.domain.book import Stage
from plans.models import Food, ProtocolVersion
from plans.selectors import foods_found, protocol_of


@dataclass(frozen=True, slots=True)
class StageLine:
    """A protocol version's title and its stages' titles by key, in order, without the rest of the document."""

    title: str
    number: int
    stages: dict[str, str]


def latest_published(practice: Practice) -> list[ProtocolVersion]:
    """The newest published version of each protocol of the practice, by title."""
    newest = (
        ProtocolVersion.objects.filter(protocol__practice=practice, published_at__isnull=False)
        .values("protocol")
        .annotate(newest=Max("number"))
        .values_list("protocol", "newest")
    )
    numbers = dict(newest)
    versions = ProtocolVersion.objects.select_related("protocol").filter(
        protocol__in=numbers, published_at__isnull=False
    )
    return sorted(
        (version for version in versions if version.number == numbers[version.protocol_id]),
        key=lambda version: version.protocol.title.lower(),
    )


def published_version(practice: Practice, pk: UUID) -> ProtocolVersion:
    """One published version of the practice, with its protocol. Raises ProtocolVersion.DoesNotExist."""
    rows = ProtocolVersion.objects.select_related("protocol").filter(published_at__isnull=False)
    return rows.get(pk=pk, protocol__practice=practice)


def stages_of(version: ProtocolVersion) -> tuple[Stage, ...]:
    """The stages of a version, in order."""
    return protocol_of(version).stages


def stage_lines(versions: Iterable[UUID]) -> dict[UUID, StageLine]:
    """Titles of the given versions and of their stages, for lists; one query."""
    rows = ProtocolVersion.objects.filter(pk__in=set(versions)).values_list(
        "pk", "protocol__title", "number", "document__stages"
    )
    return {
        pk: StageLine(title, number, {stage["key"]: stage["title"] for stage in stages})
        for pk, title, number, stages in rows
    }


def food_names(practice: Practice) -> list[FoodName]:
    """Every food of the practice with the names that find it, by name."""
    rows = (
        Food.objects.filter(practice=practice).order_by("name").values_list("key", "name", "document__names")
    )
    return [FoodName(key, name, tuple(names or ())) for key, name, names in rows]


def foods_named(practice: Practice, *, q: str, group: str = "") -> list[str]:
    """The keys of the foods with all these words in one of their names, in a group; by group and name."""
    found = foods_found(Food.objects.filter(practice=practice), q=q, group=group)
    return list(found.values_list("key", flat=True))
