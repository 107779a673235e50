"""The rules table editor's pages: the table, the panel, edits with and without a script, comparing and publishing."""

import json

import pytest

from plans.models import Food, Protocol, ProtocolVersion
from plans.selectors import draft_of, edit_state, protocol_of
from plans.services.drafts import cells_set, draft_begin
from plans.services.foods import foods_import
from plans.services.protocols import protocol_import
from plans.services.recipes import recipes_import
from tests.factories import NOON, SMALL_PROTOCOL, FoodFactory

pytestmark = pytest.mark.usefixtures("noon")

FOODS = """\
schema: ladlework/foods/1
foods:
  - {key: carrot, name: Carrot, names: [carotte], group: soft roots, aisle: vegetables, unit_weights: {piece: 61}}
  - {key: beet, name: Beet, names: [rote Bete], group: soft roots, aisle: vegetables}
  - {key: butter, name: Butter, group: fats, aisle: fats, families: [milk]}
"""
RECIPES = """\
schema: ladlework/recipes/1
recipes:
  - key: soup
    title: Carrot soup
    kind: main
    slots: [midday]
    main: soup
    servings: 4
    portion: 400 ml
    ingredients: [{quantity: 3, unit: piece, food: carrot, form: boiled + peeled}]
    steps: [Boil.]
    hands_on_min: 10
    elapsed_min: 30
    fridge_days: 3
    freezer_days: 90
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
  - {key: table, title: Table, aim: All food., least_days: 5, usual_days: 10}
rules:
  - {group: soft roots, stage: settle, allowance: as prepared, forms: [boiled + peeled], note: Soft.}
  - {food: carrot, stage: widen, allowance: as prepared, forms: [boiled]}
  - {food: carrot, stage: table, allowance: freely}
"""


@pytest.fixture
def protocol(cast) -> Protocol:
    for service, text in ((foods_import, FOODS), (recipes_import, RECIPES), (protocol_import, PROTOCOL)):
        service(practice=cast.practice, text=text, by=None, at=NOON)
    return Protocol.objects.get(practice=cast.practice, key="steps")


@pytest.fixture
def draft(protocol) -> ProtocolVersion:
    return draft_begin(protocol=protocol, by=None, at=NOON)


@pytest.fixture
def coach(sign_in):
    return sign_in("coach")


def page(browser, draft: ProtocolVersion, path: str = "", **query):
    return browser.get(f"/protocols/{draft.protocol_id}/draft/{path}", query)


def words(response) -> str:
    return " ".join(response.content.decode().split())


def edit(browser, draft: ProtocolVersion, seen: str | None = None, **fields):
    """An edit as the script asks for it."""
    draft.refresh_from_db()
    data = {"seen": draft.digest if seen is None else seen, **fields}
    return browser.post(
        f"/protocols/{draft.protocol_id}/draft/edit/", data, headers={"Accept": "application/json"}
    )


def post(browser, draft: ProtocolVersion, path: str, **fields):
    draft.refresh_from_db()
    return browser.post(
        f"/protocols/{draft.protocol_id}/draft/{path}", {"seen": draft.digest, **fields}, follow=True
    )


def rule(draft: ProtocolVersion, food: str, stage: str):
    draft.refresh_from_db()
    return next((rule for rule in protocol_of(draft).rules if (rule.food, rule.stage) == (food, stage)), None)


def shown_rows(response) -> list[str]:
    """The targets of the rows that are not hidden."""
    rows = response.content.decode().split("<tr data-target=")[1:]
    return [row.split('"')[1] for row in rows if "hidden" not in row.split(">", 1)[0]]


def test_a_draft_is_begun_from_the_protocols_page_and_gone_on_with(coach, protocol) -> None:
    assert "Change the rules" in words(coach.get(f"/protocols/{protocol.pk}/"))
    begun = coach.post(f"/protocols/{protocol.pk}/draft/begin/", follow=True)
    assert "Steps: draft" in words(begun)
    assert "Go on with the draft" in words(coach.get(f"/protocols/{protocol.pk}/"))
    coach.post(f"/protocols/{protocol.pk}/draft/begin/")
    assert protocol.versions.filter(published_at=None).count() == 1


