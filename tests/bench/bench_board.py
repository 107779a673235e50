"""The board of a coach with 500 clients, against the same signed-in page with nobody on it."""

from datetime import timedelta

from django.test import Client

from clients.models import CheckIn, Eater, Enrolment, Household, Spell
from clients.models import Client as Person
from coaching import clock
from coaching.practice.models import Membership
from tests.bench.harness import Result, paired_timing
from tests.cast import Cast, make_cast

CLIENTS = 500
DAYS = 14
GOAL = 14
"""The board reads 500 households and weighs each; an empty page reads none. Fourteen times is under 0.3 s here."""


def fill_board(cast: Cast, coach: Membership, *, clients: int, days: int) -> None:
    """``clients`` one-eater households under way with a check-in on each of the last ``days`` days."""
    at, today = clock.now(), clock.today_in(cast.practice.time_zone)
    homes = [
        Household(practice=cast.practice, coach=coach, name=f"Household {n}", created_at=at)
        for n in range(clients)
    ]
    Household.objects.bulk_create(homes)
    Person.objects.bulk_create(
        Person(household=home, name=f"Client {n:03}", email=f"c{n}@example.org")
        for n, home in enumerate(homes)
    )
    eaters = [
        Eater(household=home, name=f"Eater {n}", born=today - timedelta(days=14_000))
        for n, home in enumerate(homes)
    ]
    Eater.objects.bulk_create(eaters)
    enrolments = [
        Enrolment(eater=eater, version=cast.version, start_on=today - timedelta(days=n % 20))
        for n, eater in enumerate(eaters)
    ]
    Enrolment.objects.bulk_create(enrolments)
    Spell.objects.bulk_create(Spell(enrolment=e, stage="first", began_on=e.start_on) for e in enrolments)
    CheckIn.objects.bulk_create(
        CheckIn(
            eater=eater,
            on=today - timedelta(days=day + n % 5),
            by="client",
            symptoms={"bloating": (n + day) % 9},
            burden=(n + day) % 9,
            recorded_at=at,
        )
        for n, eater in enumerate(eaters)
        for day in range(days)
    )


def run() -> list[Result]:
    cast = make_cast()
    fill_board(cast, cast.coach, clients=CLIENTS, days=DAYS)
    Household.objects.filter(coach=cast.other_coach).delete()
    full, empty = Client(), Client()
    full.force_login(cast.coach.user)
    empty.force_login(cast.other_coach.user)

    def page(browser: Client) -> bytes:
        response = browser.get("/board/")
        if response.status_code != 200:
            raise RuntimeError(f"The board answered {response.status_code}.")
        return response.content

    return [
        paired_timing(
            name=f"board, {CLIENTS} clients",
            subject=lambda: page(full),
            baseline_name="board, nobody on it",
            baseline=lambda: page(empty),
            goal=GOAL,
        )
    ]
