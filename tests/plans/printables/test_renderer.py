"""The file itself: paper, letters, tags, and a door that stays shut.

Tags and marks: ISO 14289-1 (PDF/UA-1) and ISO 32000-1. Paper: ISO 216 (A4, 210 × 297 mm) and ANSI/ASME Y14.1 (Letter,
8.5 × 11 in), 72 points an inch.
"""

import socket
from dataclasses import dataclass, replace
from io import BytesIO
from itertools import pairwise

import pikepdf
import pytest
from pypdf import PdfReader
from weasyprint.urls import FatalURLFetchingError

from plans.printables import renderer
from plans.printables.facts import as_json
from plans.printables.renderer import _own_file, packet_html, packet_pdf
from tests.plans.printables.samples import COVER, STAGE_SHEET, make_packet

POINTS = {"a4": (595, 842), "letter": (612, 792)}
HOSTILE = '<img src="file:///etc/passwd"><script>alert(1)</script>{{ packet }}'


@pytest.fixture(scope="module", params=["a4", "letter"])
def drawn(request) -> tuple[str, bytes]:
    """The hand-made packet on either paper."""
    return request.param, packet_pdf(as_json(make_packet(paper=request.param))).content


def text_of(content: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages)


@dataclass(frozen=True)
class Tag:
    """One structure element: its role, the roles of its children, and the scope of a header cell."""

    role: str
    kids: tuple[str, ...]
    scope: str


def tags(content: bytes) -> list[Tag]:
    """Every structure element of the file, depth first."""
    found = []

    def walk(element: pikepdf.Object) -> None:
        kids = element.get("/K")
        listed = list(kids) if isinstance(kids, pikepdf.Array) else [kids]
        within = [kid for kid in listed if isinstance(kid, pikepdf.Dictionary) and "/S" in kid]
        attributes = element.get("/A")
        scope = (
            str(attributes.Scope)
            if isinstance(attributes, pikepdf.Dictionary) and "/Scope" in attributes
            else ""
        )
        found.append(Tag(str(element.get("/S", "")), tuple(str(kid.S) for kid in within), scope))
        for kid in within:
            walk(kid)

    with pikepdf.open(BytesIO(content)) as pdf:
        walk(pdf.Root.StructTreeRoot)
    return found


def test_every_page_has_the_size_of_the_paper(drawn):
    paper, content = drawn
    sizes = {
        (round(float(page.mediabox.width)), round(float(page.mediabox.height)))
        for page in PdfReader(BytesIO(content)).pages
    }
    assert sizes == {POINTS[paper]}


def test_every_page_says_for_whom_by_which_version_in_which_stage_since_when(drawn):
    for page in PdfReader(BytesIO(drawn[1])).pages:
        text = " ".join(page.extract_text().split())
        assert "Quillmere Food Coaching · Marsh household · printed on 25 November 2026" in text
        assert "Hearth in five stages, version 3: Nell, Ivo (Settle), as of 7 December 2026" in text


def test_the_words_of_every_sheet_are_there(drawn):
    text = " ".join(text_of(drawn[1]).split())
    for words in (
        "The Marsh household",
        "Call 112 now.",
        "Nell: Settle",
        "Cook in, take out.",
        "Getting ready",
        "Start the cabbage",
        "820 g (1 lb 13 oz)",
        "Move Beef stew to the refrigerator for tomorrow",
        "165 °F (74 °C) in the thickest part",
        "Check-in diary for Nell",
        "food coaching, not medical care",
    ):
        assert words in text


def test_the_file_is_tagged_titled_and_speaks_its_language(drawn):
    with pikepdf.open(BytesIO(drawn[1])) as pdf:
        assert pdf.Root.Lang == "en"
        assert bool(pdf.Root.MarkInfo.Marked)
        assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
        assert str(pdf.docinfo.Title) == "Packet for the Marsh household, 7 to 13 December 2026"
        assert b"pdfuaid:part" in pdf.Root.Metadata.read_bytes()
        assert {str(page.obj.Tabs) for page in pdf.pages} == {"/S"}


def test_every_font_is_our_own_and_embedded(drawn):
    names = set()
    with pikepdf.open(BytesIO(drawn[1])) as pdf:
        for page in pdf.pages:
            for font in page.resources.get("/Font", {}).values():
                descriptor = font.DescendantFonts[0].FontDescriptor
                assert {"/FontFile2", "/FontFile3", "/FontFile"} & set(descriptor.keys())
                names.add(str(descriptor.FontName).partition("+")[2] or str(descriptor.FontName))
    assert names
    assert all("Ladlework" in name for name in names), names


