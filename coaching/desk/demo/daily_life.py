"""What the demo's people say beside their protocols: who eats elsewhere, what is in the house, what is wanted most.

Written by the ordinary services, so that the demo holds nothing a coach could not have typed.
"""

from datetime import date, datetime, timedelta
from decimal import Decimal

from clients.domain.body_measures import Measures
from clients.domain.wants import UP, wants_in_order
from clients.models import Eater, Household, Introduction
from clients.services.instructions import instruction_add
from clients.services.measures import measures_record
from clients.services.presence import presence_change
from clients.services.stores import store_note
from clients.services.wants import want_move
from coaching.desk.demo.scenario import Home, Measured, Person, Told, Tried
from coaching.practice.models import Membership
from plans.selectors import foods_of


def person_life(person: Person, eater: Eater, *, by: Membership, at: datetime, today: date) -> None:
    """What is known of one eater beside the protocol."""
    if person.away:
        presence_change(eater=eater, away=person.away, by=by, at=at)
    if person.measured:
        _measures(person.measured, eater, by=by, at=at, today=today)
    if person.tries:
        _introduction(person.tries, eater, today)
    if person.told:
        _instruction(person.told, eater, by=by, at=at, today=today)


def home_life(home: Home, household: Household, *, by: Membership, at: datetime, today: date) -> None:
    """What is known of one household beside its people."""
    if home.wants:
        _wants(home.wants, household, by=by, at=at)
    if home.stores:
        _stores(home, household, by=by, at=at, today=today)


def _measures(measured: Measured, eater: Eater, *, by: Membership, at: datetime, today: date) -> None:
    measures_record(
        eater=eater,
        measures=Measures(
            measured_on=today - timedelta(days=measured.days_ago),
            weight_kg=Decimal(measured.weight_kg),
            height_cm=Decimal(measured.height_cm),
            activity=measured.activity,
        ),
        by=by,
        at=at,
    )


def _introduction(tried: Tried, eater: Eater, today: date) -> None:
    Introduction.objects.create(
        eater=eater,
        food=tried.food,
        form=tried.form,
        first_day=today - timedelta(days=tried.days_ago),
        watch_until=today + timedelta(days=tried.watch_days),
    )


def _instruction(told: Told, eater: Eater, *, by: Membership, at: datetime, today: date) -> None:
    instruction_add(
        eater=eater,
        foods=told.foods,
        said_by=told.said_by,
        said_on=today - timedelta(days=told.days_ago),
        until=today + timedelta(weeks=told.weeks),
        note=told.note,
        by=by,
        at=at,
    )


def _wants(wanted: tuple[str, ...], household: Household, *, by: Membership, at: datetime) -> None:
    """Move wants up, as on their page, until those wanted most stand first."""
    order = wants_in_order(household.wants)
    for place, want in enumerate(wanted):
        while order.index(want) > place:
            order = want_move(household=household, want=want, way=UP, by=by, at=at)


def _stores(home: Home, household: Household, *, by: Membership, at: datetime, today: date) -> None:
    known = foods_of(household.practice)
    for kept in home.stores:
        store_note(
            household=household,
            food=kept.food,
            amount_g=Decimal(kept.amount_g),
            place=kept.place,
            best_by=None if kept.good_days is None else today + timedelta(days=kept.good_days),
            known=known,
            by=by,
            at=at,
        )
