"""Photos of recipes: what is taken, what is refused, where they are kept, who gets them, when they go."""

import io
import struct
import zlib
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageFile

from coaching.domain.errors import Refused
from plans.models import Recipe, RecipePhoto
from plans.services.foods import foods_import
from plans.services.photos import LONGEST_SIDE, drawn_anew, photo_put
from plans.services.recipes import recipes_import
from tests.factories import NOON, PracticeFactory
from tests.plans.test_pages import CARROT, filled
from tests.plans.test_services import FOODS, RECIPES

pytestmark = pytest.mark.usefixtures("noon")
ORIENTATION, GPS, MAKER = 0x0112, 0x8825, 0x010F


@pytest.fixture
def recipe(cast) -> Recipe:
    foods_import(practice=cast.practice, text=FOODS, by=None, at=NOON)
    recipes_import(practice=cast.practice, text=RECIPES, by=None, at=NOON)
    return Recipe.objects.get(practice=cast.practice)


def picture(kind: str = "JPEG", size: tuple[int, int] = (40, 20), mode: str = "RGB", **options) -> bytes:
    out = io.BytesIO()
    Image.new(mode, size, "red").save(out, kind, **options)
    return out.getvalue()


def taken(content: bytes):
    return drawn_anew(io.BytesIO(content), size=len(content))


def upload(content: bytes, name: str = "photo.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content)


def send(browser, recipe: Recipe, content: bytes | None = None, alt: str = "A red soup", **more):
    sent = filled(CARROT, title="Soup", photo_alt=alt) | more
    if content is not None:
        sent["photo"] = upload(content)
    return browser.post(f"/recipes/{recipe.pk}/edit/", sent)


def stored(settings) -> list[Path]:
    root = Path(settings.STORAGES["default"]["OPTIONS"]["location"])
    return sorted(path for path in root.rglob("*") if path.is_file())


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_each_kind_becomes_a_jpeg(kind: str) -> None:
    drawn = taken(picture(kind))
    image = Image.open(io.BytesIO(drawn.content))
    assert (image.format, image.size, (drawn.width, drawn.height)) == ("JPEG", (40, 20), (40, 20))


@pytest.mark.parametrize("mode", ["1", "L", "P", "RGBA", "LA", "CMYK", "I;16"])
def test_every_way_of_colour_is_drawn(mode: str) -> None:
    out = io.BytesIO()
    Image.new(mode, (4, 4)).save(out, "JPEG" if mode == "CMYK" else "PNG")
    assert Image.open(io.BytesIO(taken(out.getvalue()).content)).mode == "RGB"


def test_what_can_be_seen_through_becomes_white() -> None:
    out = io.BytesIO()
    Image.new("RGBA", (4, 4), (0, 0, 0, 0)).save(out, "PNG")
    assert Image.open(io.BytesIO(taken(out.getvalue()).content)).getpixel((1, 1)) == (255, 255, 255)


def test_a_large_photo_is_made_smaller() -> None:
    drawn = taken(picture(size=(4000, 1000)))
    assert (drawn.width, drawn.height) == (LONGEST_SIDE, 400)


def test_a_lying_photo_is_set_upright_and_what_it_told_is_gone() -> None:
    """Exif 2.3, Orientation 6: the picture is turned a quarter clockwise when shown."""
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKER] = 6, "Camera of somebody"
    exif.get_ifd(GPS)[1] = "N"
    drawn = taken(picture(exif=exif.tobytes(), comment=b"taken at home", icc_profile=b"x" * 200))
    image = Image.open(io.BytesIO(drawn.content))
    assert image.size == (20, 40)
    assert not image.getexif()
    assert not {"exif", "comment", "icc_profile", "xmp"} & set(image.info)
    assert b"somebody" not in drawn.content
    assert b"at home" not in drawn.content


def png_of(width: int, height: int, data: bytes = b"") -> bytes:
    """A PNG that says it has this size, whatever is in it (W3C, PNG specification, IHDR and IDAT)."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


BROKEN = {
    "not a picture": (b"hello", "no photo that can be read"),
    "nothing": (b"", "no photo that can be read"),
    "vectors with a script": (b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", "no photo"),
    "another kind": (picture("GIF", mode="P"), "no photo"),
    "a printed page": (b"%PDF-1.7\n", "no photo"),
    "cut off": (picture(size=(400, 400), quality=95)[:600], "broken"),
    "no pixels": (png_of(10, 10), "broken"),
    "false pixels": (png_of(10, 10, b"garbage"), "broken"),
    "a bomb": (png_of(50_000, 50_000), "40 megapixels"),
    "a smaller bomb": (png_of(10_000, 10_000), "40 megapixels"),
    "just too many": (png_of(8_000, 5_001), "40 megapixels"),
    "too many bytes": (b"\xff\xd8" + b"0" * 8_000_000, "larger than 8 MB"),
}


@pytest.fixture(autouse=True, params=[False, True], ids=["", "pdf_engine loaded"])
def truncated_files_are_filled_up(request, monkeypatch) -> None:
    """WeasyPrint sets this for the whole process once it is imported; photos are the same with it and without."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", request.param)


