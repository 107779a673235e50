"""CSV as spreadsheets save it: commas, semicolons or tabs, a byte-order mark, blank lines and stray spaces.

Inside a cell, lists are parted by ``;``, recipe steps by ``|`` and names from their numbers by ``=``. A backslash
before one of these, or before a backslash, keeps it as text. A leading apostrophe before ``=``, ``+``, ``-``, ``@`` or
an apostrophe is taken off: it is what keeps a spreadsheet from reading text as a formula.
"""

import csv
import io
import re
from dataclasses import dataclass

from plans.domain.filing.findings import Findings
from plans.domain.filing.tree import Fields, Items, Place, Text

DELIMITERS = ",;\t"
_GUARDED = re.compile(r"^'(?=[=+\-@'])")
_GUARD_NEEDED = re.compile(r"^[=+\-@']")


@dataclass(frozen=True, slots=True)
class Row:
    """One filled row: the line it begins on and its filled cells by column name."""

    line: int
    cells: dict[str, str]

    def text(self, column: str) -> Text | None:
        """A cell, or None when it is blank."""
        return Text(self.line, self.cells[column]) if column in self.cells else None


def read_rows(text: str, findings: Findings) -> tuple[Row, ...] | None:
    """The filled rows under the header, or None with the problem noted."""
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True, skipinitialspace=True
    )
    columns: list[str] | None = None
    rows = []
    begins = 1
    try:
        for cells in reader:
            line, begins = begins, reader.line_num + 1
            if not any(cell.strip() for cell in cells):
                continue
            if columns is None:
                columns = _header(cells, line, findings)
                continue
            rows.append(_row(cells, columns, line, findings))
    except csv.Error:
        findings.add(
            Place(),
            "The quotation marks of this row do not match.",
            "Close the quotes, and write a quotation mark inside a quoted cell twice.",
            line=begins,
        )
        return None
    return tuple(rows)


def _delimiter(text: str) -> str:
    """The delimiter that is most frequent in the first filled line."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    return max(DELIMITERS, key=first.count)


def _header(cells: list[str], line: int, findings: Findings) -> list[str]:
    columns = [re.sub(r"[\s-]+", "_", cell.strip().lower()) for cell in cells]
    for column in sorted({column for column in columns if column and columns.count(column) > 1}):
        findings.add(Place((column[:80],)), "This column is here twice.", "Delete one of the two.", line=line)
    return columns


def _row(cells: list[str], columns: list[str], line: int, findings: Findings) -> Row:
    filled: dict[str, str] = {}
    for place, cell in enumerate(cells):
        text = _GUARDED.sub("", cell.strip())
        if not text:
            continue
        column = columns[place] if place < len(columns) else ""
        if not column:
            findings.add(
                Place(),
                f"“{text[:40]}” stands in a column without a name.",
                "Put cells that hold the delimiter in double quotes, or name the column.",
                line=line,
            )
        else:
            filled.setdefault(column, text)
    return Row(line, filled)


def guarded(text: str) -> str:
    """Cell text a spreadsheet will not run as a formula; reading takes the guard off again."""
    return f"'{text}" if _GUARD_NEEDED.match(text) else text


def joined(parts: list[str], sign: str = ";") -> str:
    """Parts as one cell; the parting sign and backslashes inside a part are marked with a backslash."""
    spaced = " | " if sign == "|" else f"{sign} "
    return spaced.join(part.replace("\\", "\\\\").replace(sign, f"\\{sign}") for part in parts)


def split(cell: Text, sign: str = ";") -> Items:
    """The inverse of ``joined``. Empty parts are dropped: a trailing sign is no item."""
    parts = re.findall(rf"(?:[^\\{sign}]|\\.|\\$)+", cell.text, re.DOTALL)
    texts = (re.sub(rf"\\([\\{sign}])", r"\1", part).strip() for part in parts)
    return Items(cell.line, tuple(Text(cell.line, text) for text in texts if text))


def split_mapping(cell: Text) -> Fields:
    """``piece=61; cup=128`` as fields. A part without ``=`` becomes a field without a value."""
    pairs = (item.text.partition("=") for item in split(cell).items)
    return Fields(
        cell.line,
        tuple((Text(cell.line, name.strip()), Text(cell.line, value.strip())) for name, _, value in pairs),
    )
