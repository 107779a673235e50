"""A coach writes what a draft says besides its table, part by part, on screen."""

import pytest

from plans.models import Protocol, ProtocolVersion
from plans.selectors import draft_of, edit_state, protocol_of
from plans.services import drafts
from plans.services.foods import foods_import
from plans.services.protocols import protocol_import
from tests.factories import NOON

pytestmark = pytest.mark.usefixtures("noon")

FOODS = """\
schema: ladlework/foods/1
foods:
  - {key: carrot, name: Carrot, group: roots, aisle: vegetables, unit_weights: {piece: 60}}
  - {key: beet, name: Beet, group: roots, aisle: vegetables}
  - {key: milk, name: Cow's milk, group: dairy, aisle: eggs-dairy, density: 1.03, families: [milk]}
"""
PROTOCOL = """\
schema: ladlework/protocol/1
key: steps
title: Steps
summary: Settle, then widen.
source: own invention
caution: Ask your clinician.
stages:
  - {key: settle, title: Settle, aim: Soft food., least_days: 5, usual_days: 10, moving_on: [No pain; or little, Rest]}
  - {key: widen, title: Widen, aim: More food., least_days: 5, usual_days: 10}
rules:
  - {group: roots, stage: settle, allowance: as prepared, forms: [boiled + peeled]}
  - {food: beet, stage: settle, allowance: not yet}
  - {food: beet, stage: widen, allowance: freely}
modifiers:
  - {when: reflux, all: true, require: peeled}
challenges:
  - {key: milk, title: Milk, food: milk, form: raw, stage: settle, doses: [60 ml], dose_days: 2, washout_days: 3}
lead_in:
  - {key: shop, title: Shop, kind: shop, days_before: 2}
"""
STAGE = {
    "title": "Rest",
    "aim": "Wait.",
    "least_days": "3",
    "usual_days": "4",
    "most_days": "",
    "moving_on": "",
}
MODIFIER = {
    "when": "nausea",
    "about": "group:roots",
    "food": "",
    "require": ["pureed", "peeled"],
    "allowance": "",
}
CHALLENGE = {
    "title": "Carrot",
    "stage": "widen",
    "food": "Carrot",
    "form": ["raw"],
    "doses": "1 piece\r\n\r\n120 g\r\n",
    "dose_days": "2",
    "washout_days": "0",
    "note": "Grate it.",
}
TASK = {"title": "Boil stock", "kind": "cook", "days_before": "3", "hands_on_min": "20", "food": "beet"}


@pytest.fixture
def protocol(cast) -> Protocol:
    foods_import(practice=cast.practice, text=FOODS, by=None, at=NOON)
    protocol_import(practice=cast.practice, text=PROTOCOL, by=None, at=NOON)
    return Protocol.objects.get(practice=cast.practice, key="steps")


@pytest.fixture
def draft(protocol: Protocol) -> ProtocolVersion:
    return drafts.draft_begin(protocol=protocol, by=None, at=NOON)


@pytest.fixture
def coach(sign_in, draft):
    return sign_in("coach")


def at(draft: ProtocolVersion, path: str = "") -> str:
    return f"/protocols/{draft.protocol_id}/draft/parts/{path}"


def send(browser, draft: ProtocolVersion, path: str, **typed):
    """Send a form as the page shows it now."""
    draft.refresh_from_db()
    return browser.post(at(draft, path), {"seen": draft.digest, **typed})


def now(draft: ProtocolVersion) -> dict:
    draft.refresh_from_db()
    return draft.document


def seen(browser, page: str) -> str:
    response = browser.get(page)
    assert response.status_code == 200
    return response.content.decode()


def problems(response) -> dict[str, list[str]]:
    assert response.status_code == 200
    return response.context["form"].errors


