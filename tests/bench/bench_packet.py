"""A packet of about twenty pages, from its facts to the finished file, against the PDF engine alone on the same HTML.

The engine alone draws the same tagged pages from the same style sheets, but is handed everything anew each time and
finishes nothing: no tags put right, no facts turned into HTML.
"""

from dataclasses import replace

from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration

from plans.printables.facts import as_json
from plans.printables.renderer import OWN_FILES, STYLES, packet_html, packet_pdf
from tests.bench.harness import Result, paired_timing
from tests.plans.printables.samples import CARD, DIARY, STAGE_SHEET, make_packet

ROUNDS = 7
GOAL = 1.15
"""Turning facts into HTML and putting the tags right may cost at most as much as not sharing fonts and styles saves,
and a little more."""


def run() -> list[Result]:
    """One comparison, on warm caches: a worker draws one packet after another."""
    facts = as_json(
        make_packet(
            stage_sheets=(STAGE_SHEET,) * 3,
            cards=tuple(replace(CARD, title=f"{CARD.title} {number}") for number in range(14)),
            diaries=(DIARY,) * 3,
        )
    )
    html = packet_html(facts)
    styles = [
        (OWN_FILES / name).read_text(encoding="utf-8").replace("ladlework:///", f"{OWN_FILES.as_uri()}/")
        for name in STYLES
    ]

    def alone() -> None:
        fonts = FontConfiguration()
        parsed = [CSS(string=style, font_config=fonts) for style in styles]
        HTML(string=html).write_pdf(stylesheets=parsed, font_config=fonts, pdf_variant="pdf/ua-1")

    return [
        paired_timing(
            name=f"packet of {packet_pdf(facts).pages} pages",
            subject=lambda: packet_pdf(facts),
            baseline_name="PDF engine alone, same HTML",
            baseline=alone,
            goal=GOAL,
            rounds=ROUNDS,
            warm_ups=1,
        )
    ]
