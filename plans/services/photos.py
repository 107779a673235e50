"""Photos of recipes: looked over, drawn anew, kept in private storage.

A photo is always drawn anew as a JPEG of bounded size: what a file carries beside its pixels (place, device, comments)
is left behind, and nothing that only looks like a picture is ever handed out.
"""

import io
import struct
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import BinaryIO
from uuid import uuid4

from django.core.files.base import ContentFile
from django.db import transaction
from django.utils.translation import gettext as _
from PIL import Image, ImageFile, ImageOps

from coaching.domain.errors import Problem, Refused
from coaching.practice.models import User
from coaching.practice.services import audit
from plans.models import Recipe, RecipePhoto

MOST_BYTES = 8_000_000
MOST_PIXELS = 40_000_000
LONGEST_SIDE = 1_600
QUALITY = 85
KINDS = ("JPEG", "PNG", "WEBP")
_BROKEN = (OSError, SyntaxError, ValueError, EOFError, IndexError, struct.error, zlib.error)
"""What the decoders raise for a file that is not what it says."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A photo drawn anew: a JPEG and its size in pixels."""

    content: bytes
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class PhotoWish:
    """What is wished for a recipe's photo: a new ``file`` of ``size`` bytes, or none, words for it, or to remove it.

    ``has_one``: the recipe has a photo now.
    """

    file: BinaryIO | None = None
    size: int = 0
    alt: str = ""
    remove: bool = False
    has_one: bool = False


NO_WISH = PhotoWish()


def drawn_anew(file: BinaryIO, *, size: int) -> Drawn:
    """A photo as an upright JPEG, no side over ``LONGEST_SIDE``, without anything but its pixels.

    Raises Refused for a file that is too large, no photo of ``KINDS``, has too many pixels, or is broken. Its size in
    pixels is read from its head, so that a small file that unpacks to a huge one is never unpacked.
    """
    if size > MOST_BYTES:
        raise Refused(_problem(_("The photo is larger than 8 MB."), _("Choose a smaller one.")))
    try:
        with _whole_files_only():
            picture = Image.open(file, formats=KINDS)
            if picture.width * picture.height > MOST_PIXELS:
                raise Refused(_too_many_pixels())
            picture.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            return _drawn(ImageOps.exif_transpose(picture))
    except Image.UnidentifiedImageError as error:
        raise Refused(
            _problem(_("This is no photo that can be read here."), _("Choose a JPEG, PNG or WebP file."))
        ) from error
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise Refused(_too_many_pixels()) from error
    except _BROKEN as error:
        raise Refused(
            _problem(
                _("The photo is broken: it cannot be read to its end."), _("Choose it again, or another.")
            )
        ) from error


def looked_over(wish: PhotoWish) -> tuple[Drawn | None, tuple[Problem, ...]]:
    """The wished photo drawn anew, if there is one, and what is wrong with the wish."""
    problems: list[Problem] = []
    drawn = None
    if wish.file is not None:
        try:
            drawn = drawn_anew(wish.file, size=wish.size)
        except Refused as refused:
            problems += refused.problems
    is_kept = wish.file is not None or (wish.has_one and not wish.remove)
    if is_kept and not wish.alt:
        fix = _("Write a few words for those who cannot see it.")
        problems.append(Problem(0, "photo_alt", _("It is not said what the photo shows."), fix))
    return drawn, tuple(problems)


def grant(recipe: Recipe, wish: PhotoWish, drawn: Drawn | None, *, by: User | None, at: datetime) -> None:
    """Do to a recipe what was wished for its photo and looked over before: a new one wins over taking it off."""
    if drawn is not None:
        photo_put(recipe=recipe, photo=drawn, alt=wish.alt, by=by, at=at)
    elif wish.remove:
        photo_remove(recipe=recipe, by=by, at=at)
    elif wish.alt:
        photo_describe(recipe=recipe, alt=wish.alt, by=by, at=at)


@transaction.atomic
def photo_put(*, recipe: Recipe, photo: Drawn, alt: str, by: User | None, at: datetime) -> None:
    """Keep a photo with a recipe, in the place of the one it had."""
    RecipePhoto.objects.filter(recipe=recipe).delete()
    row = RecipePhoto(recipe=recipe, alt=alt, width=photo.width, height=photo.height)
    row.file.save(f"{uuid4().hex}.jpg", ContentFile(photo.content), save=False)
    try:
        row.save(force_insert=True)
        _tell(recipe, by, at, "recipe photo kept")
    except BaseException:
        row.file.storage.delete(row.file.name)
        raise


@transaction.atomic
def photo_describe(*, recipe: Recipe, alt: str, by: User | None, at: datetime) -> None:
    """Say anew what the photo of a recipe shows."""
    if RecipePhoto.objects.filter(recipe=recipe).exclude(alt=alt).update(alt=alt):
        _tell(recipe, by, at, "recipe photo described")


@transaction.atomic
def photo_remove(*, recipe: Recipe, by: User | None, at: datetime) -> None:
    """Take the photo off a recipe; one without a photo stays as it is."""
    removed, _rows = RecipePhoto.objects.filter(recipe=recipe).delete()
    if removed:
        _tell(recipe, by, at, "recipe photo removed")


@contextmanager
def _whole_files_only() -> Iterator[None]:
    """Refuse files that break off. The PDF engine, once loaded into a process, has Pillow fill them up with grey; what
    it draws itself is whole, so it does not miss that for a moment."""
    was = ImageFile.LOAD_TRUNCATED_IMAGES
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = was


def _drawn(picture: Image.Image) -> Drawn:
    picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    seen = picture.convert("RGBA")
    # A new canvas carries none of what the file said about itself; what can be seen through becomes white paper.
    canvas = Image.new("RGB", seen.size, "white")
    canvas.paste(seen, mask=seen.getchannel("A"))
    out = io.BytesIO()
    canvas.save(out, "JPEG", quality=QUALITY)
    return Drawn(out.getvalue(), *canvas.size)


def _too_many_pixels() -> Problem:
    return _problem(_("The photo has more than 40 megapixels."), _("Make it smaller, or choose another."))


def _problem(message: str, fix: str) -> Problem:
    return Problem(0, "photo", message, fix)


def _tell(recipe: Recipe, by: User | None, at: datetime, action: str) -> None:
    facts: Mapping[str, str] = {"key": recipe.key}
    audit(practice=recipe.practice, user=by, action=action, subject=str(recipe.pk), facts=facts, at=at)
