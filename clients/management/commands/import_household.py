"""Brings in a household from a ``ladlework/household/1`` file and prints its id."""

from pathlib import Path

from django.core.management.base import CommandError, CommandParser

from clients.services.imports import household_import
from coaching import clock
from coaching.domain.errors import Problem, Refused
from coaching.practice.access import COACHES
from coaching.practice.models import Membership, Practice
from plans.domain.filing.findings import Findings
from plans.domain.filing.opening import decoded
from plans.management.filing import PracticeCommand


class Command(PracticeCommand):
    help = "Make the household of a file, or list everything that is wrong with the file and make nothing."

    def add_arguments(self, parser: CommandParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("file", type=Path, help="a YAML file")
        parser.add_argument("--coach", help="e-mail address of the coach; the owner unless given")

    def handle(self, *args, **options) -> None:
        coach = _coach(self.practice(options["practice"]), options["coach"])
        try:
            made = household_import(
                practice=coach.practice,
                coach=coach,
                text=_text(options["file"]),
                filename=options["file"].name,
                by=coach,
                at=clock.now(),
            )
        except Refused as refused:
            raise _failure(refused.problems) from refused
        self.stdout.write(str(made.pk))


def _coach(practice: Practice, email: str | None) -> Membership:
    rows = Membership.objects.select_related("user", "practice").filter(practice=practice, role__in=COACHES)
    rows = rows.filter(user__email__iexact=email) if email else rows.filter(role=Membership.Role.OWNER)
    coach = rows.order_by("pk").first()
    if coach is None:
        who = f"coach with the address {email}" if email else "owner; name a coach with --coach"
        raise CommandError(f"“{practice.slug}” has no {who}.")
    return coach


def _text(path: Path) -> str:
    try:
        data = path.read_bytes()
    except OSError as error:
        raise CommandError(f"{path} cannot be read: {error.strerror}.") from error
    findings = Findings()
    text = decoded(data, findings)
    if findings.problems():
        raise _failure(findings.problems())
    return text


def _failure(problems: tuple[Problem, ...]) -> CommandError:
    listed = "\n".join(f"  {problem}" for problem in problems)
    return CommandError(f"Nothing was brought in. {len(problems)} to put right:\n{listed}")
