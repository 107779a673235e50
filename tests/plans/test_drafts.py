"""Drafts: begun, edited, taken back, published, thrown away; and never changed behind another window's back."""

import pytest

from coaching.domain.errors import Refused
from plans.domain.book import Rule
from plans.domain.table import FOOD, GROUP, Table, Target
from plans.domain.vocabulary import Allowance
from plans.models import Protocol, ProtocolVersion
from plans.selectors import draft_of, edit_state, foods_of, protocol_of
from plans.services import drafts
from plans.services.foods import foods_import
from plans.services.protocols import protocol_import
from tests.factories import NOON, PracticeFactory

pytestmark = pytest.mark.django_db

FOODS = """\
schema: ladlework/foods/1
foods:
  - {key: carrot, name: Carrot, group: roots, aisle: vegetables, unit_weights: {piece: 60}}
  - {key: beet, name: Beet, group: roots, aisle: vegetables}
  - {key: butter, name: Butter, group: fats, aisle: fats, families: [milk]}
"""
PROTOCOL = """\
schema: ladlework/protocol/1
key: steps
title: Steps
summary: Settle, then widen.
source: own invention
stages:
  - {key: settle, title: Settle, aim: Soft food., least_days: 5, usual_days: 10}
  - {key: widen, title: Widen, aim: More food., least_days: 5, usual_days: 10}
rules:
  - {group: roots, stage: settle, allowance: as prepared, forms: [boiled + peeled], note: Soft.}
  - {food: butter, stage: widen, allowance: first tastes, start: 5 g, step: 5 g, every_days: 2, most: 30 g}
"""


@pytest.fixture
def protocol(db) -> Protocol:
    practice = PracticeFactory()
    foods_import(practice=practice, text=FOODS, by=None, at=NOON)
    protocol_import(practice=practice, text=PROTOCOL, by=None, at=NOON)
    return Protocol.objects.get(practice=practice)


@pytest.fixture
def draft(protocol: Protocol) -> ProtocolVersion:
    return drafts.draft_begin(protocol=protocol, by=None, at=NOON)


def do(service, draft: ProtocolVersion, **arguments):
    return service(draft=draft, seen=draft.digest, by=None, at=NOON, **arguments)


def holds(draft: ProtocolVersion, target: Target, stage: str) -> Rule | None:
    draft.refresh_from_db()
    return Table(protocol_of(draft), foods_of(draft.protocol.practice)).cell(target, stage).holds


def messages(refused) -> list[str]:
    return [problem.message for problem in refused.value.problems]


def test_a_draft_begins_as_the_newest_version_and_there_is_one(protocol: Protocol, draft) -> None:
    assert (draft.number, draft.published_at, draft.basis.number) == (2, None, 1)
    assert draft.document == draft.basis.document
    assert drafts.draft_begin(protocol=protocol, by=None, at=NOON) == draft
    assert edit_state(draft) == edit_state(draft).__class__(0, 0)


def test_cells_are_set_and_keep_what_belongs_to_the_allowance(draft) -> None:
    both = ["food:carrot@widen", "food:beet@widen"]
    draft = do(drafts.cells_set, draft, cells=both, values={"allowance": "freely"})
    assert holds(draft, Target(FOOD, "carrot"), "widen").allowance is Allowance.FREELY
    assert holds(draft, Target(FOOD, "carrot"), "widen").forms == ()
    assert holds(draft, Target(FOOD, "carrot"), "settle").forms == (frozenset(("boiled", "peeled")),)
    draft = do(drafts.cells_set, draft, cells=["group:roots@widen"], values={"note": "Softer."})
    row = holds(draft, Target(GROUP, "roots"), "widen")
    assert (row.allowance, row.note) == (Allowance.AS_PREPARED, "Softer.")
    assert row.forms == (frozenset(("boiled", "peeled")),)


def test_typed_values_are_read_as_a_file_reads_them(draft) -> None:
    taste = {
        "allowance": "first tastes",
        "forms": "raw",
        "start": "2 g",
        "step": "",
        "every_days": "",
        "most": "",
    }
    draft = do(drafts.cells_set, draft, cells=["food:butter@settle"], values=taste)
    assert holds(draft, Target(FOOD, "butter"), "settle").start == (2, "g")
    with pytest.raises(Refused) as refused:
        wrong = {"allowance": "first tastes", "start": "lots", "step": "1 g"}
        do(drafts.cells_set, draft, cells=["food:beet@settle"], values=wrong)
    assert {problem.field for problem in refused.value.problems} == {"start", "every_days"}
    assert holds(draft, Target(FOOD, "beet"), "settle").allowance is Allowance.AS_PREPARED


def test_a_refusal_names_every_cell_it_is_about_and_changes_none(draft) -> None:
    cells = ["food:butter@settle", "group:fats@settle", "food:carrot@settle"]
    with pytest.raises(Refused) as refused:
        do(drafts.cells_set, draft, cells=cells, values={"allowance": "as prepared"})
    assert messages(refused) == [
        "Butter, Settle; fats, Settle: “as prepared” needs the forms the food is prepared in."
    ]
    assert holds(draft, Target(FOOD, "butter"), "settle") is None


