"""Seven days of check-ins on paper: the same questions as the form, answered with a pencil."""

from datetime import date, timedelta

from plans.printables.facts import Diary, DiaryRow, Standing
from plans.printables.words import short_day_words

DAYS = 7


def diary(
    *, standing: Standing, first: date, rows: tuple[DiaryRow, ...], stool_key: tuple[str, ...]
) -> Diary:
    """The page of one eater for seven days from ``first``. ``rows`` are the questions of the check-in, worded."""
    return Diary(
        standing=standing,
        days=tuple(short_day_words(first + timedelta(days=day)) for day in range(DAYS)),
        rows=rows,
        stool_key=stool_key,
    )
