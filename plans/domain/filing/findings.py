"""Collecting what is wrong with a file while it is read: everything, once, with its line and the way out."""

from collections.abc import Collection
from difflib import get_close_matches

from coaching.domain.errors import Problem
from plans.domain.filing.tree import Place

MOST_SUGGESTIONS = 200
"""After this many looked-up words a file is so far off that guesses no longer help; they also cost time."""


class Findings:
    """The problems of one file, and the line of every place that was read."""

    def __init__(self) -> None:
        self._problems: dict[Problem, None] = {}
        self._lines: dict[Place, int] = {}
        self._suggested: dict[tuple[str, int], tuple[Collection[str], str]] = {}

    def add(self, where: Place, message: str, fix: str = "", *, line: int = 0) -> None:
        """Note a problem. Without ``line`` it stands where ``where``, or what is round it, was read."""
        self._problems[Problem(line or self.line_of(where), str(where), message, fix)] = None

    def read_at(self, where: Place, line: int) -> None:
        """Remember the line a place was read from."""
        self._lines[where] = line

    def was_given(self, where: Place) -> bool:
        """Something was written at this very place, readable or not."""
        return where in self._lines

    def line_of(self, where: Place) -> int:
        """The line of a place, or of the nearest thing round it that has one; 0 when nothing was read."""
        return next((self._lines[place] for place in where.outwards() if place in self._lines), 0)

    def problems(self) -> tuple[Problem, ...]:
        """All problems in the order of the file."""
        return tuple(sorted(self._problems, key=lambda problem: problem.line))

    def did_you_mean(self, word: str, known: Collection[str], otherwise: str = "") -> str:
        """A sentence naming the nearest known word, or ``otherwise`` when nothing is near."""
        asked = (word, id(known))
        if asked not in self._suggested:
            if len(self._suggested) >= MOST_SUGGESTIONS:
                return otherwise
            near = get_close_matches(word.casefold()[:80], known, n=1, cutoff=0.6)
            # Keeping the words themselves keeps their id from being given to another list.
            self._suggested[asked] = (known, near[0] if near else "")
        nearest = self._suggested[asked][1]
        return f"Did you mean “{nearest}”?" if nearest else otherwise


def one_of(words: Collection[str]) -> str:
    """A sentence listing the words that may stand here."""
    return f"Write one of: {', '.join(words)}."