@pytest.mark.parametrize("what", BROKEN)
def test_what_is_no_photo_is_said_and_the_recipe_is_kept(settings, sign_in, recipe, what: str) -> None:
    content, said = BROKEN[what]
    response = send(sign_in("coach"), recipe, content, title="Typed with care")
    words = response.content.decode()
    assert response.status_code == 200
    assert said in words
    assert "photo" in response.context["form"].errors
    assert "Typed with care" in words
    assert not RecipePhoto.objects.exists()
    assert stored(settings) == []
    recipe.refresh_from_db()
    assert recipe.title == "Soup"


@pytest.mark.parametrize("cut", range(0, 900, 37))
def test_no_cut_of_a_file_breaks_anything(cut: int) -> None:
    for kind in ("JPEG", "PNG", "WEBP"):
        content = bytearray(picture(kind, size=(60, 60)))
        content[min(cut, len(content) - 1)] ^= 0xFF
        for part in (bytes(content), bytes(content[:cut])):
            try:
                assert taken(part).width <= LONGEST_SIDE
            except Refused as refused:
                assert refused.problems[0].field == "photo"


def test_a_photo_is_kept_privately_under_a_name_of_its_own(settings, sign_in, recipe) -> None:
    browser = sign_in("coach")
    content = picture()
    response = send(browser, recipe, content, photo=upload(content, "../../evil.html"))
    assert response.status_code == 302
    (path,) = stored(settings)
    assert path.suffix == ".jpg"
    assert "evil" not in path.name
    assert len(path.stem) == 32
    words = browser.get(f"/recipes/{recipe.pk}/").content.decode()
    assert f'src="/recipes/{recipe.pk}/photo/' in words
    assert 'alt="A red soup" width="40" height="20"' in words


def test_a_photo_is_handed_to_the_practice_only_and_never_kept_on_the_way(sign_in, recipe) -> None:
    send(sign_in("coach"), recipe, picture())
    address = f"/recipes/{recipe.pk}/photo/"
    for role in ("owner", "coach", "assistant"):
        response = sign_in(role).get(address)
        assert b"".join(response.streaming_content)[:2] == b"\xff\xd8"
        assert response["Content-Type"] == "image/jpeg"
        assert response["Content-Disposition"] == 'attachment; filename="soup.jpg"'
        assert response["X-Content-Type-Options"] == "nosniff"
        assert response["Cache-Control"] == "no-store"
    for role in ("client", "foreign_coach"):
        assert sign_in(role).get(address).status_code == 404
    assert sign_in(None).get(address).status_code == 302


def test_a_recipe_without_a_photo_has_none_to_hand_out(sign_in, recipe) -> None:
    browser = sign_in("coach")
    assert browser.get(f"/recipes/{recipe.pk}/photo/").status_code == 404
    assert "/photo/" not in browser.get(f"/recipes/{recipe.pk}/").content.decode()


@pytest.mark.django_db(transaction=True)
def test_a_photo_is_replaced_described_and_removed(settings, sign_in, recipe) -> None:
    browser = sign_in("coach")
    send(browser, recipe, picture())
    (first,) = stored(settings)
    send(browser, recipe, picture(size=(10, 10)), alt="Another")
    (second,) = stored(settings)
    assert first != second
    send(browser, recipe, alt="Said better")
    assert RecipePhoto.objects.get().alt == "Said better"
    assert stored(settings) == [second]
    send(browser, recipe, alt="", photo_remove="on")
    assert not RecipePhoto.objects.exists()
    assert stored(settings) == []


@pytest.mark.django_db(transaction=True)
def test_a_photo_goes_with_its_practice(settings) -> None:
    practice = PracticeFactory()
    for service, text in ((foods_import, FOODS), (recipes_import, RECIPES)):
        service(practice=practice, text=text, by=None, at=NOON)
    photo_put(recipe=practice.recipes.get(), photo=taken(picture()), alt="Soup", by=None, at=NOON)
    assert len(stored(settings)) == 1
    practice.delete()
    assert stored(settings) == []


def test_a_photo_needs_words(sign_in, recipe) -> None:
    response = send(sign_in("coach"), recipe, picture(), alt="")
    assert "It is not said what the photo shows." in response.content.decode()
    assert "photo_alt" in response.context["form"].errors
    assert not RecipePhoto.objects.exists()


def test_when_a_recipe_has_mistakes_the_photo_is_asked_for_again(sign_in, recipe) -> None:
    response = send(sign_in("coach"), recipe, picture(), portion="a bowl", steps="Kept as typed.")
    assert "Kept as typed." in response.content.decode()
    assert "Choose the photo again" in response.content.decode()


def test_a_new_recipe_may_come_with_a_photo(cast, sign_in, recipe) -> None:
    sent = filled(CARROT, photo_alt="Mash", photo=upload(picture("WEBP")))
    assert sign_in("coach").post("/recipes/new/", sent).status_code == 302
    assert RecipePhoto.objects.get().recipe.key == "carrot-mash"


def test_a_file_of_recipes_leaves_photos_alone(cast, sign_in, recipe) -> None:
    send(sign_in("coach"), recipe, picture())
    recipes_import(practice=cast.practice, text=RECIPES.replace("[Boil.]", "[Simmer.]"), by=None, at=NOON)
    assert RecipePhoto.objects.filter(recipe=recipe).count() == 1
