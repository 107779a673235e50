"""The commands say what they did, or every problem, and then end with 1."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from plans.models import Food, ProtocolVersion, Recipe
from plans.selectors import book_of
from tests.factories import PracticeFactory
from tests.plans.test_services import FOODS, PROTOCOL, RECIPES

pytestmark = pytest.mark.django_db


@pytest.fixture
def practice():
    return PracticeFactory(slug="here")


@pytest.fixture
def file(tmp_path: Path):
    def written(text: str, name: str = "file.yaml") -> str:
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return str(path)

    return written


def run(command: str, *args: str) -> str:
    out = StringIO()
    call_command(command, *args, stdout=out)
    return out.getvalue()


def test_each_kind_of_file_is_filed(practice, file) -> None:
    assert run("import_foods", file(FOODS)) == "3 are new, 0 change, 0 stay as they are.\n"
    assert run("import_recipes", file(RECIPES)) == "1 is new, 0 change, 0 stay as they are.\n"
    assert run("import_protocol", file(PROTOCOL)) == "“Small” is published as version 1.\n"
    assert run("import_protocol", file(PROTOCOL)).startswith("Nothing changes: version 1")
    assert (Food.objects.count(), Recipe.objects.count(), ProtocolVersion.objects.count()) == (3, 1, 1)


def test_checking_changes_nothing(practice, file) -> None:
    run("import_foods", file(FOODS))
    assert run("import_protocol", file(PROTOCOL), "--check").startswith(
        "Checked only: “Small” can be published"
    )
    assert ProtocolVersion.objects.count() == 0


def test_every_problem_has_a_line_and_the_end_is_1(practice, file) -> None:
    run("import_foods", file(FOODS))
    err = StringIO()
    broken = PROTOCOL.replace("least_days: 5", "least_days: 50").replace("carrot", "carot")
    with pytest.raises(SystemExit) as ended:
        call_command("import_protocol", file(broken), stderr=err)
    assert ended.value.code == 1
    first, second, last = err.getvalue().splitlines()
    assert first.startswith("file.yaml: line 7, usual_days of stage 1: ")
    assert second == "file.yaml: line 9, food of rule 1: There is no food “carot”. Did you mean “carrot”?"
    assert last == "2 problems; nothing was changed."
    assert ProtocolVersion.objects.count() == 0


def test_a_file_that_is_no_text_is_a_problem(practice, tmp_path: Path) -> None:
    path = tmp_path / "foods.csv"
    path.write_bytes("schema,name\nladlework/foods/1,crème\n".encode("cp1252"))
    err = StringIO()
    with pytest.raises(SystemExit):
        call_command("import_foods", str(path), stderr=err)
    assert "line 2" in err.getvalue()
    assert "UTF-8" in err.getvalue()


def test_a_file_that_is_not_there_is_said(practice, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read"):
        run("import_foods", str(tmp_path / "none.yaml"))


def test_among_several_practices_one_is_named(practice, file) -> None:
    other = PracticeFactory(slug="there")
    with pytest.raises(CommandError, match="one of: here, there"):
        run("import_foods", file(FOODS))
    with pytest.raises(CommandError, match="no practice “elsewhere”"):
        run("import_foods", file(FOODS), "--practice", "elsewhere")
    run("import_foods", file(FOODS), "--practice", "there")
    assert set(Food.objects.values_list("practice", flat=True)) == {other.pk}


def test_without_a_practice_there_is_nowhere_to_file(file) -> None:
    with pytest.raises(CommandError, match="no practice yet"):
        run("import_foods", file(FOODS))


def test_an_exported_book_can_be_imported_again(practice, file, tmp_path: Path) -> None:
    run("import_foods", file(FOODS))
    run("import_recipes", file(RECIPES))
    run("import_protocol", file(PROTOCOL))
    written = run("export_book", str(tmp_path / "book")).splitlines()
    assert [Path(path).name for path in written] == ["foods.yaml", "recipes.yaml", "protocol-small.yaml"]
    other = PracticeFactory(slug="there")
    for command, path in zip(("import_foods", "import_recipes", "import_protocol"), written, strict=True):
        run(command, path, "--practice", "there")
    assert book_of(other) == book_of(practice)
    assert len(set(ProtocolVersion.objects.values_list("digest", flat=True))) == 1
