"""The command brings a file in whole, prints its id, and says everything that is wrong."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from clients.models import Household
from coaching.practice.models import Practice
from tests.clients.domain.test_household_file import example
from tests.factories import FoodFactory, ProtocolFactory, ProtocolVersionFactory


@pytest.fixture
def book(cast):
    """The foods and the protocol the example names."""
    for key in ("egg", "beef-liver"):
        FoodFactory(practice=cast.practice, key=key)
    protocol = ProtocolFactory(practice=cast.practice, key="hearth-five")
    return ProtocolVersionFactory(protocol=protocol)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """The example, on a stage of the small protocol, with a day one that has passed."""
    path = tmp_path / "reed.yaml"
    text = example().replace("stage: settle", "stage: second").replace("2026-12-07", "2026-05-01")
    path.write_text(text.replace("on: 2026-11-20", "on: 2026-04-20"), "utf-8")
    return path


def run(file: Path, **options) -> str:
    out = StringIO()
    call_command("import_household", str(file), stdout=out, **{"practice": "here", **options})
    return out.getvalue().strip()


def test_a_household_is_brought_in_and_its_id_printed(cast, book, file, noon):
    made = Household.objects.get(pk=run(file))
    assert (made.name, made.coach, made.practice) == ("Reed", cast.owner, cast.practice)
    eater = made.eaters.get()
    assert eater.client == made.clients.get()
    assert eater.enrolments.get().version == book
    assert eater.enrolments.get().spells.get().stage == "second"
    assert made.clients.get().consents.get().text == cast.practice.client_agreement
    assert made.wants == ["time", "stores", "variety", "likes", "nourishment", "leaning"]
    assert eater.away == [["mon", "midday"], ["fri", "midday"], ["fri", "evening"]]
    assert made.kitchen["out"] == ["tue", "thu"]


def test_a_coach_is_named_by_address(cast, book, file, noon):
    assert Household.objects.get(pk=run(file, coach="Coach@example.org")).coach == cast.coach


def test_everything_wrong_is_said_at_once_and_nothing_is_made(cast, book, file, noon):
    file.write_text(
        file.read_text("utf-8").replace("[milk]", "[dairy]").replace("1986-04-12", "soon"), "utf-8"
    )
    with pytest.raises(CommandError) as failed:
        run(file)
    assert "line 8, born of eater 1" in str(failed.value)
    assert "line 13, allergies of eater 1" in str(failed.value)
    assert not Household.objects.filter(name="Reed").exists()


def test_the_house_itself_may_refuse(cast, book, file, noon):
    Practice.objects.filter(pk=cast.practice.pk).update(rules_checked_at=None)
    with pytest.raises(CommandError, match="not set up"):
        run(file)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"practice": "nowhere"}, "no practice"),
        ({"coach": "client@example.org"}, "no coach"),
        ({"coach": "foreign@example.org"}, "no coach"),
    ],
)
def test_an_unknown_practice_or_coach_is_named(cast, book, file, options: dict, said: str):
    with pytest.raises(CommandError, match=said):
        run(file, **options)


def test_a_file_that_cannot_be_read_is_named(cast, tmp_path):
    with pytest.raises(CommandError, match=r"missing\.yaml"):
        run(tmp_path / "missing.yaml")
    broken = tmp_path / "broken.yaml"
    broken.write_bytes(b"schema: \xff\xfe\x00")
    with pytest.raises(CommandError, match="cannot be read"):
        run(broken)
