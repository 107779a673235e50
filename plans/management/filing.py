"""What the commands that read and write the book's files share."""

import sys
from abc import abstractmethod
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from coaching import clock
from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Practice
from plans.domain.filing.findings import Findings
from plans.domain.filing.opening import MOST_BYTES, decoded


class PracticeCommand(BaseCommand):
    """A command for one practice: the only one, or the one named by ``--practice``."""

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--practice", metavar="SLUG", help="the practice, when there are several")

    def practice(self, slug: str | None) -> Practice:
        """The practice meant. Raises CommandError naming the slugs there are."""
        slugs = list(Practice.objects.order_by("slug").values_list("slug", flat=True))
        wanted = slug or (slugs[0] if len(slugs) == 1 else None)
        if wanted in slugs:
            return Practice.objects.get(slug=wanted)
        if not slugs:
            raise CommandError("There is no practice yet.")
        why = f"There is no practice “{slug}”." if slug else "There are several practices."
        raise CommandError(f"{why} Use --practice with one of: {', '.join(slugs)}.")


class ImportCommand(PracticeCommand):
    """Reads a file into the book: says what it did, or every problem on a line of its own, and ends with 1."""

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("file", type=Path, help="a YAML or CSV file")
        parser.add_argument("--check", action="store_true", help="look the file over and change nothing")

    def handle(self, *, file: Path, check: bool, practice: str | None, **options: Any) -> None:
        """Look over and file one file."""
        where = self.practice(practice)
        findings = Findings()
        text = decoded(_content(file), findings)
        try:
            if findings.problems():
                raise Refused(*findings.problems())
            said = self.file(
                practice=where, text=text, filename=file.name, check_only=check, by=None, at=clock.now()
            )
        except Refused as refused:
            self._tell(file, refused.problems)
        self.stdout.write(f"Checked only: {said}" if check else said)

    @staticmethod
    @abstractmethod
    def file(**kwargs: Any) -> str:
        """File the text with the service of its kind; say what that did, or would do."""

    def _tell(self, file: Path, problems: tuple[Problem, ...]) -> None:
        for problem in problems:
            self.stderr.write(f"{file.name}: {problem}")
        self.stderr.write(f"{len(problems)} problem{'' if len(problems) == 1 else 's'}; nothing was changed.")
        sys.exit(1)


def _content(file: Path) -> bytes:
    try:
        with file.open("rb") as opened:
            return opened.read(MOST_BYTES + 1)
    except OSError as error:
        raise CommandError(f"{file} cannot be read: {error.strerror}.") from error
