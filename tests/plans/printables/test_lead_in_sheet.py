"""Getting ready on paper: days in order, who for, how long, and an honest word about what comes too late."""

from datetime import date, timedelta

from coaching.domain.units import System
from plans.domain.book import LeadInTask
from plans.domain.brief import Reason
from plans.domain.lead_in.asking import Ask, Starter
from plans.domain.lead_in.plan import lead_in_plan
from plans.printables.lead_in import lead_in
from plans.printables.lead_in_words import LeadInWords

DAY_ONE = date(2026, 12, 7)
TASKS = (
    LeadInTask(
        "kraut", "Start the cabbage", "culture", 28, 21, hands_on_min=40, note="Salt it.", source="a guide"
    ),
    LeadInTask("stock", "Cook stock", "cook", 3, 1, hands_on_min=30),
    LeadInTask("sugar", "Eat up sugar", "use-up", 14, 1),
)
NAMES = {"nell": "Nell", "ivo": "Ivo"}


def made(today: date, tasks=TASKS, names=("nell", "ivo"), **fields):
    starters = tuple(Starter(name, NAMES[name], DAY_ONE, tasks) for name in names)
    ask = Ask(today=today, starters=fields.pop("starters", starters), **fields)
    words = LeadInWords(lead_in_plan(ask), {}, System.METRIC, {name: NAMES[name] for name in names}, today)
    return lead_in(words)


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


def test_a_task_says_how_long_why_and_how_far_it_can_wait():
    first, _second, third = made(date(2026, 11, 1)).days
    task = first.tasks[0]
    assert (task.hands_on, task.note, task.source, task.late) == ("40 min", "Salt it.", "a guide", "")
    assert task.slack == "can wait until Monday 16 November"
    assert third.tasks[0].hands_on == "30 min"


def test_a_day_shows_its_work_beside_its_free_minutes_and_says_when_there_is_too_much():
    sheet = made(date(2026, 11, 1), free_min=(20, 20, 20, 20, 20, 20, 20))
    assert (sheet.days[0].work, sheet.days[0].overfull) == (
        "40 min of work, 20 min free",
        "More than this day has: 40 min of work, 20 min free.",
    )


def test_a_task_for_some_names_them_and_says_why_it_is_not_for_others():
    milk = Reason("allergy", {"family": "milk"})
    kefir = LeadInTask("kefir", "Start the kefir", "culture", 3, makes=("kefir",))
    starters = (
        Starter("nell", "Nell", DAY_ONE, (kefir, *TASKS)),
        Starter("ivo", "Ivo", DAY_ONE, (kefir,), kept_out={"kefir": milk}),
    )
    (day,) = [day for day in made(date(2026, 11, 1), starters=starters).days if "4 December" in day.date]
    task = next(task for task in day.tasks if task.title == "Start the kefir")
    assert (task.eaters, task.more) == ("for Nell", ("Not for Ivo: never: allergy to milk.",))
    assert made(date(2026, 11, 1)).days[0].tasks[0].eaters == ""


def test_what_is_for_nobody_is_left_out_with_why():
    milk = Reason("allergy", {"family": "milk"})
    kefir = LeadInTask("kefir", "Start the kefir", "culture", 3, makes=("kefir",))
    drip = LeadInTask(
        "drip", "Drip the whey", "culture", 2, after=("kefir",), needs=("kefir",), makes=("whey",)
    )
    starters = (Starter("ivo", "Ivo", DAY_ONE, (kefir, drip, *TASKS), kept_out={"kefir": milk}),)
    assert made(date(2026, 11, 1), starters=starters).left_out == (
        "Start the kefir (Ivo, kefir: never: allergy to milk).",
        "Drip the whey (Ivo, kefir: never: allergy to milk).",
    )


def test_what_comes_too_late_says_so_and_names_the_first_honest_day_one():
    today = DAY_ONE - timedelta(days=9)
    sheet = made(today)
    assert sheet.days[0].date == "Saturday 28 November"
    assert sheet.days[0].tasks[0].late == ("Late: this should be begun by Monday 16 November. Begin now.")
    assert sheet.honest == "Saturday 19 December"


def test_a_late_task_says_what_to_buy_instead():
    kraut = LeadInTask("kraut", "Start the cabbage", "culture", 28, 21, buy_instead="Raw kraut.")
    assert (
        made(DAY_ONE - timedelta(days=9), tasks=(kraut,))
        .days[0]
        .tasks[0]
        .late.endswith("Or buy instead: Raw kraut.")
    )


def test_nothing_to_do_is_no_sheet():
    assert made(date(2026, 11, 1), tasks=()) is None
