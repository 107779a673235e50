"""The calendar of planned challenges: a dose a day, then days without the food, one challenge after another.

One unknown at a time: a challenge is watched from its first dose to the last day of its washout, and the next begins
the day after. That groups are tested one by one over about three days each, with doses that rise from day to day, and
that the next waits until symptoms have been gone for some days, is from Tuck and Barrett, Re-challenging FODMAPs,
Journal of Gastroenterology and Hepatology, 2017. One test day and two days of watching are from the elimination diet
patient handout of the University of Wisconsin (its origin from memory).

A calendar is a plan on paper. Whether a challenge may be eaten at home at all is for a licensed clinician to say, and
an immediate or severe reaction ends all of them.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from itertools import groupby

from plans.domain.book import Challenge
from plans.domain.limits import birthday

RETEST_AFTER_MONTHS = 2
"""Two to three months after a reaction: Tuck and Barrett, 2017 (from memory)."""

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Step:
    """One day of a calendar. ``dose`` counts the challenge's doses from 1 and is 0 on a washout day, when ``amount``
    is None."""

    on: date
    challenge: str
    dose: int = 0
    amount: tuple[Decimal, str] | None = None


class Verdict(StrEnum):
    """What a finished challenge says of its food."""

    TOLERATED = "tolerated"
    KEEPS = "keeps"
    AVOIDS = "avoids"


@dataclass(frozen=True, slots=True)
class Result:
    """``amount`` is the largest dose that was quiet, None when none was; ``retest_on`` is None without a reaction."""

    verdict: Verdict
    amount: tuple[Decimal, str] | None = None
    retest_on: date | None = None


def schedule(challenges: Iterable[Challenge], first_day: date) -> tuple[Step, ...]:
    """Date the challenges one after another from ``first_day`` on, a step for every day.

    A challenge with more dose days than doses repeats its last dose; doses beyond its dose days are not given.
    """
    steps: list[Step] = []
    for challenge in challenges:
        begins = first_day + len(steps) * _DAY
        days = range(challenge.dose_days + challenge.washout_days)
        steps.extend(_step(challenge, day, begins + day * _DAY) for day in days)
    return tuple(steps)


def after_reaction(steps: tuple[Step, ...], on: date, symptoms_clear_on: date | None) -> tuple[Step, ...]:
    """The calendar after a reaction on a day, at any hour of it, as far as it can be dated.

    The doses left of the challenge are cancelled and its washout begins the next day, also when the reaction came
    during the washout. The next challenge begins after the washout, and not before symptoms have been clear for as
    many days as the washout has; days of waiting are washout days. ``symptoms_clear_on`` is the first day without
    symptoms. While that is None nothing follows the washout: ask again with the same calendar once it is known.

    Three days without symptoms: Tuck and Barrett, 2017, as patient pages quote it; here it is each challenge's own
    washout (our choice). Raises ValueError for a day outside the calendar or symptoms that cleared before they began.
    """
    challenge = _watched(steps, on)
    if symptoms_clear_on is not None and symptoms_clear_on < on:
        raise ValueError(f"symptoms cannot clear on {symptoms_clear_on}, before the reaction on {on}")
    washout = timedelta(days=sum(step.challenge == challenge and not step.dose for step in steps))
    kept = [step for step in steps if step.on <= on]
    rest = [step for step in steps if step.on > on and step.challenge != challenge]
    resumes = on + _DAY + washout
    if symptoms_clear_on is not None:
        resumes = max(resumes, symptoms_clear_on + washout)
    waiting = [Step(on + day * _DAY, challenge) for day in range(1, (resumes - on).days)]
    if symptoms_clear_on is None or not rest:
        return (*kept, *waiting)
    shift = resumes - rest[0].on
    return (*kept, *waiting, *(replace(step, on=step.on + shift) for step in rest))


def result(
    steps: tuple[Step, ...],
    challenge: str,
    reacted_on: date | None = None,
    *,
    retest_after_months: int = RETEST_AFTER_MONTHS,
) -> Result:
    """What a challenge showed, once its last watch day has passed.

    Without a reaction its food is tolerated. A reaction is laid to the latest dose before it or on its day: the dose
    below is kept; when there is none the food is avoided; either way it is tried again after some months. From memory
    of Tuck and Barrett, 2017. Raises ValueError for an unknown challenge or a reaction on a day it was not watched.
    """
    doses = [step for step in steps if step.challenge == challenge and step.dose]
    if not doses:
        raise ValueError(f"no challenge {challenge} in this calendar")
    if reacted_on is None:
        return Result(Verdict.TOLERATED, doses[-1].amount)
    if _watched(steps, reacted_on) != challenge:
        raise ValueError(f"{challenge} was not watched on {reacted_on}")
    suspect = max(step.dose for step in doses if step.on <= reacted_on)
    retest_on = birthday(reacted_on, months=retest_after_months)
    quiet = [step.amount for step in doses if step.dose < suspect]
    return Result(Verdict.KEEPS if quiet else Verdict.AVOIDS, quiet[-1] if quiet else None, retest_on)


def watch_days(steps: Iterable[Step]) -> dict[str, tuple[date, date]]:
    """The first and the last watch day of each challenge, in the order of the calendar."""
    spans: dict[str, tuple[date, date]] = {}
    for key, found in groupby(steps, key=lambda step: step.challenge):
        days = [step.on for step in found]
        spans[key] = (days[0], days[-1])
    return spans


def _step(challenge: Challenge, day: int, on: date) -> Step:
    if day >= challenge.dose_days:
        return Step(on, challenge.key)
    dose = min(day + 1, len(challenge.doses))
    return Step(on, challenge.key, dose, challenge.doses[dose - 1])


def _watched(steps: tuple[Step, ...], on: date) -> str:
    """The challenge watched on a day."""
    for step in steps:
        if step.on == on:
            return step.challenge
    raise ValueError(f"no challenge is watched on {on}")
