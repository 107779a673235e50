"""Getting ready on paper: days in order, who for, how long, and an honest word about what comes too late."""

from datetime import date, timedelta

from plans.domain.book import LeadInTask
from plans.domain.lead_in import joined, timetable
from plans.printables.lead_in import lead_in

DAY_ONE = date(2026, 12, 7)
TASKS = (
    LeadInTask(
        "kraut", "Start the cabbage", "culture", 28, 21, hands_on_min=40, note="Salt it.", source="a guide"
    ),
    LeadInTask("stock", "Cook stock", "cook", 3, 1, hands_on_min=30),
    LeadInTask("sugar", "Eat up sugar", "use-up", 14, 1),
)


def made(today: date, **changes):
    table = timetable(TASKS, day_one=DAY_ONE, today=today)
    values = {"for_whom": {}, "everyone": 2, "honest_day_one": table.honest_day_one} | changes
    return lead_in(tasks=joined([table]), day_one=DAY_ONE, **values)


def test_tasks_stand_on_their_days_counted_down_to_day_one():
    sheet = made(date(2026, 11, 1))
    assert sheet.day_one == "Monday 7 December"
    assert [(day.date, day.countdown) for day in sheet.days] == [
        ("Monday 9 November", "28 days before"),
        ("Monday 23 November", "14 days before"),
        ("Friday 4 December", "3 days before"),
    ]
    assert sheet.hands_on == "1 h 10 min"
    assert sheet.honest == ""


def test_a_task_says_how_long_why_and_by_whom():
    task = made(date(2026, 11, 1)).days[0].tasks[0]
    assert (task.hands_on, task.note, task.source, task.late) == ("40 min", "Salt it.", "a guide", "")
    assert made(date(2026, 11, 1)).days[1].tasks[0].hands_on == ""


def test_a_task_for_some_names_them_and_one_for_all_names_nobody():
    sheet = made(date(2026, 11, 1), for_whom={"kraut": ("Nell",), "stock": ("Nell", "Ivo")})
    assert [task.eaters for day in sheet.days for task in day.tasks] == ["for Nell", "", ""]


def test_what_comes_too_late_says_so_and_names_the_first_honest_day_one():
    today = DAY_ONE - timedelta(days=9)
    sheet = made(today)
    assert sheet.days[0].date == "Saturday 28 November"
    assert sheet.days[0].tasks[0].late == (
        "Late: this should be begun by Monday 16 November. Begin now, and tell your coach."
    )
    assert sheet.honest == "Saturday 19 December"


def test_nothing_to_do_is_no_sheet():
    assert lead_in(tasks=(), day_one=DAY_ONE, honest_day_one=DAY_ONE, for_whom={}, everyone=1) is None
