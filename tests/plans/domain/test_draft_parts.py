"""Parts of a draft are put in, taken out and moved, and nothing else of the document changes."""

import copy
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.draft_parts import (
    LISTS,
    ORDERED,
    free_key,
    moved,
    rows_of,
    with_head,
    with_row,
    without_row,
    without_stage,
)
from plans.domain.records import protocol_from_record, protocol_record
from plans.domain.splices import applied, reverse, splices
from tests.plans.book_strategies import protocols

documents = protocols().map(protocol_record)
nouns = st.sampled_from(sorted(LISTS))


def others(document: dict, *names: str) -> dict:
    """The document without these lists."""
    return {name: held for name, held in document.items() if name not in names}


def is_taken_back_to_the_letter(before: dict, after: dict) -> bool:
    """Whether an edit holds as a record, is undone by its own splices, and made again."""
    assert protocol_record(protocol_from_record(after)) == after
    edit = splices(before, after)
    return applied(after, reverse(edit)) == before and applied(before, edit) == after


@given(documents, documents, nouns, st.data())
def test_a_row_put_in_or_changed_leaves_all_others_alone(document, other, noun, data) -> None:
    drawn = rows_of(other, noun)
    rows = list(rows_of(document, noun))
    if not drawn:
        return
    row = dict(data.draw(st.sampled_from(drawn)))
    place = data.draw(st.none() | st.integers(0, len(rows) - 1)) if rows else None
    if noun == "stage" and place is not None:
        row["key"] = rows[place]["key"]
    elif noun == "challenge":
        row["stage"] = document["stages"][0]["key"]
    before = None if place is not None or not rows else data.draw(st.none() | st.integers(0, len(rows) - 1))
    kept = copy.deepcopy(document)
    after = with_row(document, noun, place, row, before=before)
    assert document == kept
    assert others(after, LISTS[noun]) == others(document, LISTS[noun])
    found = list(rows_of(after, noun))
    at = place if place is not None else len(rows) if before is None else before
    assert found[at] == row
    if place is None:
        assert found[:at] + found[at + 1 :] == rows
    else:
        assert found[:at] + found[at + 1 :] == rows[:at] + rows[at + 1 :]
    assert is_taken_back_to_the_letter(document, after)


@given(documents, st.sampled_from(("modifier", "challenge", "lead_in")), st.data())
def test_a_row_taken_out_leaves_all_others_alone(document, noun, data) -> None:
    rows = list(rows_of(document, noun))
    if not rows:
        return
    place = data.draw(st.integers(0, len(rows) - 1))
    after = without_row(document, noun, place)
    assert others(after, LISTS[noun]) == others(document, LISTS[noun])
    left = [no_longer_waits(row, rows[place].get("key")) for row in rows[:place] + rows[place + 1 :]]
    assert list(rows_of(after, noun)) == left
    assert is_taken_back_to_the_letter(document, after)


def no_longer_waits(row: dict[str, Any], gone: str | None) -> dict[str, Any]:
    """A row that came after one that is gone."""
    waits = [key for key in row.get("after", ()) if key != gone]
    return {key: value for key, value in row.items() if key != "after"} | ({"after": waits} if waits else {})


@given(documents, st.sampled_from(sorted(ORDERED)), st.integers(-3, 3), st.data())
def test_a_row_moves_among_the_others_and_back(document, noun, by, data) -> None:
    rows = list(rows_of(document, noun))
    if not rows:
        return
    place = data.draw(st.integers(0, len(rows) - 1))
    after = moved(document, noun, place, by)
    at = min(max(place + by, 0), len(rows) - 1)
    found = list(rows_of(after, noun))
    assert found[at] == rows[place]
    assert found[:at] + found[at + 1 :] == rows[:place] + rows[place + 1 :]
    assert moved(after, noun, at, place - at) == document
    assert is_taken_back_to_the_letter(document, after)


@given(documents, st.data())
def test_a_stage_goes_with_its_rows_or_hands_them_on(document, data) -> None:
    keys = [stage["key"] for stage in document["stages"]]
    key = data.draw(st.sampled_from(keys))
    rows_to = data.draw(st.none() | st.sampled_from([one for one in keys if one != key] or [None]))
    after = without_stage(document, key, rows_to)
    left = {stage["key"] for stage in after["stages"]}
    assert left == set(keys) - {key}
    assert {row["stage"] for row in after["rules"]} <= left
    assert {row["stage"] for row in after.get("challenges", ())} <= left
    touched = ("stages", "rules", "challenges")
    assert others(after, *touched) == others(document, *touched)
    elsewhere = [row for row in document["rules"] if row["stage"] != key]
    assert [row for row in after["rules"] if row in elsewhere] == elsewhere
    if rows_to is None:
        assert after["rules"] == elsewhere
    else:
        assert len(after.get("challenges", ())) == len(document.get("challenges", ()))
        named = [(row["stage"], row.get("food"), row.get("group")) for row in after["rules"]]
        assert len(named) == len(set(named))
    assert is_taken_back_to_the_letter(document, after)


@given(documents, documents)
def test_another_head_leaves_the_rest_alone(document, other) -> None:
    head = {
        name: other[name]
        for name in ("key", "title", "summary", "source", "dietitian", "caution")
        if name in other
    }
    after = with_head(document, head)
    assert {name: after[name] for name in head} == head
    assert ("caution" in after) == ("caution" in head)
    assert ("dietitian" in after) == ("dietitian" in head)
    assert all(after[name] == document[name] for name in LISTS.values() if name in document)
    assert is_taken_back_to_the_letter(document, after)


SMALL = {
    "stages": [{"key": "one"}, {"key": "two"}, {"key": "three"}],
    "rules": [
        {"food": "carrot", "stage": "one", "allowance": "as prepared"},
        {"food": "carrot", "stage": "two", "allowance": "freely"},
        {"food": "beet", "stage": "one", "allowance": "freely"},
    ],
    "challenges": [{"key": "milk", "stage": "one"}],
}


def test_where_the_next_stage_speaks_of_a_target_its_own_row_stays() -> None:
    after = without_stage(SMALL, "one", "two")
    assert after["rules"] == [
        {"food": "carrot", "stage": "two", "allowance": "freely"},
        {"food": "beet", "stage": "two", "allowance": "freely"},
    ]
    assert after["challenges"] == [{"key": "milk", "stage": "two"}]
    assert "challenges" not in without_stage(SMALL, "one")


@pytest.mark.parametrize(("key", "rows_to"), [("four", None), ("one", "four"), ("one", "one")])
def test_a_stage_that_is_not_there_is_an_error(key: str, rows_to: str | None) -> None:
    with pytest.raises(KeyError):
        without_stage(SMALL, key, rows_to)


@pytest.mark.parametrize("place", [-1, 3])
def test_a_place_that_is_not_there_is_an_error(place: int) -> None:
    for change in (
        lambda: with_row(SMALL, "stage", place, {}),
        lambda: with_row(SMALL, "stage", None, {}, before=place),
        lambda: without_row(SMALL, "stage", place),
        lambda: moved(SMALL, "stage", place, 1),
    ):
        with pytest.raises(IndexError):
            change()


def test_a_key_is_free() -> None:
    assert free_key("settle", [], "stage") == "settle"
    assert free_key("settle", ["settle", "settle-2"], "stage") == "settle-3"
    assert free_key("", ["stage"], "stage") == "stage-2"
    long = free_key("a" * 80, ["a" * 80], "stage")
    assert len(long) <= 80
