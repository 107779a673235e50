"""Makes a household's packet here and now, planning its week if need be, and prints where the file is."""

import shutil
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryFile

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils.text import slugify

from clients.management.finding import day_meant, household_meant, refusal
from clients.management.week_text import no_week_lines
from clients.models import Packet
from clients.selectors.people import local_date
from clients.selectors.weeks import next_start
from clients.services.packets import packet_ask, packet_make
from clients.services.weeks import standing_week, week_find, week_keep
from coaching import clock
from coaching.domain.errors import Refused
from plans.domain.brief import NoWeek


class Command(BaseCommand):
    help = "Make a household's packet and print where it is. Leaves with 1 and the reason when it cannot be made."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("household", help="the household's id, as import_household prints it")
        parser.add_argument("--out", type=Path, required=True, metavar="DIR", help="where to put the file")
        parser.add_argument("--paper", choices=("letter", "a4"), help="the practice's own paper unless given")
        parser.add_argument(
            "--start", metavar="YYYY-MM-DD", help="the first day; next Monday or day one unless given"
        )
        parser.add_argument("--practice", metavar="SLUG", help="look in this practice only")

    def handle(self, *args, **options) -> None:
        household = household_meant(options["household"], options["practice"])
        at = clock.now()
        start = (
            day_meant(options["start"])
            if options["start"]
            else next_start(household, local_date(household, at))
        )
        client = household.clients.order_by("pk").first()
        _ready(options["out"])
        try:
            if standing_week(household=household, start=start, at=at) is None:
                brief, answer = week_find(household=household, start=start, at=at)
                if isinstance(answer, NoWeek):
                    raise CommandError("\n".join(no_week_lines(answer)))
                week_keep(household=household, brief=brief, week=answer, at=at)
            packet = packet_ask(
                household=household,
                start=start,
                paper=options["paper"] or household.practice.paper,
                language=client.language if client else "en",
                by=None,
                at=at,
            )
        except Refused as refused:
            raise refusal(refused) from refused
        packet_make(packet_id=packet.pk, at=at)
        made = Packet.objects.get(pk=packet.pk)
        if made.state != Packet.State.READY:
            raise CommandError(made.problem)
        last = start + timedelta(days=6)
        name = f"packet-{slugify(household.name)}-{start.isoformat()}-to-{last.isoformat()}-{made.paper}.pdf"
        self.stdout.write(str(_put(made, options["out"], name)))


def _ready(folder: Path) -> None:
    """Make sure the folder can be written to before anything else is done."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise CommandError(f"{folder} cannot be written to: {error.strerror}.") from error


def _put(packet: Packet, folder: Path, name: str) -> Path:
    path = (folder / name).resolve()
    with packet.file.open("rb") as stored, path.open("wb") as out:
        shutil.copyfileobj(stored, out)
    return path
