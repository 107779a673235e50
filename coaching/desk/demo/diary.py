"""Plausible check-ins for the demo: pure, and the same on every machine for the same person and day."""

import random
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal

from clients.domain.check_in import SYMPTOMS, Answers
from coaching.desk.demo.scenario import Person

WEEKS = 8
TROUBLES = {"better": (6.0, 1.5), "flat": (4.0, 3.8), "worse": (2.0, 6.2), "bumpy": (4.5, 3.0)}
"""Mean symptom rating on the first and on the last day, by course."""


def diary(person: Person, today: date) -> Iterator[tuple[date, Answers]]:
    """The person's check-ins, oldest first, over the days in their stages, eight weeks at the most."""
    days = min(sum(stay for _, stay in person.stays), WEEKS * 7)
    dice = random.Random(person.name)  # noqa: S311  (a story, not a secret)
    own = dice.sample(SYMPTOMS, 3)
    last = days - 1 - person.silent
    for day in range(last + 1):
        if (last - day) % person.every:
            continue
        on = today - timedelta(days=days - 1 - day)
        flag = (person.red_flag,) if person.red_flag and day == last else ()
        yield on, _answers(person, day / max(days - 1, 1), own, dice, flag)


def _answers(
    person: Person, way: float, own: list[str], dice: random.Random, flags: tuple[str, ...]
) -> Answers:
    first, final = TROUBLES[person.course]
    level = first + (final - first) * _bend(person.course, way)
    if person.course == "bumpy":
        level += dice.choice((-1.5, 0, 0, 2.5))
    symptoms = {key: _rating(dice.gauss(level, 0.8)) for key in own}
    loose = level > 4 and dice.random() < 0.5
    return Answers(
        symptoms=symptoms,
        stool_form=dice.choice((6, 6, 7)) if loose else dice.choice((3, 4, 4, 5)),
        stool_count=dice.choice((2, 3, 4)) if loose else dice.choice((1, 1, 2)),
        energy=_rating(8 - level / 1.6 + dice.gauss(0, 0.7)),
        sleep_hours=Decimal(round(dice.gauss(7.3, 0.7) * 2)) / 2,
        mood=_rating(7.5 - level / 2 + dice.gauss(0, 0.8)),
        red_flags=flags,
    )


def _bend(course: str, way: float) -> float:
    """Getting better is quick at first; getting worse shows late."""
    return way**3 if course == "worse" else way**0.7


def _rating(value: float) -> int:
    return min(10, max(0, round(value)))
