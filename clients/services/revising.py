"""Changing a standing week: locks, changes that wait, working them out, and accepting what was found.

Nothing here plans. A change waits on the standing week; asking for a revision makes a row that a worker plans and the
coach then accepts or puts aside. Every write first makes sure that the week is still the standing one.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import product

from django.db import transaction
from django.utils.translation import gettext as _

from clients.domain.revising import (
    Change,
    added,
    change_record,
    dishes_at,
    together,
    wrong_lock,
    wrong_with,
)
from clients.models import Household
from clients.models import Week as WeekRow
from clients.selectors.revising import UNDER_WAY, changes_of, locks_of, past_of, standing_of
from clients.services.weeks import block_problems, owe_planning, week_values
from clients.wording.revising import meal_words, wrong_words
from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Membership
from coaching.practice.services import audit
from plans.domain.brief import Meal, Week
from plans.domain.vocabulary import Slot

State = WeekRow.State


@transaction.atomic
def week_lock(*, week: WeekRow, meal: Meal, locked: bool, by: Membership, at: datetime) -> None:
    """Lock a meal, so that it stays as it is whatever else changes, or unlock it. Raises Refused."""
    held = _held(week)
    _plan, brief = week_values(held)
    wrong = wrong_lock(meal, brief, past_of(held.household, held.start, at))
    if wrong:
        raise Refused(Problem(0, "meal", wrong_words(wrong, held.start, meal)))
    waiting = changes_of(held.waiting)
    if locked and any(meal in change.meals for change in waiting):
        raise Refused(
            Problem(
                0,
                "meal",
                _("A change of %(meal)s is waiting.") % {"meal": meal_words(held.start, meal)},
                _("Take that change back first, then lock the meal."),
            )
        )
    locks = locks_of(held) - {meal} | ({meal} if locked else set())
    held.locks = [[day, slot.value] for day, slot in sorted(locks)]
    held.save(update_fields=["locks"])
    _note(held, "meal locked" if locked else "meal unlocked", by, at)


@transaction.atomic
def week_change(*, week: WeekRow, change: Change, by: Membership, at: datetime) -> None:
    """Let one more change wait; it takes the place of those it overrules. Raises Refused with what is wrong."""
    held = _held(week)
    plan, brief = week_values(held)
    wrong = wrong_with(
        change,
        brief,
        plan,
        past=past_of(held.household, held.start, at),
        locks=locks_of(held),
    )
    if wrong:
        raise Refused(Problem(0, "change", wrong_words(wrong[0], held.start, wrong[1])))
    _keep_waiting(held, added(changes_of(held.waiting), change))
    _note(held, "week change asked for", by, at)


@transaction.atomic
def week_change_take_back(*, week: WeekRow, change: Change | None, by: Membership, at: datetime) -> None:
    """Ask no longer for a change that waits, or for none of them when no one is named. Taking it twice does nothing."""
    held = _held(week)
    kept = () if change is None else tuple(one for one in changes_of(held.waiting) if one != change)
    _keep_waiting(held, kept)
    _note(held, "week change taken back", by, at)


@transaction.atomic
def week_change_end(*, week: WeekRow, change: Change, by: Membership, at: datetime) -> None:
    """Let a lasting change of an earlier revision be over in the next one. Raises Refused when none such holds."""
    if change not in changes_of(week.changes):
        raise Refused(
            Problem(
                0, "change", _("That does not hold for this week any more."), _("Look at the list again.")
            )
        )
    week_change(week=week, change=replace(change, back=True), by=by, at=at)


@transaction.atomic
def week_revise(*, week: WeekRow, by: Membership, at: datetime) -> WeekRow:
    """Ask for the standing week with its waiting changes worked in; the revision that answers them now.

    One that is being worked out for the very same changes and locks is returned as it is; any other gives way. Raises
    Refused when nothing waits, when the week is over, and while something stands in the household's way.
    """
    held = _held(week)
    problems = block_problems(held.household)
    if not held.waiting:
        problems.append(
            Problem(0, "changes", _("No change is waiting."), _("Ask for a change on the board first."))
        )
    _plan, brief = week_values(held)
    if past_of(held.household, held.start, at).day >= brief.days:
        problems.append(
            Problem(0, "week", _("This week is over."), _("Plan another one in the household’s weeks."))
        )
    if problems:
        raise Refused(*problems)
    changes = [
        change_record(change) for change in together(changes_of(held.changes), changes_of(held.waiting))
    ]
    rows = WeekRow.objects.filter(basis=held, state__in=UNDER_WAY)
    same = rows.filter(state=State.ASKED, changes=changes, locks=held.locks, waiting=held.waiting).first()
    if same is not None:
        return same
    rows.update(state=State.DROPPED)
    revision = WeekRow.objects.create(
        household=held.household,
        start=held.start,
        basis=held,
        changes=changes,
        waiting=held.waiting,
        locks=held.locks,
        # The newest planned row is the standing week: a revision is always newer than what it revises.
        asked_at=max(at, held.asked_at + timedelta(microseconds=1)),
    )
    owe_planning(revision, at=at)
    _note(revision, "week revision asked for", by, at)
    return revision


@transaction.atomic
def week_accept(*, week: WeekRow, by: Membership, at: datetime) -> None:
    """Make an offered week the standing one. Locks and changes that came since stay.

    Raises Refused when another week stands meanwhile, when a meal locked or eaten since would change, and while
    something stands in the household's way.
    """
    offered = _locked(week)
    if offered.state != State.OFFERED:
        raise Refused(_decided())
    basis = _held(offered.basis) if offered.basis else None
    if basis is None:
        raise Refused(_other_week())
    problems = [
        *block_problems(offered.household),
        *_locked_since(offered, basis),
        *_eaten_since(offered, basis, at, _("Work the week out again: what is eaten then stays.")),
    ]
    if problems:
        raise Refused(*problems)
    answered = changes_of(offered.waiting)
    _keep_waiting(offered, (one for one in changes_of(basis.waiting) if one not in answered), save=False)
    offered.locks = basis.locks
    offered.state = State.PLANNED
    offered.save(update_fields=["state", "locks", "waiting"])
    basis.waiting = []
    basis.save(update_fields=["waiting"])
    WeekRow.objects.filter(basis=basis, state__in=UNDER_WAY).update(state=State.DROPPED)
    _note(offered, "week revision accepted", by, at)


@transaction.atomic
def week_put_aside(*, week: WeekRow, keeps_changes: bool, by: Membership, at: datetime) -> None:
    """Put an undecided revision aside; the standing week stays, what was asked waits on if ``keeps_changes``."""
    revision = _locked(week)
    if revision.basis_id is None or revision.state not in UNDER_WAY:
        raise Refused(_decided())
    if not keeps_changes:
        basis = _held(revision.basis)
        answered = changes_of(revision.waiting)
        _keep_waiting(basis, (one for one in changes_of(basis.waiting) if one not in answered))
    revision.state = State.DROPPED
    revision.save(update_fields=["state"])
    _note(revision, "week revision put aside", by, at)


@transaction.atomic
def week_go_back(*, week: WeekRow, by: Membership, at: datetime) -> WeekRow:
    """Undo an accepted revision: the week before it stands again, with the locks and wishes it had.

    Raises Refused when there is none, and when a meal that was eaten since was another in it.
    """
    held = _held(week)
    basis = held.basis
    if basis is None or basis.state != State.PLANNED:
        raise Refused(
            Problem(0, "week", _("There is no earlier week to go back to."), _("Ask for a change instead."))
        )
    problems = _eaten_since(basis, held, at, _("Ask for a change of later meals instead."))
    if problems:
        raise Refused(*problems)
    WeekRow.objects.filter(basis=held, state__in=UNDER_WAY).update(state=State.DROPPED)
    held.state = State.DROPPED
    held.save(update_fields=["state"])
    _note(basis, "week revision undone", by, at)
    return basis


def _locked(week: WeekRow) -> WeekRow:
    """The row as it is now, locked for this write. The household comes first, so no two wait in a ring."""
    Household.objects.select_for_update(no_key=True).get(pk=week.household_id)
    rows = WeekRow.objects.select_for_update(of=("self",))
    return rows.select_related("household__practice", "basis").get(pk=week.pk)


def _held(week: WeekRow) -> WeekRow:
    """The standing week, locked for this write. Raises Refused when another one stands."""
    held = _locked(week)
    if held.state != State.PLANNED or standing_of(held.household, held.start) != held.pk:
        raise Refused(_other_week())
    return held


def _other_week() -> Problem:
    return Problem(
        0,
        "week",
        _("Another week stands in its place since this page was opened."),
        _("Look at the week as it stands now, then ask again."),
    )


def _decided() -> Problem:
    return Problem(
        0,
        "week",
        _("This was decided already, perhaps in another window."),
        _("Look at the week as it stands now."),
    )


def _locked_since(offered: WeekRow, basis: WeekRow) -> list[Problem]:
    """Meals that were locked after the revision was asked for and that it would change."""
    before, after = week_values(basis)[0], week_values(offered)[0]
    since = sorted(locks_of(basis) - locks_of(offered))
    return [
        Problem(
            0,
            "locks",
            _("%(meal)s was locked since, and here it changes.") % {"meal": meal_words(offered.start, meal)},
            _("Unlock it, or work the week out again."),
        )
        for meal in since
        if _plates(before, meal) != _plates(after, meal) or dishes_at(before, meal) != dishes_at(after, meal)
    ]


def _eaten_since(row: WeekRow, standing: WeekRow, at: datetime, fix: str) -> list[Problem]:
    """Meals of the standing week that are eaten by now and that would be others in another row of it."""
    before, after = week_values(standing)[0], week_values(row)[0]
    past = past_of(standing.household, standing.start, at)
    return [
        Problem(
            0,
            "week",
            _("%(meal)s has been eaten already, and here it changes.")
            % {"meal": meal_words(standing.start, meal)},
            fix,
        )
        for meal in product(range(before.days), Slot)
        if meal in past and _plates(before, meal) != _plates(after, meal)
    ]


def _plates(week: Week, meal: Meal) -> set[tuple[str, str]]:
    cooks = {cook.key: cook.recipe for cook in week.cooks}
    on = week.start + timedelta(days=meal[0])
    return {(one.eater, cooks[one.cook]) for one in week.plates if (one.on, one.slot) == (on, meal[1])}


def _keep_waiting(row: WeekRow, changes: Iterable[Change], *, save: bool = True) -> None:
    row.waiting = [change_record(change) for change in changes]
    if save:
        row.save(update_fields=["waiting"])


def _note(row: WeekRow, action: str, by: Membership, at: datetime) -> None:
    audit(practice=row.household.practice, user=by.user, action=action, subject=str(row.pk), at=at)
