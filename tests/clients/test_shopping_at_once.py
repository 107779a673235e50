"""Several phones of one household in the same instant: real connections, held to each other by the database."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from threading import Barrier

import pytest
from django.db import connection

from clients.models import Consent, Household, ShoppingTick
from clients.services.shopping import shopping_tick, shopping_untick
from coaching.practice.models import Membership
from tests.cast import make_cast
from tests.clients.test_shopping import MONDAY
from tests.factories import NOON, TODAY

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]
PHONES = 6


def at_once(jobs: list[Callable[[], object]]) -> None:
    """Run every job on a connection of its own, all let go at the same moment. Raises what a job raises."""
    gate = Barrier(len(jobs))

    def run(job: Callable[[], object]) -> None:
        try:
            gate.wait(timeout=20)
            job()
        finally:
            connection.close()

    with ThreadPoolExecutor(len(jobs)) as pool:
        for done in [pool.submit(run, job) for job in jobs]:
            done.result(timeout=60)


@pytest.fixture
def home() -> tuple[Household, Membership]:
    cast = make_cast()
    client = cast.household.clients.get()
    Consent.objects.create(client=client, text="Agreed.", agreed_on=TODAY, recorded_at=NOON)
    return cast.household, cast.coach


def tick(home: tuple[Household, Membership], grams: int, food: str = "leek") -> Callable[[], object]:
    household, by = home
    return lambda: shopping_tick(
        household=household, start=MONDAY, food=food, amount_g=Decimal(grams), by=by, at=NOON
    )


@pytest.mark.parametrize("round_", range(6))
def test_of_many_ticks_one_row_stands_with_the_largest_amount(home, round_):
    tick(home, 50)()
    at_once([tick(home, 100 * (place + 1)) for place in range(PHONES)])
    row = ShoppingTick.objects.get()
    assert row.amount_g == 100 * PHONES
    assert row.before_g < row.amount_g


def test_of_many_first_ticks_there_is_one_row(home):
    for food in ("leek", "carrot", "pear"):
        at_once([tick(home, 100, food) for _ in range(PHONES)])
        assert ShoppingTick.objects.get(food=food).amount_g == 100


def test_the_same_tick_undone_by_many_is_undone_once(home):
    household, _ = home
    tick(home, 300)()
    tick(home, 500)()
    undo = [
        lambda: shopping_untick(household=household, start=MONDAY, food="leek", amount_g=Decimal(500))
    ] * PHONES
    at_once(undo)
    row = ShoppingTick.objects.get()
    assert (row.amount_g, row.before_g) == (300, 0)


def test_a_tick_and_its_undoing_at_once_leave_one_of_the_two_and_nothing_else(home):
    household, _ = home
    tick(home, 300)()
    at_once(
        [
            tick(home, 500),
            lambda: shopping_untick(household=household, start=MONDAY, food="leek", amount_g=Decimal(300)),
        ]
    )
    row = ShoppingTick.objects.get()
    assert (row.amount_g, row.before_g) in {(Decimal(500), Decimal(300)), (Decimal(500), Decimal(0))}