@pytest.mark.parametrize("cells", [[], ["food:carrot"], ["food:lost@settle"], ["group:roots@never"], ["x"]])
def test_cells_that_are_not_in_the_table_are_refused(draft, cells: list[str]) -> None:
    with pytest.raises(Refused):
        do(drafts.cells_set, draft, cells=cells, values={"allowance": "freely"})
    with pytest.raises(Refused):
        do(drafts.cells_clear, draft, cells=cells)


def test_edits_are_taken_back_and_made_again_to_the_letter(draft) -> None:
    digests = [draft.digest]
    for values in ({"allowance": "freely"}, {"allowance": "not yet"}, {"note": "Later."}):
        draft = do(drafts.cells_set, draft, cells=["food:carrot@widen"], values=values)
        digests.append(draft.digest)
    draft = do(drafts.cells_clear, draft, cells=["group:roots@settle"])
    digests.append(draft.digest)
    assert len(set(digests)) == 5
    for digest in reversed(digests[:-1]):
        draft = do(drafts.draft_undo, draft)
        assert draft.digest == digest
    with pytest.raises(Refused):
        do(drafts.draft_undo, draft)
    for digest in digests[1:3]:
        draft = do(drafts.draft_redo, draft)
        assert draft.digest == digest
    assert (edit_state(draft).undo, edit_state(draft).redo) == (2, 2)
    draft = do(drafts.cells_set, draft, cells=["food:beet@widen"], values={"allowance": "freely"})
    assert (edit_state(draft).undo, edit_state(draft).redo) == (3, 0)
    with pytest.raises(Refused):
        do(drafts.draft_redo, draft)


def test_an_edit_that_changes_nothing_leaves_no_trace(draft) -> None:
    same = do(drafts.cells_set, draft, cells=["group:roots@settle"], values={"allowance": "as prepared"})
    assert same.digest == draft.digest
    assert edit_state(draft).undo == 0


def test_an_edit_made_on_what_another_window_changed_is_refused(draft) -> None:
    seen = draft.digest
    do(drafts.cells_set, draft, cells=["food:carrot@widen"], values={"allowance": "freely"})
    for service, more in (
        (drafts.cells_set, {"cells": ["food:beet@widen"], "values": {"allowance": "freely"}}),
        (drafts.cells_clear, {"cells": ["food:beet@widen"]}),
        (drafts.draft_undo, {}),
        (drafts.draft_redo, {}),
        (drafts.draft_publish, {}),
        (drafts.draft_discard, {}),
    ):
        with pytest.raises(Refused) as refused:
            service(draft=draft, seen=seen, by=None, at=NOON, **more)
        assert messages(refused) == ["The draft was changed in another window."]
    draft.refresh_from_db()
    assert edit_state(draft).undo == 1


def test_a_published_draft_is_a_version_like_any_other(protocol: Protocol, draft) -> None:
    with pytest.raises(Refused) as refused:
        do(drafts.draft_publish, draft)
    assert messages(refused) == ["The draft says what the published version says."]
    draft = do(drafts.cells_set, draft, cells=["food:carrot@widen"], values={"allowance": "freely"})
    published = do(drafts.draft_publish, draft)
    assert (published.number, published.published_at) == (2, NOON)
    assert draft_of(protocol) is None
    assert not published.edits.exists()
    assert [version.number for version in protocol.versions.order_by("number")] == [1, 2]
    with pytest.raises(Refused):
        do(drafts.draft_undo, published)


def test_a_draft_with_a_row_to_be_mended_is_not_published(draft) -> None:
    draft = do(drafts.cells_set, draft, cells=["group:roots@widen"], values={"allowance": "not yet"})
    with pytest.raises(Refused) as refused:
        do(drafts.draft_publish, draft)
    assert messages(refused) == ["Rows to be mended: 1."]


def test_a_file_published_meanwhile_makes_way_for_the_draft(protocol: Protocol, draft) -> None:
    protocol_import(
        practice=protocol.practice, text=PROTOCOL.replace("note: Soft.", "note: Softer."), by=None, at=NOON
    )
    draft.refresh_from_db()
    assert (draft.number, draft.basis.number) == (3, 1)
    assert protocol.versions.get(number=2).published_at == NOON


def test_a_new_protocol_begins_as_a_copy(protocol: Protocol) -> None:
    like = protocol.versions.get()
    head = {"key": "own-steps", "title": "Own steps"}
    begin = {"practice": protocol.practice, "head": head, "like": like, "by": None, "at": NOON}
    draft = drafts.protocol_begin(**begin)
    assert protocol_of(draft).title == "Own steps"
    assert protocol_of(draft).rules == protocol_of(like).rules
    with pytest.raises(Refused):
        drafts.protocol_begin(**begin)
    published = do(drafts.draft_publish, draft)
    assert published.number == 1


def test_a_discarded_draft_is_gone_and_so_is_a_protocol_that_never_was_one(protocol: Protocol, draft) -> None:
    do(drafts.draft_discard, draft)
    assert draft_of(protocol) is None
    assert protocol.versions.count() == 1
    like = protocol.versions.get()
    head = {"key": "own-steps", "title": "Own steps"}
    new = drafts.protocol_begin(practice=protocol.practice, head=head, like=like, by=None, at=NOON)
    do(drafts.draft_discard, new)
    assert not Protocol.objects.filter(key="own-steps").exists()
