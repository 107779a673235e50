"""From the facts of a packet to one tagged PDF. Nothing is fetched but our own fonts and pictures.

The same facts give the same bytes: the dates inside the file are the facts' own and its identifier is their digest.
The engine takes most of a second to load, so it is loaded on first use: processes that only show pages never load it.
"""

from __future__ import annotations

import atexit
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from django.template.loader import render_to_string
from django.utils import translation

import coaching
from plans.printables.tagging import finished

if TYPE_CHECKING:
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import URLFetcher, URLFetcherResponse

OWN_FILES = Path(coaching.__file__).parent / "static" / "ladlework"
SCHEME = "ladlework"
"""Addresses such as ``ladlework:///fonts/…`` name files of our own and nothing else."""
KINDS = {".woff2": "font/woff2", ".svg": "image/svg+xml", ".css": "text/css"}
STYLES = ("print-sheets/base.css", "print-sheets/sheets.css")
PAPERS = {"a4": ("210mm 297mm", "104mm"), "letter": ("8.5in 11in", "95mm")}
"""The size of a page, and the least height of a card so that two fill it."""


@dataclass(frozen=True, slots=True)
class Printed:
    """A finished file and how many pages it has."""

    content: bytes
    pages: int


def packet_pdf(facts: Mapping[str, Any]) -> Printed:
    """Draw a packet, given its facts as JSON. Raises KeyError for a paper we do not print on."""
    html = packet_html(facts)
    engine = _engine()
    document = engine.read(html).render(
        stylesheets=engine.styles(facts["paper"]), font_config=engine.fonts, pdf_variant="pdf/ua-1"
    )
    drawn = document.write_pdf(pdf_variant="pdf/ua-1", pdf_identifier=_digest(facts))
    titles = {entry["anchor"]: entry["title"] for entry in facts["cover"]["contents"]}
    return Printed(content=finished(drawn, titles), pages=len(document.pages))


def packet_html(facts: Mapping[str, Any]) -> str:
    """The packet as HTML, in its own language."""
    with translation.override(facts["language"]):
        return render_to_string(
            "print/packet.html", {"packet": facts, "is_right_to_left": translation.get_language_bidi()}
        )


def _digest(facts: Mapping[str, Any]) -> bytes:
    canonical = json.dumps(facts, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(canonical.encode()).hexdigest()[:32].encode()


@dataclass(frozen=True, slots=True)
class _Engine:
    """The layout engine with what every job shares: fonts, parsed styles, the closed door."""

    fetcher: URLFetcher
    fonts: FontConfiguration
    parsed: Mapping[str, tuple[CSS, ...]]

    def read(self, html: str):
        from weasyprint import HTML

        return HTML(string=html, url_fetcher=self.fetcher, base_url=f"{SCHEME}:///")

    def styles(self, paper: str) -> list[CSS]:
        return list(self.parsed[paper])


@cache
def _engine() -> _Engine:
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration

    fetcher, fonts = _own_files_only(), FontConfiguration()

    def parse(css: str) -> CSS:
        return CSS(string=css, url_fetcher=fetcher, font_config=fonts, base_url=f"{SCHEME}:///print-sheets/")

    shared = [parse((OWN_FILES / name).read_text(encoding="utf-8")) for name in STYLES]
    papers = {
        paper: (*shared, parse(f"@page {{ size: {size} }} .card {{ min-height: {card} }}"))
        for paper, (size, card) in PAPERS.items()
    }
    # The fonts clean up after themselves, which they no longer can once the interpreter is being taken apart.
    atexit.register(_engine.cache_clear)
    return _Engine(fetcher=fetcher, fonts=fonts, parsed=papers)


def _own_files_only() -> URLFetcher:
    """A fetcher that hands out our own fonts and pictures and refuses every other address, loudly."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFiles(URLFetcher):
        def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> URLFetcherResponse:
            path = _own_file(url)
            return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": KINDS[path.suffix]})

    return OwnFiles(fail_on_errors=True, allow_redirects=False)


def _own_file(url: str) -> Path:
    """The file of ours an address names. Raises ValueError for any other address."""
    scheme, _, name = url.partition(":///")
    path = (OWN_FILES / name).resolve()
    if scheme != SCHEME or not path.is_relative_to(OWN_FILES.resolve()) or path.suffix not in KINDS:
        raise ValueError("printing fetches nothing but its own files")
    return path
