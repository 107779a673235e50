"""The commands that plan and print at a terminal, from end to end: the real planner, the real PDF."""

import json
from datetime import date
from io import BytesIO, StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from pypdf import PdfReader

from clients.models import Packet, Week
from coaching.outbox.models import OwedWork
from plans.domain.brief_json import brief_from_record, week_from_record

POINTS = {"a4": (595, 842), "letter": (612, 792)}


def run(*args: str) -> str:
    out = StringIO()
    call_command(*args, stdout=out)
    return out.getvalue()


def test_a_week_is_printed_as_text_and_written_as_json_with_its_brief(home, tmp_path):
    path = tmp_path / "week.json"
    said = run("plan_week", str(home.pk), "--start", "2026-06-15", "--json", str(path))
    assert "Alder, 15 to 21 June 2026" in said
    assert said.count("Breakfast ") == 7
    written = json.loads(path.read_text(encoding="utf-8"))
    week, brief = week_from_record(written["week"]), brief_from_record(written["brief"])
    assert week.start == brief.start == date(2026, 6, 15)


def test_the_same_question_gets_the_same_week(home, tmp_path):
    first, second = tmp_path / "one.json", tmp_path / "two.json"
    for path in (first, second):
        run("plan_week", str(home.pk), "--start", "2026-06-15", "--json", str(path))
    assert first.read_bytes() == second.read_bytes()


def test_no_week_leaves_with_the_reasons_in_words(home):
    home.kitchen = home.kitchen | {"hands_on_min": {}}
    home.save(update_fields=["kitchen"])
    with pytest.raises(CommandError) as failed:
        run("plan_week", str(home.pk), "--start", "2026-06-15")
    assert failed.value.returncode == 1
    assert "No week fits. What stands in the way:" in str(failed.value)
    assert "the shortest dish for the breakfast takes 10" in str(failed.value)
    assert "Find 60 more minutes on Monday 15 June." in str(failed.value)
    assert_untouched()


def assert_untouched():
    """A command that is refused leaves no row behind."""
    assert not Week.objects.exists()
    assert not Packet.objects.exists()
    assert not OwedWork.objects.exists()


def test_no_week_means_no_packet_and_nothing_is_left_behind(home, tmp_path):
    home.kitchen = home.kitchen | {"hands_on_min": {}}
    home.save(update_fields=["kitchen"])
    with pytest.raises(CommandError, match="No week fits"):
        run("make_packet", str(home.pk), "--out", str(tmp_path))
    assert_untouched()


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_packet_is_made_with_its_week_and_its_path_is_printed(home, tmp_path, paper):
    path = Path(run("make_packet", str(home.pk), "--out", str(tmp_path / "out"), "--paper", paper).strip())
    assert path.parent == tmp_path / "out"
    reader = PdfReader(BytesIO(path.read_bytes()))
    assert {
        (round(float(page.mediabox.width)), round(float(page.mediabox.height))) for page in reader.pages
    } == {POINTS[paper]}
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    for words in (
        "The Alder household",
        "Small protocol",
        "version 1",
        "First",
        "15 June 2026",
        "Call 112 now.",
        "Ask your clinician.",
        "165 °F (74 °C)",
        "Chill what is left within 2 hours",
        "Check-in diary for",
    ):
        assert words in text
    assert Week.objects.get().start == date(2026, 6, 15)


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("plan_week", "nobody", "--start", "2026-06-15"), "no household’s id"),
        (
            ("plan_week", "00000000-0000-4000-8000-000000000000", "--start", "2026-06-15"),
            "There is no household",
        ),
        (("make_packet", "nobody", "--out", "out"), "no household’s id"),
    ],
)
def test_a_household_nobody_knows_is_told(db, args, said):
    with pytest.raises(CommandError, match=said):
        run(*args)


def test_a_household_of_another_practice_is_not_found_in_this_one(home):
    with pytest.raises(CommandError, match="in the practice “next-door”"):
        run("plan_week", str(home.pk), "--start", "2026-06-15", "--practice", "next-door")


def test_a_date_that_is_none_is_told(home):
    with pytest.raises(CommandError, match="Write it as 2026-12-07"):
        run("plan_week", str(home.pk), "--start", "15.6.2026")


def test_a_folder_that_cannot_be_written_is_told(home, tmp_path, quick):
    blocked = tmp_path / "file"
    blocked.write_text("in the way", encoding="utf-8")
    with pytest.raises(CommandError, match="cannot be written to"):
        run("make_packet", str(home.pk), "--out", str(blocked / "out"))
    assert_untouched()


def test_what_stands_in_the_way_is_told(home, tmp_path):
    home.clients.get().consents.all().delete()
    with pytest.raises(CommandError, match="has not agreed yet"):
        run("make_packet", str(home.pk), "--out", str(tmp_path))