def test_an_assistant_sees_no_draft(sign_in, draft) -> None:
    assert page(sign_in("assistant"), draft).status_code == 404
    assert "draft" not in words(sign_in("assistant").get(f"/protocols/{draft.protocol_id}/"))


def test_every_cell_says_in_a_sentence_what_holds_and_why(coach, draft) -> None:
    said = words(page(coach, draft))
    assert "Carrot at Settle: not yet; nothing opens it." in said
    assert "Carrot at Widen: as prepared, boiled; a row of its own here." in said
    assert "Beet at Widen: as prepared, boiled, peeled; from the group soft roots, since Settle." in said
    assert "Soft roots at Table: as prepared, boiled, peeled; carried on from its row at Settle." in said
    assert 'role="grid"' in said


@pytest.mark.parametrize(
    ("query", "targets"),
    [
        ({"q": "carotte"}, ["group:soft roots", "food:carrot"]),
        ({"q": "ROTE-BÉTE"}, ["group:soft roots", "food:beet"]),
        ({"q": "fats"}, ["group:fats", "food:butter"]),
        ({"group": "soft roots"}, ["group:soft roots", "food:beet", "food:carrot"]),
        ({"only": "own"}, ["group:soft roots", "food:carrot"]),
        ({"only": "mend"}, []),
        ({"q": "no such thing"}, []),
    ],
)
def test_rows_are_sieved_without_a_script(coach, draft, query, targets) -> None:
    assert shown_rows(page(coach, draft, **query)) == targets


def test_one_stage_can_be_shown_alone_and_a_strange_one_shows_all(coach, draft) -> None:
    assert words(page(coach, draft, stage="widen")).count('data-stage="settle" hidden') == 1
    assert (
        " hidden>" not in words(page(coach, draft, stage="nowhere")).split("<thead>")[1].split("</thead>")[0]
    )


def test_an_edit_answers_with_the_rows_it_changed_and_what_to_mend(coach, draft) -> None:
    answer = edit(coach, draft, do="set", cell="food:beet@settle", allowance="freely").json()
    assert set(answer["rows"]) == {"food:beet"}
    assert "Beet at Settle: freely" in answer["rows"]["food:beet"]
    assert (answer["undo"], answer["redo"], answer["mend_count"]) == (1, 0, 0)
    assert answer["said"] == "Beet at Settle: freely; a row of its own here."
    closes = edit(coach, draft, do="set", cell="food:beet@widen", allowance="not yet").json()
    assert closes["mend_count"] == 1
    assert 'data-cell="food:beet@widen"' in closes["mend"]
    assert shown_rows(page(coach, draft, only="mend")) == ["group:soft roots", "food:beet"]


def test_an_edit_of_a_group_answers_with_the_foods_that_follow_it(coach, draft) -> None:
    answer = edit(coach, draft, do="set", cell="group:soft roots@table", allowance="freely").json()
    assert set(answer["rows"]) == {"group:soft roots", "food:beet"}


def test_many_cells_are_set_at_once_and_taken_back_at_once(coach, draft) -> None:
    cells = "food:beet@table\nfood:butter@settle\nfood:butter@widen\nfood:butter@table\nfood:carrot@widen"
    answer = edit(coach, draft, do="set", cells=cells, allowance="freely").json()
    assert answer["said"].endswith("cells changed.")
    assert rule(draft, "butter", "settle").allowance.word == "freely"
    assert rule(draft, "butter", "widen") is None, "a row that only repeats what holds is left out"
    back = edit(coach, draft, do="undo").json()
    assert (back["undo"], back["redo"]) == (0, 1)
    assert rule(draft, "butter", "settle") is None
    assert edit(coach, draft, do="redo").json()["redo"] == 0


def test_what_changes_nothing_says_so(coach, draft) -> None:
    answer = edit(coach, draft, do="set", cell="food:carrot@table", allowance="freely").json()
    assert (answer["said"], answer["undo"]) == ("Nothing changed: this held already.", 0)


