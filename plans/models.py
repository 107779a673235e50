"""The book of a practice. Documents are kept whole, in the form of the file schemas, so nothing is lost on the way.

Columns beside a document exist only to find it; services write them from the document.
"""

from django.db import models, transaction
from django.db.models import Q
from django.db.models.signals import post_delete
from django.dispatch import receiver
from django.utils.translation import gettext_lazy as _

from coaching.practice.models import Practice, Row, User


class Food(Row):
    """One food of a practice; ``document`` is its record of ``ladlework/foods/1``."""

    practice_path = "practice"

    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="foods")
    key = models.CharField(max_length=80)
    name = models.CharField(_("name"), max_length=120)
    group = models.CharField(_("group"), max_length=80)
    aisle = models.CharField(_("aisle"), max_length=20)
    search_text = models.TextField(blank=True)
    document = models.JSONField()

    class Meta:
        ordering = ("group", "name")
        constraints = (models.UniqueConstraint(fields=["practice", "key"], name="food_key_once_a_practice"),)

    def __str__(self) -> str:
        return self.name


class Recipe(Row):
    """One recipe of a practice; ``document`` is its record of ``ladlework/recipes/1``."""

    practice_path = "practice"

    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="recipes")
    key = models.CharField(max_length=80)
    title = models.CharField(_("title"), max_length=160)
    kind = models.CharField(_("kind"), max_length=12)
    search_text = models.TextField(blank=True)
    document = models.JSONField()
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("title",)
        constraints = (
            models.UniqueConstraint(fields=["practice", "key"], name="recipe_key_once_a_practice"),
        )

    def __str__(self) -> str:
        return self.title


class RecipePhoto(Row):
    """The photo of a recipe, in private storage. Its file goes when the row goes, whoever deletes it."""

    practice_path = "recipe__practice"

    recipe = models.OneToOneField(Recipe, on_delete=models.CASCADE, related_name="photo")
    file = models.FileField(upload_to="recipes/")
    alt = models.CharField(_("what it shows"), max_length=200)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()

    def __str__(self) -> str:
        return self.alt


@receiver(post_delete, sender=RecipePhoto)
def _drop_file(instance: RecipePhoto, **kwargs: object) -> None:
    """Deletes the stored file once the row is gone for good; cascades from the practice come by here, too."""
    file = instance.file
    transaction.on_commit(lambda: file.storage.delete(file.name))


class Protocol(Row):
    """A protocol's identity over its versions."""

    practice_path = "practice"

    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="protocols")
    key = models.CharField(max_length=80)
    title = models.CharField(_("title"), max_length=160)

    class Meta:
        ordering = ("title",)
        constraints = (
            models.UniqueConstraint(fields=["practice", "key"], name="protocol_key_once_a_practice"),
        )

    def __str__(self) -> str:
        return self.title


class ProtocolVersion(Row):
    """One version: its record of ``ladlework/protocol/1``. A published one never changes; a draft, one a protocol at
    most, has no ``published_at`` yet, and ``basis`` is the version it was begun from."""

    practice_path = "protocol__practice"

    protocol = models.ForeignKey(Protocol, on_delete=models.CASCADE, related_name="versions")
    number = models.PositiveIntegerField()
    document = models.JSONField()
    digest = models.CharField(max_length=64)
    published_at = models.DateTimeField(null=True, blank=True)
    basis = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ("protocol", "-number")
        constraints = (
            models.UniqueConstraint(fields=["protocol", "number"], name="version_number_once_a_protocol"),
            models.UniqueConstraint(
                fields=["protocol"], condition=Q(published_at__isnull=True), name="one_draft_a_protocol"
            ),
        )

    def __str__(self) -> str:
        return f"{self.protocol}, version {self.number}"


class DraftEdit(Row):
    """One change of a draft, kept so that it can be taken back and made again: what left its document and what came.

    ``splices`` are those of ``plans.domain.splices``. An edit that was taken back has ``undone_at``; the next new edit
    drops it.
    """

    practice_path = "version__protocol__practice"

    version = models.ForeignKey(ProtocolVersion, on_delete=models.CASCADE, related_name="edits")
    place = models.PositiveIntegerField()
    splices = models.JSONField()
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    made_at = models.DateTimeField()
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("version", "place")
        constraints = (models.UniqueConstraint(fields=["version", "place"], name="edit_place_once_a_draft"),)

    def __str__(self) -> str:
        return f"{self.version}, edit {self.place}"
