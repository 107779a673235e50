"""Plans a household's week here and now and prints it; leaves with 1 and the reasons when no week fits."""

import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser

from clients.management.finding import day_meant, household_meant, refusal
from clients.management.week_text import no_week_lines, week_lines
from clients.services.weeks import week_find, week_keep
from coaching import clock
from coaching.domain.errors import Refused
from plans.domain.brief import NoWeek
from plans.domain.brief_json import brief_record, week_record


class Command(BaseCommand):
    help = "Plan a household's week and print it. Leaves with 1 and the reasons in words when no week fits."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("household", help="the household's id, as import_household prints it")
        parser.add_argument(
            "--start", required=True, metavar="YYYY-MM-DD", help="the first of the seven days"
        )
        parser.add_argument(
            "--json", type=Path, metavar="FILE", help="also write the week and its brief there"
        )
        parser.add_argument("--practice", metavar="SLUG", help="look in this practice only")

    def handle(self, *args, **options) -> None:
        household = household_meant(options["household"], options["practice"])
        start = day_meant(options["start"])
        at = clock.now()
        try:
            brief, answer = week_find(household=household, start=start, at=at)
        except Refused as refused:
            raise refusal(refused) from refused
        if isinstance(answer, NoWeek):
            raise CommandError("\n".join(no_week_lines(answer)))
        if options["json"]:
            _write(options["json"], {"brief": brief_record(brief), "week": week_record(answer)})
        week = week_keep(household=household, brief=brief, week=answer, at=at)
        self.stdout.write("\n".join(week_lines(week)))


def _write(path: Path, content: dict) -> None:
    try:
        path.write_text(json.dumps(content, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    except OSError as error:
        raise CommandError(f"{path} cannot be written: {error.strerror}.") from error