def test_fields_that_were_not_changed_or_do_not_belong_are_left(coach, draft) -> None:
    fields = {
        "allowance": "freely",
        "shown-allowance": "as prepared",
        "forms": "boiled",
        "shown-forms": "boiled",
        "start": "5 g",
        "note": "Any way.",
        "shown-note": "",
    }
    assert edit(coach, draft, do="set", cell="food:carrot@widen", **fields).status_code == 200
    now = rule(draft, "carrot", "widen")
    assert (now.allowance.word, now.forms, now.start, now.note) == ("freely", (), None, "Any way.")


def test_a_refusal_says_what_to_do_and_changes_nothing(coach, draft) -> None:
    answer = edit(coach, draft, do="set", cell="food:butter@widen", allowance="first tastes", start="a lot")
    assert answer.status_code == 409
    (problem,) = [one for one in answer.json()["problems"] if one["field"] == "start"]
    assert problem["message"] and problem["fix"]
    assert "food:butter" in answer.json()["rows"]
    assert edit_state(draft).undo == 0


def test_an_edit_on_what_another_window_changed_is_refused(coach, draft) -> None:
    edit(coach, draft, do="set", cell="food:beet@settle", allowance="freely")
    late = edit(coach, draft, seen="0" * 64, do="clear", cell="food:beet@settle")
    assert (late.status_code, late.json()["stale"]) == (409, True)
    assert rule(draft, "beet", "settle") is not None


@pytest.mark.parametrize("do", ["", "nonsense", "undo", "redo", "clear", "set"])
def test_an_edit_without_sense_is_refused_in_words(coach, draft, do) -> None:
    answer = edit(coach, draft, do=do)
    assert answer.status_code == 409
    assert answer.json()["problems"][0]["message"]
    assert post(coach, draft, "edit/", do=do).status_code == 200


@pytest.mark.parametrize(
    "cell", ["", "carrot", "food:carrot", "food:carrot@nowhere", "food:nothing@settle", "@"]
)
def test_a_cell_the_table_has_not_got_is_refused(coach, draft, cell) -> None:
    assert edit(coach, draft, do="set", cell=cell, allowance="freely").status_code == 409


def test_the_panel_tells_where_it_comes_from_and_what_recipes_it_decides_about(coach, draft) -> None:
    said = words(page(coach, draft, "panel/", cell="food:carrot@settle"))
    assert "nothing opens it" in said
    assert "Carrot soup</a>: possible from Widen" in said
    edit(coach, draft, do="set", cell="food:carrot@settle", allowance="freely")
    said = words(page(coach, draft, "panel/", cell="food:carrot@settle"))
    assert "possible from Settle; <strong>in the published version from Widen" in said


def test_the_panel_of_several_cells_shows_what_they_have_in_common(coach, draft) -> None:
    cells = ["group:soft roots@settle", "food:carrot@widen"]
    said = words(page(coach, draft, "panel/", cell=cells))
    assert "2 cells" in said
    assert 'value="as prepared" checked' in said
    assert "Differs from cell to cell." in said
    by_post = words(post(coach, draft, "panel/", cells="\n".join(cells)))
    assert "2 cells" in by_post


def test_the_panel_without_a_cell_or_with_a_strange_one(coach, draft) -> None:
    assert "Choose a cell" in words(page(coach, draft, "panel/"))
    assert page(coach, draft, "panel/", cell="food:carrot@nowhere").status_code == 404


def test_without_a_script_a_refused_row_comes_back_as_typed(coach, draft) -> None:
    answer = post(
        coach,
        draft,
        "edit/",
        do="set",
        cells="food:butter@widen",
        allowance="first tastes",
        start="a lot",
        note="By the <spoon>",
    )
    said = words(answer)
    assert 'value="a lot"' in said
    assert "By the &lt;spoon&gt;" in said
    assert 'value="first tastes" checked' in said
    done = post(
        coach, draft, "edit/", do="set", cells="food:butter@widen", allowance="first tastes", start="5 g"
    )
    assert "Butter at Widen: first tastes" in words(done)
    assert rule(draft, "butter", "widen").start is not None


