"""Opening a file: from bytes to text, and from text to its parts, within the limits every file has."""

import re
import unicodedata

from plans.domain.filing.csv_reader import Row, read_rows
from plans.domain.filing.findings import Findings
from plans.domain.filing.tree import Fields, Place, Text
from plans.domain.filing.yaml_reader import read_tree

MOST_BYTES = 1_000_000
FILE = Place()

_MARKS = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16", b"\xef\xbb\xbf": "utf-8-sig"}
_YAML_LINE = re.compile(r"""^\s*(---|["']?[\w-]+["']?\s*:(\s|$))""")


def decoded(data: bytes, findings: Findings) -> str:
    """The text of an uploaded file. What is no text is a problem, and gives no text."""
    if not is_small_enough(len(data), findings):
        return ""
    encoding = next((name for mark, name in _MARKS.items() if data.startswith(mark)), "utf-8")
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        findings.add(
            FILE,
            "There are characters here that cannot be read.",
            "Save the file again as “CSV UTF-8”, or in a text editor with the encoding UTF-8.",
            line=line,
        )
        return ""


def opened(text: str, filename: str, findings: Findings) -> Fields | tuple[Row, ...] | None:
    """A file's fields (YAML) or rows (CSV); None when it cannot be read at all, with the problem noted."""
    text = text.removeprefix("\ufeff")
    if not is_small_enough(len(text.encode("utf-8", "replace")), findings) or not _is_printable(
        text, findings
    ):
        return None
    if not text.strip():
        findings.add(FILE, "The file is empty.", "Choose the file again, or paste its text.")
        return None
    return read_tree(text, findings) if is_yaml(text, filename) else read_rows(text, findings)


def is_yaml(text: str, filename: str) -> bool:
    """YAML or CSV: by the name of the file, else by its first line."""
    ending = filename.rpartition(".")[2].lower()
    if ending in ("yaml", "yml"):
        return True
    if ending in ("csv", "tsv"):
        return False
    lines = (line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#"))
    return bool(_YAML_LINE.match(next(lines, "")))


def schema_is(found: Text | None, wanted: str, findings: Findings) -> None:
    """Note a missing schema, one of another kind of file, or of a version this house does not read."""
    fix = f"Write {wanted}."
    if found is None or not found.text.strip():
        findings.add(
            FILE / "schema", "The file does not say what it is.", fix, line=found.line if found else 1
        )
        return
    said = found.text.strip()
    if said == wanted:
        return
    kind = wanted.rpartition("/")[0]
    if said.rpartition("/")[0] == kind:
        message = f"“{said[:80]}” is a version that is not read here."
    else:
        message = f"“{said[:80]}” is not the kind of file expected here."
    findings.add(FILE / "schema", message, fix, line=found.line)


def is_small_enough(size: int, findings: Findings) -> bool:
    """At most ``MOST_BYTES``; more is a problem."""
    if size > MOST_BYTES:
        findings.add(
            FILE, f"The file is larger than 1 MB ({size / 1e6:.1f} MB).", "Split it and send the parts."
        )
    return size <= MOST_BYTES


def _is_printable(text: str, findings: Findings) -> bool:
    """Control characters and half characters are refused here: neither the readers nor the database take them."""
    printable = True
    for number, line in enumerate(text.split("\n"), start=1):
        odd = next(
            (sign for sign in line if sign not in "\t\r" and unicodedata.category(sign) in ("Cc", "Cs")), ""
        )
        if odd:
            printable = False
            findings.add(
                FILE,
                f"There is a character here that cannot be printed (U+{ord(odd):04X}).",
                "Delete it.",
                line=number,
            )
    return printable
