"""Edits of a document can be taken back and made again, exactly."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.records import protocol_record
from plans.domain.splices import applied, reverse, splices
from tests.plans.book_strategies import protocols

rows = st.lists(st.fixed_dictionaries({"food": st.sampled_from("abc"), "n": st.integers(0, 3)}), max_size=8)
documents = st.fixed_dictionaries(
    {"title": st.text(max_size=3), "rules": rows, "stages": rows},
    optional={"caution": st.text(min_size=1, max_size=3), "modifiers": rows.filter(bool)},
)


@given(documents, documents)
def test_an_edit_can_be_made_taken_back_and_made_again(before: dict, after: dict) -> None:
    edit = json.loads(json.dumps(splices(before, after)))
    assert applied(before, edit) == after
    assert applied(after, reverse(edit)) == before


@given(protocols(), protocols())
def test_one_protocol_becomes_another_and_back(before, after) -> None:
    one, other = protocol_record(before), protocol_record(after)
    edit = splices(one, other)
    assert applied(one, edit) == other
    assert applied(other, reverse(edit)) == one


def test_one_changed_row_is_one_small_splice() -> None:
    before = {"rules": [{"food": str(number), "stage": "one"} for number in range(2_400)]}
    after = {"rules": [*before["rules"][:1_200], {"food": "new", "stage": "one"}, *before["rules"][1_201:]]}
    assert splices(before, after) == [
        {"part": "rules", "at": 1_200, "out": [before["rules"][1_200]], "in": [after["rules"][1_200]]}
    ]


def test_nothing_changed_is_no_edit() -> None:
    assert splices({"title": "A", "rules": []}, {"title": "A", "rules": []}) == []


def test_an_edit_fits_only_the_document_it_was_made_in() -> None:
    edit = splices({"rules": [{"food": "a"}]}, {"rules": [{"food": "b"}]})
    with pytest.raises(ValueError, match="rules"):
        applied({"rules": [{"food": "c"}]}, edit)
    with pytest.raises(ValueError, match="title"):
        applied({"title": "Other"}, splices({"title": "A"}, {"title": "B"}))