def test_what_is_left_open_leads_to_its_cells(coach, draft) -> None:
    edit(coach, draft, do="set", cell="food:beet@table", allowance="as prepared", forms="raw + grated")
    said = words(page(coach, draft, "gaps/"))
    assert "Forms that no recipe cooks" in said
    assert 'data-cell="food:beet@table"' in said
    assert "First" not in said


def test_the_draft_is_compared_in_words_and_published(coach, draft) -> None:
    edit(coach, draft, do="set", cell="food:beet@widen", allowance="freely")
    said = words(page(coach, draft, "changes/"))
    assert "Compared with version 1" in said
    assert "<strong>Beet</strong>" in said
    published = post(coach, draft, "publish/")
    assert "Version 2 is published." in words(published)
    assert published.redirect_chain[-1][0] == f"/protocols/{draft.protocol_id}/"
    draft.refresh_from_db()
    assert draft.published_at == NOON
    assert page(coach, draft).status_code == 404


def test_a_draft_with_something_to_mend_or_nothing_new_is_not_published(coach, draft) -> None:
    assert "Not published." in words(post(coach, draft, "publish/"))
    edit(coach, draft, do="set", cell="food:carrot@settle", allowance="freely")
    said = words(post(coach, draft, "publish/"))
    assert "Not published." in said
    assert 'data-cell="food:carrot@widen"' in said
    draft.refresh_from_db()
    assert draft.published_at is None


def test_discarding_asks_first_and_minds_another_window(coach, draft) -> None:
    edit(coach, draft, do="set", cell="food:beet@widen", allowance="freely")
    assert "1 change is thrown away" in words(page(coach, draft, "discard/"))
    late = coach.post(f"/protocols/{draft.protocol_id}/draft/discard/", {"seen": "old"})
    assert "another window" in words(late)
    assert "The draft is discarded." in words(post(coach, draft, "discard/"))
    assert draft_of(draft.protocol) is None


def wide_draft(cast, foods: int, stages: int) -> ProtocolVersion:
    """A draft of ``foods`` × ``stages``, a row for every third food."""
    made = [FoodFactory.build(practice=cast.practice, group=f"group {n % 20}") for n in range(foods)]
    Food.objects.bulk_create(made)
    keys = [f"stage-{n}" for n in range(stages)]
    document = SMALL_PROTOCOL | {
        "stages": [
            {"key": key, "title": key.title(), "aim": "On.", "least_days": 5, "usual_days": 10}
            for key in keys
        ],
        "rules": [
            {"food": food.key, "stage": keys[n % stages], "allowance": "freely"}
            for n, food in enumerate(made)
            if n % 3 == 0
        ],
    }
    version = cast.version
    version.document, version.digest = document, f"{foods}-{stages}"
    version.save()
    return draft_begin(protocol=version.protocol, by=None, at=NOON)


@pytest.mark.parametrize(("foods", "stages"), [(30, 3), (300, 8)])
def test_pages_ask_the_database_as_much_for_a_large_table_as_for_a_small_one(
    cast, coach, django_assert_num_queries, foods, stages
) -> None:
    draft = wide_draft(cast, foods, stages)
    cell = f"food:{Food.objects.filter(practice=cast.practice).first().key}@stage-0"
    with django_assert_num_queries(6):
        assert page(coach, draft).status_code == 200
    with django_assert_num_queries(8):
        assert page(coach, draft, "panel/", cell=cell).status_code == 200
    with django_assert_num_queries(6):
        assert page(coach, draft, "gaps/").status_code == 200
    data = {"seen": draft.digest, "do": "set", "cell": cell, "allowance": "freely", "note": "New."}
    with django_assert_num_queries(14):
        answer = coach.post(
            f"/protocols/{draft.protocol_id}/draft/edit/", data, headers={"Accept": "application/json"}
        )
    assert json.loads(answer.content)["undo"] == 1


def test_an_edit_by_a_service_beside_it_is_seen_by_the_page(coach, draft) -> None:
    cells_set(
        draft=draft,
        seen=draft.digest,
        cells=["food:butter@table"],
        values={"allowance": "freely"},
        by=None,
        at=NOON,
    )
    assert "Butter at Table: freely" in words(page(coach, draft))
