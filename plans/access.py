"""Which foods, recipes and protocols a member of staff may see. Whatever one may not see does not exist."""

from uuid import UUID

from django.db.models import QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from coaching.practice.access import visible
from coaching.practice.models import Membership
from plans.models import Food, Protocol, ProtocolVersion, Recipe, RecipePhoto


def foods_for(member: Membership) -> QuerySet[Food]:
    """The practice's foods."""
    return visible(member, Food.objects.all())


def recipes_for(member: Membership, *, archived: bool = False) -> QuerySet[Recipe]:
    """The practice's recipes in use, or the archived ones."""
    return visible(member, Recipe.objects.filter(archived_at__isnull=not archived))


def protocols_for(member: Membership) -> QuerySet[Protocol]:
    """The practice's protocols."""
    return visible(member, Protocol.objects.all())


def recipe_for(member: Membership, pk: UUID) -> Recipe:
    """One recipe, archived ones too, because printed weeks link to them. Raises Http404."""
    return get_object_or_404(visible(member, Recipe.objects.all()), pk=pk)


def photo_for(member: Membership, recipe: UUID) -> RecipePhoto:
    """The photo of a recipe, with its recipe. Raises Http404, also when it has none."""
    return get_object_or_404(visible(member, RecipePhoto.objects.select_related("recipe")), recipe_id=recipe)


def food_for(member: Membership, pk: UUID) -> Food:
    """One food. Raises Http404."""
    return get_object_or_404(foods_for(member).select_related("practice"), pk=pk)


def protocol_for(member: Membership, pk: UUID) -> Protocol:
    """One protocol. Raises Http404."""
    return get_object_or_404(protocols_for(member), pk=pk)


def version_number(text: str) -> int:
    """The number of a version as an address has it. Raises Http404 for what cannot be one."""
    if not (text.isascii() and text.isdigit() and len(text) < 7):
        raise Http404
    return int(text)


def version_for(member: Membership, protocol: UUID, number: int) -> ProtocolVersion:
    """One published version of a protocol, with its protocol. Raises Http404."""
    versions = visible(member, ProtocolVersion.objects.select_related("protocol__practice"))
    return get_object_or_404(versions, protocol_id=protocol, number=number, published_at__isnull=False)


def draft_for(member: Membership, protocol: UUID) -> ProtocolVersion:
    """The draft of a protocol, with its protocol. Raises Http404."""
    versions = visible(member, ProtocolVersion.objects.select_related("protocol__practice", "basis"))
    return get_object_or_404(versions, protocol_id=protocol, published_at__isnull=True)
