"""What a service or a parser may raise or return for a screen to show."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing wrong with what was handed in: where, and how to put it right.

    ``line`` is 1-based, 0 when there is none; ``message`` and ``fix`` are plain English sentences.
    """

    line: int
    field: str
    message: str
    fix: str = ""

    def __str__(self) -> str:
        where = f"line {self.line}, " if self.line else ""
        fix = f" {self.fix}" if self.fix else ""
        return f"{where}{self.field}: {self.message}{fix}"


class Refused(Exception):
    """A write was refused; ``problems`` says why, all of them at once. Nothing was changed."""

    def __init__(self, *problems: Problem) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(str(problem) for problem in problems))