def test_one_page_says_all_the_parts(coach, draft) -> None:
    words = seen(coach, at(draft))
    for said in ("Settle, then widen.", "Ask your clinician.", "1. Settle", "2. Widen", "No pain; or little"):
        assert said in words
    for said in ("Reflux: Everything", "1. Milk", "Shop", "Add a stage before: Settle"):
        assert said in words
    assert "Milk" in words
    assert "Move up: Widen" in words
    assert "Move up: Settle" not in words
    assert "Move down: Widen" not in words


def test_the_head_is_written_and_can_be_taken_back(coach, draft) -> None:
    before = draft.digest
    page = seen(coach, at(draft, "head/"))
    assert 'value="Steps"' in page
    head = {"title": "Small steps", "summary": "One.", "source": "own", "caution": "", "dietitian": "on"}
    assert send(coach, draft, "head/", **head).status_code == 302
    held = protocol_of(ProtocolVersion.objects.get(pk=draft.pk))
    assert (held.key, held.title, held.caution, held.dietitian) == ("steps", "Small steps", "", True)
    assert edit_state(draft).undo == 1
    assert send(coach, draft, "step/undo/").status_code == 302
    now(draft)
    assert draft.digest == before
    send(coach, draft, "step/redo/")
    assert now(draft)["title"] == "Small steps"


def test_a_head_with_something_missing_keeps_what_was_typed(coach, draft) -> None:
    found = send(coach, draft, "head/", title=" ", summary="Mine.", source="", caution="Careful.")
    assert set(problems(found)) == {"title", "source"}
    assert "Careful." in found.content.decode()
    assert now(draft)["title"] == "Steps"


@pytest.mark.parametrize(
    ("noun", "typed", "row"),
    [
        ("stage", STAGE, {"key": "rest", "title": "Rest", "aim": "Wait.", "least_days": 3, "usual_days": 4}),
        ("modifier", MODIFIER, {"when": "nausea", "group": "roots", "require": "peeled + pureed"}),
        (
            "challenge",
            CHALLENGE,
            {
                "key": "carrot",
                "title": "Carrot",
                "food": "carrot",
                "form": "raw",
                "stage": "widen",
                "doses": ["1 piece", "120 g"],
                "dose_days": 2,
                "washout_days": 0,
                "note": "Grate it.",
            },
        ),
        (
            "lead_in",
            TASK,
            {
                "key": "boil-stock",
                "title": "Boil stock",
                "kind": "cook",
                "days_before": 3,
                "hands_on_min": 20,
                "food": "beet",
            },
        ),
    ],
)
def test_a_row_is_added_then_changed_and_keeps_its_key(coach, draft, noun, typed, row) -> None:
    lists = {"stage": "stages", "modifier": "modifiers", "challenge": "challenges", "lead_in": "lead_in"}
    rows = now(draft)[lists[noun]]
    assert "Add a" in seen(coach, at(draft, f"{noun}/new/"))
    assert send(coach, draft, f"{noun}/new/", **typed).status_code == 302
    assert now(draft)[lists[noun]] == [*rows, row]
    page = seen(coach, at(draft, f"{noun}/{len(rows) + 1}/"))
    assert "Change a" in page
    assert 'name="key"' not in page
    changed = {**typed, "title": "Another", "note": "More."}
    if noun == "modifier":
        changed = {**typed, "about": "", "food": "Cow's milk", "note": "More."}
    assert send(coach, draft, f"{noun}/{len(rows) + 1}/", **changed).status_code == 302
    held = now(draft)[lists[noun]][-1]
    assert held.get("key") == row.get("key")
    assert held.get("title", "Another") == "Another"
    if noun == "modifier":
        assert held == {"when": "nausea", "food": "milk", "require": "peeled + pureed", "note": "More."}
    assert now(draft)[lists[noun]][:-1] == rows