def test_header_cells_say_which_way_they_head(drawn):
    assert {tag.scope for tag in tags(drawn[1]) if tag.role == "/TH"} == {"/Row", "/Column"}


def test_links_are_printed_and_say_where_they_lead(drawn):
    with pikepdf.open(BytesIO(drawn[1])) as pdf:
        links = [
            link for page in pdf.pages for link in page.obj.get("/Annots", []) if link.Subtype == "/Link"
        ]
        assert {str(link.Contents) for link in links} == {"Before you cook", "Nell: Settle"}
        assert all(int(link.F) & 4 for link in links)


def test_no_list_stands_beside_the_items_of_another(drawn):
    for tag in tags(drawn[1]):
        if tag.role == "/L":
            assert set(tag.kids) <= {"/LI"}


def test_headings_do_not_skip_a_level(drawn):
    levels = [int(tag.role[2:]) for tag in tags(drawn[1]) if tag.role in {"/H1", "/H2", "/H3"}]
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_the_same_facts_give_the_same_bytes_and_other_facts_do_not():
    facts = as_json(make_packet())
    assert packet_pdf(facts).content == packet_pdf(facts).content
    assert packet_pdf(facts).content != packet_pdf(as_json(make_packet(household="Marsch"))).content


def test_names_with_markup_are_printed_as_text_and_nothing_is_fetched(monkeypatch):
    def closed(*args, **kwargs):
        raise AssertionError("a socket was opened")

    monkeypatch.setattr(socket.socket, "connect", closed)
    standing = replace(STAGE_SHEET.standing, eater=HOSTILE)
    facts = as_json(
        make_packet(
            household=HOSTILE,
            cover=replace(COVER, household=HOSTILE, client=HOSTILE),
            stage_sheets=(replace(STAGE_SHEET, standing=standing, aim=HOSTILE),),
        )
    )
    html = packet_html(facts)
    assert "<img" not in html
    assert "<script" not in html
    text = "".join(text_of(packet_pdf(facts).content).split())
    assert "".join(HOSTILE.split()) in text
    assert "root:" not in text


@pytest.mark.parametrize(
    "url",
    [
        "file:///etc/passwd",
        "https://example.org/font.woff2",
        "data:text/css,body{}",
        "ladlework:///../../settings.py",
        "ladlework:///fonts/../../../../settings.py",
        "ladlework://example.org/fonts/a.woff2",
        "ladlework:///ladlework.js",
    ],
)
def test_only_our_own_fonts_and_pictures_are_handed_out(url):
    with pytest.raises(ValueError, match="nothing but its own files"):
        _own_file(url)


def test_an_address_in_a_sheet_fails_the_job_instead_of_being_left_out(monkeypatch):
    monkeypatch.setattr(
        renderer, "packet_html", lambda facts: '<html lang="en"><img src="https://example.org/a.png">'
    )
    with pytest.raises(FatalURLFetchingError):
        packet_pdf(as_json(make_packet()))


def test_a_packet_is_whole_in_black_and_white():
    """Every allowance has its word on the sheet: taking all colour away takes nothing else."""
    html = packet_html(as_json(make_packet()))
    for block in STAGE_SHEET.allowances:
        assert f"<h2>{block.word}</h2>" in html


@pytest.mark.parametrize(
    ("html", "lists"),
    [
        ("<ul><li>one<ul><li>within</li></ul></li><li>two</li></ul>", [("/LI", "/LI"), ("/LI",)]),
        ('<ul style="columns: 2"><li>one</li><li>two</li><li>three</li></ul>', [("/LI", "/LI", "/LI")]),
        ("<ol><li>one</li></ol>", [("/LI",)]),
    ],
)
def test_lists_hold_items_and_nothing_else(monkeypatch, html, lists):
    page = f'<html lang="en"><title>Lists</title><h1>Lists</h1>{html}'
    monkeypatch.setattr(renderer, "packet_html", lambda facts: page)
    found = tags(packet_pdf(as_json(make_packet())).content)
    assert [tag.kids for tag in found if tag.role == "/L"] == lists
