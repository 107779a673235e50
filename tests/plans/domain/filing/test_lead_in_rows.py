"""Lead-in tasks in files: chains read, written and checked, and old documents as they were."""

import pytest

from plans.domain.book import Food
from plans.domain.draft_parts import without_row
from plans.domain.filing.protocols import protocol_csv, protocol_yaml, read_protocol
from plans.domain.records import digest_of, protocol_from_record, protocol_record

FOODS = tuple(Food(key, key.title(), "things", "pantry") for key in ("milk", "kefir", "whey"))
HEAD = """\
schema: ladlework/protocol/1
key: p
title: P
summary: S
source: own invention
stages:
  - {key: a, title: A, aim: Eat., least_days: 1, usual_days: 2}
rules:
  - {food: milk, stage: a, allowance: freely}
lead_in:
"""
CHAIN = """\
  - {key: kefir, title: Start the kefir, kind: culture, days_before: 4, wait_least_h: 24, wait_most_h: 48,
     needs: [milk], makes: [kefir], buy_instead: Bought kefir.}
  - {key: drip, title: Drip, kind: culture, days_before: 2, after: [kefir], makes: [whey], freezer_days: 90}
"""


def read(rows: str):
    return read_protocol(HEAD + rows, "p.yaml", FOODS)


def test_a_chain_is_read_and_written_as_it_was():
    protocol, problems = read(CHAIN)
    assert problems == ()
    kefir, drip = protocol.lead_in
    assert (kefir.wait_least_h, kefir.wait_most_h, kefir.needs, kefir.makes) == (
        24,
        48,
        ("milk",),
        ("kefir",),
    )
    assert (drip.after, drip.freezer_days) == (("kefir",), 90)
    for text, name in ((protocol_yaml(protocol), "p.yaml"), (protocol_csv(protocol), "p.csv")):
        assert read_protocol(text, name, FOODS) == (protocol, ())


def test_a_published_document_without_chains_keeps_its_digest():
    """The digest is of the document as it was published; what is new must not show in it when it is empty."""
    task = {
        "key": "kraut",
        "title": "Start the cabbage",
        "kind": "culture",
        "days_before": 28,
        "at_least_days": 21,
        "keeps_days": 180,
        "hands_on_min": 40,
        "food": "kefir",
        "note": "Salt it.",
        "source": "a guide",
    }
    protocol, _problems = read("  - {key: x, title: X, kind: shop, days_before: 1}\n")
    document = {**protocol_record(protocol), "lead_in": [task]}
    again = protocol_record(protocol_from_record(document))
    assert again == document
    assert digest_of(again) == digest_of(document)


@pytest.mark.parametrize(
    ("row", "field", "said"),
    [
        ("after: [nothing]", "lead-in task 1, after", "There is no lead-in task “nothing”."),
        ("after: [x]", "lead-in task 1, after", "The task comes after itself"),
        ("needs: [mlk]", "lead-in task 1, needs", "There is no food “mlk”."),
        ("makes: [mlk]", "lead-in task 1, makes", "There is no food “mlk”."),
        ("wait_least_h: 9, wait_most_h: 3", "lead-in task 1, wait_most_h", "The longest wait (3 hours)"),
        ("wait_least_h: 99999", "lead-in task 1, wait_least_h", ""),
    ],
)
def test_what_does_not_fit_is_named(row, field, said):
    protocol, problems = read(f"  - {{key: x, title: X, kind: shop, days_before: 1, {row}}}\n")
    assert protocol is None
    assert [said in problem.message for problem in problems] == [True]


def test_tasks_that_wait_for_each_other_are_both_named():
    rows = "".join(
        f"  - {{key: {one}, title: X, kind: shop, days_before: 1, after: [{two}]}}\n"
        for one, two in (("a", "b"), ("b", "c"), ("c", "a"))
    )
    _protocol, problems = read(rows)
    assert len(problems) == 3


def test_a_task_that_goes_is_waited_for_no_longer():
    protocol, _problems = read(CHAIN)
    left = without_row(protocol_record(protocol), "lead_in", 0)
    assert [row["key"] for row in left["lead_in"]] == ["drip"]
    assert "after" not in left["lead_in"][0]