@pytest.mark.parametrize(("noun", "place"), [("stage", 1), ("modifier", 1), ("challenge", 1), ("lead_in", 1)])
def test_a_form_sent_as_it_is_shown_changes_nothing(coach, draft, noun, place) -> None:
    before = draft.digest
    form = coach.get(at(draft, f"{noun}/{place}/")).context["form"]
    shown = {name: form[name].value() or "" for name in form.fields if form[name].value() != []}
    assert coach.post(at(draft, f"{noun}/{place}/"), shown).status_code == 302
    now(draft)
    assert draft.digest == before
    assert edit_state(draft).undo == 0


@pytest.mark.parametrize(
    ("noun", "wrong", "fields"),
    [
        ("stage", {"title": "", "least_days": "9", "usual_days": "4"}, {"title", "usual_days"}),
        ("stage", {"least_days": "many", "aim": ""}, {"least_days", "aim"}),
        ("stage", {"before": "lost"}, {"before"}),
        ("modifier", {"about": ""}, {"about"}),
        ("modifier", {"about": "all", "food": "Carrot"}, {"about"}),
        ("modifier", {"require": []}, {"require"}),
        ("modifier", {"when": "", "about": "", "food": "Karrot"}, {"when", "food"}),
        ("challenge", {"food": "Karrot", "stage": ""}, {"food", "stage"}),
        ("challenge", {"form": [], "doses": "lots", "dose_days": "0"}, {"form", "doses", "dose_days"}),
        ("challenge", {"doses": "1 cup"}, {"doses"}),
        ("challenge", {"doses": "", "washout_days": ""}, {"doses", "washout_days"}),
        ("lead_in", {"kind": "", "days_before": "2", "at_least_days": "5"}, {"kind", "days_before"}),
        ("lead_in", {"title": "x" * 161, "hands_on_min": "-1"}, {"title", "hands_on_min"}),
        ("lead_in", {"note": "a\x00b"}, {"note"}),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_nothing_changes(
    coach, draft, noun, wrong, fields
) -> None:
    right = {"stage": STAGE, "modifier": MODIFIER, "challenge": CHALLENGE, "lead_in": TASK}[noun]
    found = send(coach, draft, f"{noun}/new/", **{**right, **wrong})
    assert set(problems(found)) == fields
    form = found.context["form"]
    assert all(form[name].value() == typed for name, typed in {**right, **wrong}.items())
    assert edit_state(draft).undo == 0


def test_choices_left_empty_are_asked_for_in_words_of_the_screen(coach, draft) -> None:
    for noun, wrong, said in (
        ("challenge", {"form": [], "stage": ""}, ("Choose the stage.", "Tick how it is prepared.")),
        ("modifier", {"when": "", "about": ""}, ("Choose when it holds.", "Name the food in the next field")),
        ("modifier", {"about": "all", "food": "Carrot"}, ("Empty the next field",)),
        ("lead_in", {"kind": ""}, ("Choose the kind.",)),
    ):
        right = {"modifier": MODIFIER, "challenge": CHALLENGE, "lead_in": TASK}[noun]
        words = str(problems(send(coach, draft, f"{noun}/new/", **{**right, **wrong})))
        assert all(one in words for one in said)


def test_titles_make_keys_that_no_other_row_has(coach, draft) -> None:
    for title in ("Settle", "Ψωμί", "Ψωμί"):
        assert send(coach, draft, "stage/new/", **{**STAGE, "title": title}).status_code == 302
    assert [row["key"] for row in now(draft)["stages"]] == ["settle", "widen", "settle-2", "stage", "stage-2"]


def test_a_stage_comes_before_another(coach, draft) -> None:
    assert '<option value="widen" selected>' in seen(coach, at(draft, "stage/new/?before=widen"))
    send(coach, draft, "stage/new/", **STAGE, before="widen")
    assert [row["key"] for row in now(draft)["stages"]] == ["settle", "rest", "widen"]
    assert "3. Widen" in seen(coach, at(draft))


def test_a_stage_that_moved_says_what_closes_again(coach, draft) -> None:
    assert send(coach, draft, "stage/2/move/up/").status_code == 302
    assert [row["key"] for row in now(draft)["stages"]] == ["widen", "settle"]
    words = seen(coach, at(draft))
    assert "Beet at Settle: “Not yet” after “Freely”" in words
    assert "to be mended" in words
    send(coach, draft, "stage/1/move/down/")
    assert "to be mended" not in seen(coach, at(draft))


def test_challenges_move_and_rows_are_removed(coach, draft) -> None:
    send(coach, draft, "challenge/new/", **CHALLENGE)
    send(coach, draft, "challenge/1/move/down/")
    assert [row["key"] for row in now(draft)["challenges"]] == ["carrot", "milk"]
    assert "Remove" in seen(coach, at(draft, "modifier/1/remove/"))
    for noun in ("modifier", "challenge", "lead_in"):
        assert send(coach, draft, f"{noun}/1/remove/").status_code == 302
    held = now(draft)
    assert [row["key"] for row in held["challenges"]] == ["milk"]
    assert "modifiers" not in held
    assert "lead_in" not in held
    assert "None." in seen(coach, at(draft))


def test_a_stage_says_what_goes_with_it_and_asks(coach, draft) -> None:
    words = seen(coach, at(draft, "stage/1/remove/"))
    assert "2 rows of the rules table stand at this stage." in words
    assert "all roots; Beet." in words
    assert "1 planned introduction:" in words
    found = send(coach, draft, "stage/1/remove/")
    assert set(problems(found)) == {"rows"}
    assert len(now(draft)["stages"]) == 2


@pytest.mark.parametrize(
    ("choice", "rules", "challenges"),
    [("remove", [("beet", "freely")], 0), ("move", [("", "as prepared"), ("beet", "freely")], 1)],
)
def test_a_stage_goes_with_what_it_opens_or_hands_it_on(coach, draft, choice, rules, challenges) -> None:
    before = draft.digest
    assert send(coach, draft, "stage/1/remove/", rows=choice).status_code == 302
    held = now(draft)
    assert [row["key"] for row in held["stages"]] == ["widen"]
    assert [(row.get("food", ""), row["allowance"]) for row in held["rules"]] == rules
    assert {row["stage"] for row in held["rules"]} == {"widen"}
    assert len(held.get("challenges", ())) == challenges
    send(coach, draft, "step/undo/")
    now(draft)
    assert draft.digest == before


def test_the_last_stage_hands_nothing_on_and_the_only_one_stays(coach, draft) -> None:
    assert "It is the last stage" in seen(coach, at(draft, "stage/2/remove/"))
    assert set(problems(send(coach, draft, "stage/2/remove/", rows="move"))) == {"rows"}
    assert send(coach, draft, "stage/2/remove/", rows="remove").status_code == 302
    assert coach.get(at(draft, "stage/1/remove/"), follow=True).status_code == 200
    send(coach, draft, "stage/1/remove/", rows="remove")
    assert [row["key"] for row in now(draft)["stages"]] == ["settle"]


def test_a_stage_without_rows_is_removed_without_a_choice(coach, draft) -> None:
    send(coach, draft, "stage/new/", **STAGE)
    assert "Nothing else goes with it." in seen(coach, at(draft, "stage/3/remove/"))
    assert send(coach, draft, "stage/3/remove/").status_code == 302
    assert len(now(draft)["stages"]) == 2


def test_an_edit_made_on_what_another_window_changed_is_refused(coach, draft) -> None:
    old = draft.digest
    send(coach, draft, "lead_in/1/remove/")
    head = {"title": "Mine", "summary": "Mine.", "source": "mine"}
    for path, typed in (
        ("head/", head),
        ("stage/new/", STAGE),
        ("stage/1/", STAGE),
        ("lead_in/1/", TASK),
        ("modifier/new/", MODIFIER),
    ):
        found = coach.post(at(draft, path), {"seen": old, **typed})
        assert "changed in another window" in str(problems(found)["__all__"])
        assert all(found.context["form"][name].value() == value for name, value in typed.items())
    for path, typed in (
        ("stage/2/move/up/", {}),
        ("stage/2/remove/", {"rows": "remove"}),
        ("modifier/1/remove/", {}),
        ("lead_in/1/remove/", {}),
        ("challenge/9/move/up/", {}),
        ("step/undo/", {}),
    ):
        found = coach.post(at(draft, path), {"seen": old, **typed}, follow=True)
        assert "changed in another window" in found.content.decode()
    now(draft)
    assert edit_state(draft).undo == 1


@pytest.mark.parametrize(
    "path",
    [
        "rule/new/",
        "rule/1/",
        "stages/1/",
        "stage/0/",
        "stage/3/",
        "stage/9999999999999999999999/",
        "modifier/2/remove/",
        "lead_in/9/remove/",
    ],
)
def test_parts_the_draft_does_not_have(coach, draft, path) -> None:
    assert coach.get(at(draft, path)).status_code == 404
    assert send(coach, draft, path).status_code == 404


@pytest.mark.parametrize(
    "path", ["stage/1/move/sideways/", "stage/1/move/", "modifier/1/move/up/", "step/forth/"]
)
def test_ways_there_are_not(coach, draft, path) -> None:
    assert send(coach, draft, path).status_code == 404


PATHS = ("", "head/", "stage/new/", "stage/1/", "stage/1/remove/", "lead_in/1/", "modifier/1/remove/")


@pytest.mark.parametrize("role", ["assistant", "client", "foreign_coach"])
def test_only_coaches_of_the_practice_write_parts(sign_in, draft, role) -> None:
    browser = sign_in(role)
    for path in PATHS:
        assert browser.get(at(draft, path)).status_code == 404
    for path in ("head/", "stage/1/", "stage/1/remove/", "stage/1/move/down/", "step/undo/"):
        assert send(browser, draft, path, **STAGE, rows="remove").status_code == 404
    assert edit_state(draft).undo == 0


def test_a_published_version_has_no_parts_to_write(sign_in, protocol) -> None:
    assert sign_in("coach").get(f"/protocols/{protocol.pk}/draft/parts/").status_code == 404


@pytest.mark.parametrize("count", [0, 30])
def test_the_page_asks_as_much_for_many_parts_as_for_few(
    coach, draft, django_assert_max_num_queries, count
) -> None:
    """Session, person, member; the draft, the foods, the recipes, the edits."""
    document = now(draft)
    for part in ("stages", "challenges", "lead_in"):
        row = document[part][0]
        document[part] += [{**row, "key": f"{row['key']}-{number}"} for number in range(count)]
    document["modifiers"] *= count + 1
    drafts.draft_rewrite(draft=draft, seen=draft.digest, document=document, by=None, at=NOON)
    with django_assert_max_num_queries(7):
        seen(coach, at(draft))
    with django_assert_max_num_queries(5):
        seen(coach, at(draft, "challenge/1/"))


# A new protocol, and protocols that are only a draft yet


def begin(browser, **typed):
    return browser.post("/protocols/new/", typed)


def test_a_new_protocol_begins_as_a_copy(sign_in, protocol) -> None:
    browser, version = sign_in("coach"), protocol.versions.get()
    assert "New protocol" in seen(browser, "/protocols/")
    assert "Steps, version 1" in seen(browser, "/protocols/new/")
    answer = begin(browser, title="Own steps", like=version.pk)
    own = Protocol.objects.get(key="own-steps")
    assert answer.url == f"/protocols/{own.pk}/draft/parts/"
    held = protocol_of(draft_of(own))
    assert (held.title, held.rules) == ("Own steps", protocol_of(version).rules)
    assert "only a draft yet" in seen(browser, "/protocols/")
    assert browser.get(f"/protocols/{own.pk}/").url == f"/protocols/{own.pk}/draft/"
    assert browser.get(f"/protocols/{own.pk}/1/").status_code == 404
    assistant = sign_in("assistant")
    assert "Own steps" not in seen(assistant, "/protocols/")
    assert assistant.get(f"/protocols/{own.pk}/").status_code == 404


def test_a_title_no_key_can_be_made_of_gets_one_of_its_own(sign_in, protocol) -> None:
    for title in ("Βήματα", "Άλλα"):
        assert begin(sign_in("coach"), title=title, like=protocol.versions.get().pk).status_code == 302
    keys = Protocol.objects.filter(practice=protocol.practice).values_list("key", flat=True)
    assert {"protocol", "protocol-2"} <= set(keys)


@pytest.mark.parametrize("title", ["", "Steps", "x" * 161, "x" * 500])
def test_a_new_protocol_needs_a_title_of_its_own(sign_in, protocol, title) -> None:
    before = Protocol.objects.count()
    found = begin(sign_in("coach"), title=title, like=protocol.versions.get().pk)
    assert set(problems(found)) == {"title"}
    assert found.context["form"]["title"].value() == title
    assert Protocol.objects.count() == before


def test_what_may_be_copied(cast, sign_in, protocol, draft) -> None:
    foreign = ProtocolVersion.objects.get(protocol__practice=cast.foreign_coach.practice)
    for like in (foreign.pk, draft.pk, "x", ""):
        assert set(problems(begin(sign_in("coach"), title="Own", like=like))) == {"like"}
    for role in ("assistant", "client"):
        assert sign_in(role).get("/protocols/new/").status_code == 404
        assert begin(sign_in(role), title="Own", like=draft.basis_id).status_code == 404


def test_a_practice_without_protocols_is_told_to_hand_one_in(cast, sign_in) -> None:
    ProtocolVersion.objects.filter(protocol__practice=cast.practice).update(published_at=None)
    assert "Hand in a protocol" in seen(sign_in("coach"), "/protocols/new/")


def test_the_list_says_which_protocols_have_a_draft(sign_in, draft) -> None:
    assert "A draft is open" in seen(sign_in("coach"), "/protocols/")
    assert "A draft is open" not in seen(sign_in("assistant"), "/protocols/")


@pytest.mark.parametrize("count", [1, 20])
def test_the_list_asks_as_much_for_many_drafts_as_for_few(
    cast, sign_in, protocol, django_assert_max_num_queries, count
) -> None:
    """Session, person, member; the versions, the drafts."""
    like = protocol.versions.get()
    for number in range(count):
        head = {"key": f"own-{number}", "title": f"Own {number}"}
        drafts.protocol_begin(practice=cast.practice, head=head, like=like, by=None, at=NOON)
    browser = sign_in("coach")
    with django_assert_max_num_queries(5):
        seen(browser, "/protocols/")


def test_a_task_of_a_chain_is_written_by_names_and_ticks(coach, draft) -> None:
    chain = {
        **TASK,
        "after": ["shop"],
        "needs": "Cow's milk\r\n\r\ncarrot",
        "makes": "Beet",
        "wait_least_h": "24",
    }
    assert send(coach, draft, "lead_in/new/", **chain).status_code == 302
    held = now(draft)["lead_in"][-1]
    assert (held["after"], held["needs"], held["makes"], held["wait_least_h"]) == (
        ["shop"],
        ["milk", "carrot"],
        ["beet"],
        24,
    )
    page = seen(coach, at(draft, "lead_in/2/"))
    assert "Cow&#x27;s milk\nCarrot" in page
    assert 'value="shop"' in page
    assert 'value="boil-stock"' not in page
    assert "Comes after: Shop." in seen(coach, at(draft, ""))
    assert send(coach, draft, "lead_in/1/remove/").status_code == 302
    assert "after" not in now(draft)["lead_in"][0]
