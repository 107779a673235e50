"""Writing records as YAML and CSV texts that the readers take back without loss."""

import csv
import io
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

import yaml

from plans.domain.filing.csv_reader import guarded, joined
from plans.domain.records import decimal_of, number_text


def yaml_text(fields: Mapping[str, Any]) -> str:
    """Fields as a YAML file. Empty text is left out."""
    filled = {name: value for name, value in fields.items() if value != ""}
    return yaml.safe_dump(filled, allow_unicode=True, sort_keys=False, width=110)


def csv_text(columns: Iterable[str], rows: Iterable[Mapping[str, str]]) -> str:
    """Rows as a CSV file with a header, leaving out columns no row fills. Cells never run as formulas."""
    rows = list(rows)
    used = [column for column in columns if any(row.get(column) for row in rows)]
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, used, extrasaction="ignore", restval="")
    writer.writeheader()
    writer.writerows({column: guarded(row.get(column, "")) for column in used} for row in rows)
    return out.getvalue()


def cell_of(value: Any, sign: str = ";") -> str:
    """A value as one cell: lists joined by ``sign``, mappings as ``piece=61; cup=128``."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float | Decimal):
        return number_text(decimal_of(value))
    if isinstance(value, Mapping):
        return joined([f"{name}={cell_of(held)}" for name, held in value.items()])
    if isinstance(value, list):
        return joined([cell_of(item) for item in value], sign)
    return str(value)
